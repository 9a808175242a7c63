//! What a path that is not drawn may have done to the vehicle, and when.

use super::look::VoltageTransfer;
use super::threshold::{Beyond, Threshold};
use crate::network::{Region, Solution};
use crate::vehicle::{PartId, Vehicle};

/// What a path has done to the vehicle beside joining two points.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub(super) enum Given {
    /// Nothing.
    Nothing,
    /// It holds branches on another piece of their law: a source at its limit,
    /// the contacts of a relay.
    Held(Vec<(usize, Region)>),
    /// It has opened a fuse.
    Opened(PartId),
}

impl Given {
    /// The fuse that it has opened.
    pub fn opened(&self) -> Option<PartId> {
        match self {
            Self::Opened(fuse) => Some(*fuse),
            Self::Nothing | Self::Held(_) => None,
        }
    }
}

/// A branch that may give way, what then, and when.
#[derive(Clone)]
pub(super) struct Weak {
    pub part: PartId,
    pub then: Given,
    /// Volts behind which those across it count, V.
    pub emf: f64,
    pub beyond: Beyond,
}

impl Weak {
    /// When it gives way in a solved state.
    pub fn threshold(&self, vehicle: &Vehicle, solution: &Solution) -> Threshold {
        let (red, black) = vehicle.part(self.part).ends();
        Threshold::new(VoltageTransfer::new(solution, red, black), self.emf, self.beyond)
    }
}
