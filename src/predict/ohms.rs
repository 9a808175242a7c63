//! The circuit as an ohmmeter finds it under each hypothesis; a fuse that is out
//! of its holder is read by itself.

use super::hypothesis::Hypothesis;
use super::model::StateModel;
use crate::network::{Altered, as_an_ohmmeter_finds_it, solve};
use crate::quantity::Ohms;
use crate::vehicle::{PartId, PointId, State, Vehicle};
use std::rc::Rc;

/// The fuse from tab to tab of which an ohmmeter reads.
pub fn fuse_between(vehicle: &Vehicle, red: PointId, black: PointId) -> Option<PartId> {
    vehicle.parts_between(red, black).filter(|&id| vehicle.part(id).kind.is_fuse()).min()
}

/// The same if it is out of its holder: nothing is beside it.
pub(super) fn fuse_in_hand(vehicle: &Vehicle, state: &State, red: PointId, black: PointId) -> Option<PartId> {
    fuse_between(vehicle, red, black).filter(|&id| !state.lets(vehicle, id) && !state.has_lamp(vehicle, id))
}

/// What it has, and the deviation of that; nothing if it is open.
pub(super) fn ohms_in_hand(vehicle: &Vehicle, hypothesis: &Hypothesis, fuse: PartId) -> Option<(Ohms, Ohms)> {
    let part = vehicle.part(fuse);
    let own = part.resistance.value;
    let mut of_it = hypothesis.faults().filter(|(fault, _)| fault.part == fuse);
    match of_it.find(|(fault, _)| fault.mode.is_series()) {
        Some((_, Some(size))) => Some((own + Ohms(size.value), Ohms(size.value * size.width))),
        Some((_, None)) => None,
        None => Some((own, own * part.spread)),
    }
}

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
