//! Noisy channel: signs told over the phone.
//!
//! P(told | h) = t P(seen | h) + (1 − t)/2, with t the share of such words that can
//! be taken at their word.

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
    let under = |hypothesis| chance(vehicle, model, hypothesis, seen.subject, seen.sign);
    let chance = seen.symptom.blend(under(hypothesis), || under(&Hypothesis::Sound));
    by_way_of(&model.tables().signs, seen.channel, chance, seen.sign)
}

/// Chance that a sign is told, given the chance that it is there to be seen.
fn by_way_of(signs: &Signs, channel: Channel, chance: f64, sign: Sign) -> f64 {
    match channel {
        Channel::OnSite => chance,
        // Otherwise they would have said one thing or its opposite.
        Channel::ByPhone => {
            let trust = trust(signs, sign);
            trust * chance + (1.0 - trust) * 0.5
        }
    }
}
