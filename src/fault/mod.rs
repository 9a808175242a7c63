//! What can go wrong with a part, how often, and what it does to the network.

mod effect;
mod size;

pub use effect::alteration;
pub use size::{Size, sizes};

pub use crate::tables::rates::Mode;
use crate::tables::rates::{PartClass, Rates};
use crate::vehicle::{PartId, PartKind, Supply, Vehicle};

/// One way for one part to fail.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Fault {
    /// The part.
    pub part: PartId,
    /// How.
    pub mode: Mode,
}

/// A fault with its relative frequency.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Likely {
    /// The fault.
    pub fault: Fault,
    /// Relative frequency, from the table of rates.
    pub rate: f64,
}

/// Every single fault of a vehicle.
pub fn catalogue(vehicle: &Vehicle, rates: &Rates) -> Vec<Likely> {
    let of_part = |part: PartId| {
        let (class, metres) = class_of(&vehicle.part(part).kind);
        rates.of(class, metres).map(move |(mode, rate)| Likely { fault: Fault { part, mode }, rate })
    };
    vehicle
        .part_ids()
        .flat_map(of_part)
        .filter(|likely| likely.fault.mode != Mode::Leak || vehicle.chassis.is_some())
        .filter(|likely| likely.rate > 0.0)
        .collect()
}

/// The row of the table of rates for a part, and its length in metres.
fn class_of(kind: &PartKind) -> (PartClass, f64) {
    let class = match kind {
        PartKind::HolderContact => PartClass::HolderContact,
        PartKind::Fuse { .. } => PartClass::Fuse,
        PartKind::Breaker { .. } => PartClass::Breaker,
        PartKind::Cable { length, .. } => return (PartClass::Cable, length.0),
        PartKind::Joint => PartClass::Joint,
        PartKind::Pin => PartClass::Pin,
        PartKind::Switch => PartClass::Switch,
        PartKind::Isolator => PartClass::Isolator,
        PartKind::Contact { .. } => PartClass::Contact,
        PartKind::Coil { .. } => PartClass::Coil,
        PartKind::Shunt => PartClass::Shunt,
        PartKind::Diode { .. } => PartClass::Diode,
        PartKind::Chassis => PartClass::Chassis,
        PartKind::Load { .. } => PartClass::Load,
        PartKind::Supply(Supply::Battery { .. }) => PartClass::Battery,
        PartKind::Supply(Supply::Regulated { .. }) => PartClass::Regulated,
    };
    (class, 0.0)
}
