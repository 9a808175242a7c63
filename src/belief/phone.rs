//! Noisy channel: signs told over the phone.
//!
//! P(told | h) = Σ_s P(s | h) (t_s [s = told] + (1 − t_s)/n) over the n signs that could
//! be there, with t_s the share of words on such a sign that can be taken at their word.

use super::evidence::{Appearance, Observation, Sign};
use super::signs::chance;
use crate::complaint::Channel;
use crate::predict::{Hypothesis, StateModel};
use crate::tables::signs::Signs;
use crate::vehicle::Vehicle;

/// Share of such words that are to be taken at their word: a lit pilot lamp
/// counts as dead, the wrong fuse was looked at, the relay beside was heard.
fn trust(signs: &Signs, sign: Sign) -> f64 {
    match sign {
        Sign::Looks(Appearance::Dead) => signs.trust_dead,
        Sign::LooksWhole | Sign::LooksBlown | Sign::Looks(_) => signs.trust_looks,
        Sign::Clicks | Sign::Silent => signs.trust_sound,
        Sign::Gives | Sign::Idle => signs.trust_display,
        Sign::Sometimes => signs.trust_sometimes,
        _ => signs.trust_other,
    }
}

/// Chance of what was seen under a hypothesis, by way of whoever told it.
pub fn as_told(vehicle: &Vehicle, model: &StateModel, hypothesis: &Hypothesis, seen: &Observation) -> f64 {
    let of = |sign: Sign| {
        let under = |hypothesis| chance(vehicle, model, hypothesis, seen.subject, sign);
        seen.symptom.blend(under(hypothesis), || under(&Hypothesis::Sound))
    };
    match seen.channel {
        Channel::OnSite => of(seen.sign),
        Channel::ByPhone => by_phone(&model.tables().signs, seen.sign, of),
    }
}

/// Chance that a sign is told by phone, from the chances of what is there to be
/// seen: words that cannot be taken at their word are as likely each.
fn by_phone(signs: &Signs, told: Sign, chance: impl Fn(Sign) -> f64) -> f64 {
    let alternatives = told.alternatives();
    let said = |there: Sign, chance: f64| {
        let trust = trust(signs, there);
        let taken_at_its_word = if there == told { trust } else { 0.0 };
        chance * (taken_at_its_word + (1.0 - trust) / alternatives.len().max(2) as f64)
    };
    match alternatives {
        // What has no name for its opposite is said or not.
        [_] => {
            let chance = chance(told);
            said(told, chance) + (1.0 - trust(signs, told)) * 0.5 * (1.0 - chance)
        }
        _ => alternatives.iter().map(|&there| said(there, chance(there))).sum(),
    }
}
