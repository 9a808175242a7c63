//! Instruments that a vehicle carries: a battery monitor, the display of a
//! charger, a panel voltmeter, an ammeter at its shunt. Each is read by its own
//! name, and can be wrong by itself.

use super::id::{PartId, PointId};

/// An instrument that is fitted in a vehicle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FittedInstrument {
    /// The part whose current it shows; without one it shows the volts between
    /// its ends.
    pub through: Option<PartId>,
    /// Last digit of its display, V or A.
    pub resolution: f64,
}

impl FittedInstrument {
    /// Whether it shows amperes, not volts.
    pub fn shows_amps(&self) -> bool {
        self.through.is_some()
    }
}

/// What a fixed instrument shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Shows {
    /// Volts between two points.
    Volts {
        /// Its positive wire.
        red: PointId,
        /// Its negative wire.
        black: PointId,
    },
    /// The current of a part, in the direction it is drawn in.
    Amps {
        /// The part.
        part: PartId,
    },
}
