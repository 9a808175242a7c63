//! Noisy channel: signs told over the phone.
//!
//! P(told | h) = t P(seen | h) + (1 − t)/2, with t the share of such words that can
//! be taken at their word.

use super::evidence::{Appearance, Observation, Sign};
use super::signs::chance;
use crate::complaint::Channel;
use crate::predict::{Hypothesis, StateModel};
use crate::vehicle::Vehicle;

/// Share of such words that are to be taken at their word: a lit pilot lamp
/// counts as dead, the wrong fuse was looked at, the relay beside was heard.
fn trust(sign: Sign) -> f64 {
    match sign {
        Sign::Looks(Appearance::Dead) => 0.75,
        Sign::LooksWhole | Sign::LooksBlown | Sign::Looks(_) => 0.80,
        Sign::Clicks | Sign::Silent => 0.60,
        Sign::Gives | Sign::Idle => 0.70,
        Sign::Sometimes => 0.85,
        _ => 0.75,
    }
}

/// Chance of what was seen under a hypothesis, by way of whoever told it.
pub fn as_told(vehicle: &Vehicle, model: &StateModel, hypothesis: &Hypothesis, seen: &Observation) -> f64 {
    let under = |hypothesis| chance(vehicle, model, hypothesis, seen.subject, seen.sign);
    let chance = seen.symptom.blend(under(hypothesis), || under(&Hypothesis::Sound));
    by_way_of(seen.channel, chance, seen.sign)
}

/// Chance that a sign is told, given the chance that it is there to be seen.
fn by_way_of(channel: Channel, chance: f64, sign: Sign) -> f64 {
    match channel {
        Channel::OnSite => chance,
        // Otherwise they would have said one thing or its opposite.
        Channel::ByPhone => trust(sign) * chance + (1.0 - trust(sign)) * 0.5,
    }
}
