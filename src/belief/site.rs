//! Where the trouble sits: what a hypothesis is counted under.

use crate::vehicle::PartId;

/// Where the trouble sits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Site {
    /// At a part. A short that has blown its fuse sits at the fuse.
    Part(PartId),
    /// At two parts, which fail independently.
    Both(PartId, PartId),
    /// Nothing is wrong with the wiring.
    Nothing,
    /// Somewhere the drawing does not show.
    Undrawn,
}

impl Site {
    /// The parts there.
    pub fn parts(self) -> impl Iterator<Item = PartId> {
        let (first, second) = match self {
            Self::Part(part) => (Some(part), None),
            Self::Both(first, second) => (Some(first), Some(second)),
            Self::Nothing | Self::Undrawn => (None, None),
        };
        first.into_iter().chain(second)
    }
}
