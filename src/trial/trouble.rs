//! Ground truth of a case: what is really wrong with the vehicle.

use super::world::Departure;
use crate::fault::{Fault, ways};
use crate::quantity::Ohms;
use crate::vehicle::{PartId, PointId, Vehicle};

/// What is wrong.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Trouble {
    /// One fault with its size.
    One(Fault, f64),
    /// Two of them.
    Two((Fault, f64), (Fault, f64)),
    /// Nothing: the vehicle as it was handed over.
    Nothing,
    /// A path that the drawing does not show.
    Undrawn {
        /// From here.
        from: PointId,
        /// To there.
        to: PointId,
        /// Through this.
        ohms: Ohms,
    },
    /// The drawing has something otherwise that is not broken.
    Departed(Departure),
}

impl Trouble {
    /// Whether it is the drawing that is wrong.
    pub fn is_of_drawing(&self) -> bool {
        matches!(self, Self::Undrawn { .. } | Self::Departed(_))
    }

    /// The faults in it, with their sizes.
    pub fn faults(&self) -> impl Iterator<Item = (Fault, f64)> + use<> {
        let (first, second) = match *self {
            Self::One(fault, size) => (Some((fault, size)), None),
            Self::Two(first, second) => (Some(first), Some(second)),
            Self::Nothing | Self::Undrawn { .. } | Self::Departed(_) => (None, None),
        };
        first.into_iter().chain(second)
    }
}

/// Every part that has to do with what is wrong.
pub fn beside(vehicle: &Vehicle, trouble: &Trouble) -> Vec<PartId> {
    trouble.faults().flat_map(|(fault, _)| ways(vehicle, fault)).collect()
}
