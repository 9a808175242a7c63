//! The circuit as an ohmmeter finds it under each hypothesis.

use super::hypothesis::Hypothesis;
use super::model::StateModel;
use crate::network::{Altered, as_an_ohmmeter_finds_it, solve};
use crate::vehicle::Vehicle;
use std::rc::Rc;

impl StateModel {
    /// The network at an ohmmeter's test voltage; `None` if it has no solution.
    pub(super) fn dead_under(&self, vehicle: &Vehicle, hypothesis: &Hypothesis) -> Option<Altered> {
        let dead = self.dead.get_or_init(|| solve(as_an_ohmmeter_finds_it(self.solution.network())).ok().map(Rc::new));
        let mut change = self.alteration(vehicle, hypothesis);
        let scratch = change.applied_to(self.solution.network());
        // What a fault puts in is found asleep too.
        let asleep = as_an_ohmmeter_finds_it(&scratch);
        change.replaced.iter_mut().for_each(|(branch, law)| *law = asleep.branches[*branch].law.clone());
        dead.as_ref()?.altered(&change).ok()
    }
}
