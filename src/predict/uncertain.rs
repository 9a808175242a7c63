//! Uncertain quantities: what of a sound vehicle and a meter is known only with
//! a spread.

use crate::meter::{Ammeter, MeterKind};
use crate::vehicle::{PartId, PlaceId};

/// One uncertain quantity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Uncertain {
    /// ln of a part's resistance.
    Resistance(PartId),
    /// A supply's voltage when testing began.
    SupplyVoltage(PartId),
    /// Temperature of all conductors.
    Warmth,
    /// What the ground of a place is off, whatever flows as drawn.
    Ground(PlaceId),
    /// Forward voltage of a diode.
    Forward(PartId),
    /// A meter's gain, shared by all its readings.
    Gain(MeterKind),
    /// A meter's offset in digits, shared by all its readings.
    Offset(MeterKind),
    /// A clamp's zero as it was set, shared by all its readings.
    Zero(Ammeter),
    /// Gain of an instrument that the vehicle carries.
    InstrumentGain(PartId),
    /// Its offset.
    InstrumentOffset(PartId),
}

impl Uncertain {
    /// Whether it is the same on another day; supplies and meters in hand are others.
    pub fn lasts(self) -> bool {
        matches!(self, Self::Resistance(_) | Self::Forward(_) | Self::InstrumentGain(_) | Self::InstrumentOffset(_))
    }

    /// The part that it is of.
    pub fn part(self) -> Option<PartId> {
        match self {
            Self::Resistance(part) | Self::SupplyVoltage(part) | Self::Forward(part) => Some(part),
            Self::InstrumentGain(part) | Self::InstrumentOffset(part) => Some(part),
            Self::Warmth | Self::Ground(_) | Self::Gain(_) | Self::Offset(_) | Self::Zero(_) => None,
        }
    }
}
