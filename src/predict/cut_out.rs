//! Cut-outs and battery protection: what switches itself off at too low a
//! voltage or too high a current.

use crate::network::{Altered, Between};
use crate::vehicle::{PartId, PartKind, Supply, Vehicle};
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
pub(super) fn may_trip(vehicle: &Vehicle) -> Vec<PartId> {
    let can = |part: &PartId| match &vehicle.part(*part).kind {
        PartKind::Load { cut_out, .. } => cut_out.is_some(),
        PartKind::Supply(Supply::Battery { protection, .. }) => protection.least.is_some() || protection.most.is_some(),
        _ => false,
    };
    vehicle.part_ids().filter(can).collect()
}

/// Whether a part that runs is about to switch itself off.
pub(super) fn is_overtaxed(vehicle: &Vehicle, altered: &Altered, part: PartId) -> bool {
    let current = || altered.current(part.index()).0.abs();
    match &vehicle.part(part).kind {
        PartKind::Load { cut_out: Some(cut_out), .. } => {
            current() > LEAST_AMPS && volts_across(vehicle, altered, part) < cut_out.off.0
        }
        PartKind::Supply(Supply::Battery { protection, .. }) => {
            let low = protection.least.is_some_and(|least| volts_across(vehicle, altered, part) < least.0);
            let high = protection.most.is_some_and(|most| current() > most.0);
            (low || high) && current() > LEAST_AMPS
        }
        _ => false,
    }
}

pub(super) fn volts_across(vehicle: &Vehicle, altered: &Altered, part: PartId) -> f64 {
    let (from, to) = vehicle.part(part).ends();
    match altered.between(from.index(), to.index()) {
        Between::Volts(volts) => volts.0.abs(),
        Between::Floating => 0.0,
    }
}
