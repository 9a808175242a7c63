//! What switches itself off when its voltage is too low, or its current too
//! high: a load with a cut-out, a battery with protection. While it tries, the
//! circuit is as solved; once it has tripped, nothing flows there and every
//! point reads perfect.

use super::cut_out::{Tripped, cut_out, is_overtaxed, volts_across};
use super::hypothesis::Hypothesis;
use super::model::StateModel;
use crate::network::{Alteration, Altered, Law};
use crate::vehicle::{PartId, Vehicle};
use std::rc::Rc;

/// Numerical: trips followed from one state, at most.
const MOST: usize = 12;
impl StateModel {
    /// What trips under a hypothesis; `None` if nothing does.
    pub fn trips(&self, vehicle: &Vehicle, hypothesis: &Hypothesis) -> Option<Rc<Tripped>> {
        let trying = self.under(vehicle, hypothesis);
        let trips = self.may_trip.iter().any(|&part| is_overtaxed(vehicle, &trying, part));
        let tripped = || Rc::new(self.follow(vehicle, hypothesis, trying));
        trips.then(|| self.circuits.tripped.get_or((self.number, hypothesis.key()), tripped))
    }

    /// The same for a load; only one with a cut-out can be among what trips, so
    /// for any other nothing is followed.
    pub fn trips_at(&self, vehicle: &Vehicle, hypothesis: &Hypothesis, load: PartId) -> Option<Rc<Tripped>> {
        let cuts_out = cut_out(vehicle, load).is_some();
        let tripped = cuts_out.then(|| self.trips(vehicle, hypothesis)).flatten();
        tripped.filter(|tripped| tripped.parts.contains(&load))
    }

    /// Whether a load that would go on running here may stand still all the same: it
    /// stopped before, and has less than it starts again at.
    pub fn may_have_stopped(&self, vehicle: &Vehicle, hypothesis: &Hypothesis, load: PartId) -> bool {
        let Some(cut_out) = cut_out(vehicle, load) else { return false };
        let running = self.under(vehicle, hypothesis);
        let runs = (cut_out.off.0..cut_out.on.0).contains(&volts_across(vehicle, &running, load));
        let stopped = || {
            let mut change = self.alteration(vehicle, hypothesis);
            change.replaced.retain(|(branch, _)| *branch != load.index());
            change.replaced.push((load.index(), Law::Open));
            self.altered_by(&change)
        };
        runs && volts_across(vehicle, &stopped(), load) < cut_out.on.0
    }

    fn follow(&self, vehicle: &Vehicle, hypothesis: &Hypothesis, mut altered: Rc<Altered>) -> Tripped {
        let mut parts: Vec<PartId> = Vec::new();
        for _ in 0..MOST {
            let trying = |part: &PartId| !parts.contains(part) && is_overtaxed(vehicle, &altered, *part);
            let Some(next) = self.may_trip.iter().copied().find(trying) else { break };
            parts.push(next);
            let mut change = self.alteration(vehicle, hypothesis);
            change.replaced.retain(|(branch, _)| !parts.iter().any(|part| part.index() == *branch));
            let off = parts.iter().map(|part| (part.index(), Law::Open)).collect();
            altered = self.altered_by(&change.and(Alteration { replaced: off, added: Vec::new() }));
        }
        let restarts = |part: &PartId| {
            cut_out(vehicle, *part).is_some_and(|cut_out| volts_across(vehicle, &altered, *part) >= cut_out.on.0)
        };
        let hunting = parts.iter().copied().filter(restarts).collect();
        Tripped { altered, parts, hunting }
    }
}
