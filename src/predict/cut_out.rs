//! Cut-outs and battery protection: what switches itself off at too low a
//! voltage or too high a current.

use crate::network::{Altered, Between};
use crate::vehicle::{Conversion, CutOut, PartId, Protection, State, Vehicle};
use std::rc::Rc;

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

/// What can switch itself off.
pub(super) fn may_trip(vehicle: &Vehicle, state: &State) -> Vec<PartId> {
    let is_protected = |part| {
        let protection = vehicle.part(part).kind.battery().map(|battery| battery.protection);
        protection.is_some_and(|protection| protection.least.is_some() || protection.most.is_some())
    };
    let cuts_out = |part| cut_out(vehicle, part).is_some() && !state.has_lamp(vehicle, part);
    vehicle.part_ids().filter(|&part| cuts_out(part) || is_protected(part)).collect()
}

/// The cut-out of a load that has one: the input of a converter does.
pub(super) fn cut_out(vehicle: &Vehicle, part: PartId) -> Option<CutOut> {
    let load = vehicle.part(part).kind.load()?;
    load.cut_out.or(load.converts.map(|Conversion { least, .. }| CutOut { off: least, on: least }))
}

/// Whether a part that runs is about to switch itself off.
pub(super) fn is_overtaxed(vehicle: &Vehicle, altered: &Altered, part: PartId) -> bool {
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

pub(super) fn volts_across(vehicle: &Vehicle, altered: &Altered, part: PartId) -> f64 {
    let (from, to) = vehicle.part(part).ends();
    match altered.between(from.index(), to.index()) {
        Between::Volts(volts) => volts.0.abs(),
        Between::Floating => 0.0,
    }
}
