//! What two faults show together is mostly what one of them shows by itself:
//! the other is elsewhere. So a pair is solved only where both have a say.

use super::super::candidate::Showing;
use super::super::evidence::{Observation, Sign};
use super::super::gaussian::Joint;
use super::super::shortlist::Shortlist;
use crate::odds::LogWeight;
use crate::predict::{Hypothesis, Prediction, Sized};
use crate::vehicle::PartKind;

/// Two faults that may be told apart.
pub(super) struct Separable<'s, 'a> {
    pub shortlist: &'s Shortlist<'a>,
    pub first: Sized,
    pub second: Sized,
}

fn alone((fault, size): Sized) -> Hypothesis {
    Hypothesis::Faulty { fault, size }
}

impl Separable<'_, '_> {
    /// Which of the two each reading shows.
    pub fn showing(&self) -> Vec<Showing> {
        let sound = self.shortlist.sound.and_then(|sound| sound.joint.as_deref());
        let single = |fault: Sized| self.shortlist.singles_by_key().get(&alone(fault).key())?.joint.as_deref();
        let (first, second) = (single(self.first), single(self.second));
        let readings: Vec<_> = self.shortlist.likelihood.evidence.all_readings().collect();
        let showing = |reading: usize| {
            let moves = |(fault, _): Sized, single: Option<&Joint>| match fault.mode.is_of_display() {
                true => Some(readings[reading].probe.instrument() == Some(fault.part)),
                false => Some(self.moves(&single?.predictions[reading], &sound?.predictions[reading])),
            };
            match (moves(self.first, first), moves(self.second, second)) {
                (_, Some(false)) => Showing::First,
                (Some(false), _) => Showing::Second,
                _ => Showing::Both,
            }
        };
        (0..readings.len()).map(showing).collect()
    }

    /// Whether one of them moves a reading.
    fn moves(&self, shown: &Prediction, sound: &Prediction) -> bool {
        let least_move = self.shortlist.likelihood.engine.tables().belief.least_move;
        let far =
            (shown.mean - sound.mean).powi(2) > least_move * least_move * sound.own_variance.min(shown.own_variance);
        far || shown.scale != sound.scale || shown.floating != sound.floating
    }

    /// The chance of an observation under both.
    pub fn seen(&self, seen: &Observation) -> LogWeight {
        let vehicle = self.shortlist.likelihood.engine.vehicle();
        let model = &self.shortlist.likelihood.models[&seen.state];
        let is_load = matches!(vehicle.part(seen.subject).kind, PartKind::Load { .. });
        let of_looks = is_load && matches!(seen.sign, Sign::Looks(_) | Sign::StaysOn);
        let performance = |hypothesis: &Hypothesis| model.performance(vehicle, hypothesis, seen.subject);
        let has_say = |hypothesis: &Hypothesis| {
            let change = || performance(hypothesis) - performance(&Hypothesis::Sound);
            model.could_touch(vehicle, hypothesis, seen.subject)
                && change().abs() > self.shortlist.likelihood.engine.tables().belief.least_say
        };
        let hypothesis = match of_looks {
            true if !has_say(&alone(self.second)) => alone(self.first),
            true if !has_say(&alone(self.first)) => alone(self.second),
            _ => Hypothesis::Double { first: self.first, second: self.second },
        };
        self.shortlist.seen(seen, &hypothesis)
    }
}
