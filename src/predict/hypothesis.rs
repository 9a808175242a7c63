//! Hypotheses: the vehicle as it may be, sound or with one of its explanations.

use crate::fault::{Fault, Size};
use crate::vehicle::{PartId, PointId};

/// A fault and how big it is, where that matters.
pub type Sized = (Fault, Option<Size>);

/// The vehicle as it may be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Hypothesis {
    /// Everything as drawn and sound.
    Sound,
    /// One part at fault.
    Faulty {
        /// Which and how.
        fault: Fault,
        /// How big, where that matters.
        size: Option<Size>,
    },
    /// Two parts at fault.
    Double {
        /// The likelier of the two.
        first: Sized,
        /// The other.
        second: Sized,
    },
    /// A path that the drawing does not show.
    UndrawnPath {
        /// From here.
        from: PointId,
        /// To there.
        to: PointId,
        /// Its resistance, Ω.
        size: Size,
        /// The fuse that it has opened.
        opened: Option<PartId>,
    },
}

impl Hypothesis {
    /// The faults in it.
    pub fn faults(&self) -> impl Iterator<Item = Sized> + use<> {
        let (first, second) = match *self {
            Self::Sound | Self::UndrawnPath { .. } => (None, None),
            Self::Faulty { fault, size } => (Some((fault, size)), None),
            Self::Double { first, second } => (Some(first), Some(second)),
        };
        first.into_iter().chain(second)
    }

    /// The part at fault; of two, the first.
    pub fn part(&self) -> Option<PartId> {
        self.faults().next().map(|(fault, _)| fault.part)
    }

    /// Whether a part is at fault.
    pub fn blames(&self, part: PartId) -> bool {
        self.faults().any(|(fault, _)| fault.part == part)
    }

    /// What tells it from others.
    pub fn key(&self) -> HypothesisKey {
        let mut faults = self.faults().map(|(fault, size)| (fault, size.map_or(0, |size| size.value.to_bits())));
        let tie = match *self {
            Self::UndrawnPath { from, to, size, opened } => Some((from, to, size.value.to_bits(), opened)),
            _ => None,
        };
        (faults.next(), faults.next(), tie)
    }
}

/// What tells a hypothesis from others, for looking it up.
pub type HypothesisKey = (Option<(Fault, u64)>, Option<(Fault, u64)>, Option<(PointId, PointId, u64, Option<PartId>)>);

/// Whether what switches itself off at too low a voltage has done so.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Phase {
    /// It tries to run.
    #[default]
    Trying,
    /// It has switched itself off, and every point reads perfect.
    Tripped,
}
