//! What two faults show together is mostly what one of them shows by itself:
//! the other is elsewhere. So a pair is solved only where both have a say.

use super::doubles::Desk;
use super::evidence::{Observation, Sign};
use super::weigh::{Entrant, Half};
use crate::predict::{Hypothesis, HypothesisKey, Sized};
use rustc_hash::FxHashMap;

/// Share of what a load gets by which a fault must change it to have a say in
/// how it looks.
const LEAST_SAY: f64 = 0.005;
/// The same of a reading, as a share of what spreads it alone.
const LEAST_MOVE: f64 = 0.1;

/// The singles by what they are.
pub(super) type ByKey<'a> = FxHashMap<HypothesisKey, &'a Entrant>;

pub(super) fn by_key<'a>(singles: &[&'a Entrant]) -> ByKey<'a> {
    singles.iter().map(|&single| (single.hypothesis.key(), single)).collect()
}

fn alone((fault, size): Sized) -> Hypothesis {
    Hypothesis::Faulty { fault, size }
}

impl Desk<'_> {
    /// Which of two faults each reading shows.
    pub fn halves(&self, first: Sized, second: Sized) -> Vec<Half> {
        let moves = |one: Sized, reading: usize| self.moves(&alone(one), reading);
        let half = |reading: usize| match (moves(first, reading), moves(second, reading)) {
            (_, Some(false)) => Half::First,
            (Some(false), _) => Half::Second,
            _ => Half::Both,
        };
        (0..self.evidence.all_readings().count()).map(half).collect()
    }

    /// Whether a single fault moves a reading, if it has been weighed.
    fn moves(&self, fault: &Hypothesis, reading: usize) -> Option<bool> {
        let single = self.singles_by_key().get(&fault.key())?;
        let shown = &single.joint.as_ref()?.shown[reading];
        let sound = &self.sound?.joint.as_ref()?.shown[reading];
        let far =
            (shown.mean - sound.mean).powi(2) > LEAST_MOVE * LEAST_MOVE * sound.own_variance.min(shown.own_variance);
        Some(far || shown.scale != sound.scale || shown.floating != sound.floating)
    }

    /// ln of the chance of an observation under two faults.
    pub fn seen_of_two(&self, seen: &Observation, first: Sized, second: Sized) -> f64 {
        let vehicle = self.engine.vehicle();
        let model = &self.models[&seen.state];
        let is_load = vehicle.part(seen.subject).kind.is_load();
        let of_looks = is_load && matches!(seen.sign, Sign::Looks(_) | Sign::StaysOn);
        let performance = |hypothesis: &Hypothesis| model.performance(vehicle, hypothesis, seen.subject);
        let has_say = |hypothesis: &Hypothesis| {
            let change = || performance(hypothesis) - performance(&Hypothesis::Sound);
            model.could_touch(vehicle, hypothesis, seen.subject) && change().abs() > LEAST_SAY
        };
        let hypothesis = match of_looks {
            true if !has_say(&alone(second)) => alone(first),
            true if !has_say(&alone(first)) => alone(second),
            _ => Hypothesis::Double { first, second },
        };
        self.seen(seen, &hypothesis)
    }
}
