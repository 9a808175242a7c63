//! Paths between two points, before they are solved.

use crate::fault::{Size, UNDRAWN_PATH_SIZES};
use crate::vehicle::PointId;
use std::cmp::Ordering;

/// Bases that paths lead to, by position.
pub(super) type Lead = u8;
/// Those that paths of each size lead to.
pub(super) type Leads = [Lead; UNDRAWN_PATH_SIZES];
/// Where a path is not what is complained of.
pub(super) const NOWHERE: Lead = Lead::MAX;
/// Two points, and where a path of each size between them leads.
pub(super) struct PointPair {
    pub from: PointId,
    pub to: PointId,
    pub leads: Leads,
}

/// A path that may be there.
#[derive(Clone, Copy)]
pub(super) struct Path {
    pub from: PointId,
    pub to: PointId,
    pub size: Size,
}

impl Path {
    pub fn key(self) -> (PointId, PointId, u64) {
        (self.from, self.to, self.size.value.to_bits())
    }
}

/// A path with how well it fits what was read.
pub(super) struct Foretold {
    pub path: Path,
    pub base: usize,
    pub fit: f64,
}

impl Foretold {
    /// The best first, of those alike the first: rounding must not choose.
    pub fn by_fit(&self, other: &Self) -> Ordering {
        let fit = |foretold: &Self| foretold.fit as f32;
        fit(other).total_cmp(&fit(self)).then_with(|| self.path.key().cmp(&other.path.key()))
    }
}
