//! What switches itself off when its voltage is too low, or its current too
//! high: a load with a cut-out, a battery with protection. While it tries, the
//! circuit is as solved; once it has tripped, nothing flows there and every
//! point reads perfect.

use super::{Hypothesis, StateModel};
use crate::network::{Alteration, Altered, Between, Law};
use crate::vehicle::{CutOut, PartId, Protection, Vehicle};
use std::rc::Rc;

/// Numerical: trips followed from one state, at most.
const MOST: usize = 12;
/// Numerical: current below which nothing runs that could trip, A.
const LEAST_AMPS: f64 = 1e-6;

/// The circuit after everything that switches itself off has done so.
pub struct Tripped {
    /// The circuit then.
    pub altered: Rc<Altered>,
    /// What is off, in the order it went.
    pub parts: Vec<PartId>,
    /// Of those, what sees enough then to start again: it hunts.
    pub hunting: Vec<PartId>,
}

impl StateModel {
    /// What trips under a hypothesis; `None` if nothing does.
    pub fn trips(&self, vehicle: &Vehicle, hypothesis: &Hypothesis) -> Option<Rc<Tripped>> {
        let key = hypothesis.key();
        if let Some(known) = self.tripped.borrow().get(&key) {
            return known.clone();
        }
        let tripped = self.follow(vehicle, hypothesis).map(Rc::new);
        self.tripped.borrow_mut().insert(key, tripped.clone());
        tripped
    }

    /// The same for a load; only one with a cut-out can be among what trips, so
    /// for any other nothing is followed.
    pub fn trips_at(&self, vehicle: &Vehicle, hypothesis: &Hypothesis, load: PartId) -> Option<Rc<Tripped>> {
        let cuts_out = cut_out(vehicle, load).is_some();
        let tripped = cuts_out.then(|| self.trips(vehicle, hypothesis)).flatten();
        tripped.filter(|tripped| tripped.parts.contains(&load))
    }

    fn follow(&self, vehicle: &Vehicle, hypothesis: &Hypothesis) -> Option<Tripped> {
        let mut altered = self.under(vehicle, hypothesis);
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
        (!parts.is_empty()).then_some(Tripped { altered, parts, hunting })
    }
}

/// What can switch itself off.
pub(super) fn may_trip(vehicle: &Vehicle) -> Vec<PartId> {
    let is_protected = |part| {
        let protection = vehicle.part(part).kind.battery().map(|battery| battery.protection);
        protection.is_some_and(|protection| protection.least.is_some() || protection.most.is_some())
    };
    vehicle.part_ids().filter(|&part| cut_out(vehicle, part).is_some() || is_protected(part)).collect()
}

fn cut_out(vehicle: &Vehicle, part: PartId) -> Option<CutOut> {
    vehicle.part(part).kind.load().and_then(|load| load.cut_out)
}

/// Whether a part that runs is about to switch itself off.
fn is_overtaxed(vehicle: &Vehicle, altered: &Altered, part: PartId) -> bool {
    let current = || altered.current(part.index()).abs();
    let volts = || volts_across(vehicle, altered, part);
    if let Some(cut_out) = cut_out(vehicle, part) {
        return current().0 > LEAST_AMPS && volts() < cut_out.off.0;
    }
    let protection = vehicle.part(part).kind.battery().map(|battery| battery.protection);
    protection.is_some_and(|Protection { least, most }| {
        let is_low = least.is_some_and(|least| volts() < least.0);
        let is_high = most.is_some_and(|most| current() > most);
        (is_low || is_high) && current().0 > LEAST_AMPS
    })
}

fn volts_across(vehicle: &Vehicle, altered: &Altered, part: PartId) -> f64 {
    let (from, to) = vehicle.part(part).ends();
    match altered.between(from.index(), to.index()) {
        Between::Volts(volts) => volts.0.abs(),
        Between::Floating => 0.0,
    }
}
