//! What one policy came to in one case.

use crate::case::Entry;
use crate::vehicle::PartId;

/// Layout: levels at which what was announced is held against what is there, a
/// row each.
pub const LEVELS: [f64; 4] = [0.50, 0.80, 0.95, 0.99];

/// How a case ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PlayedEnding {
    /// With one place.
    Found,
    /// With parts that no test tells apart.
    Inseparable,
    /// With no test that is worth its effort.
    NothingWorthwhile,
    /// With the tool seeing nothing amiss.
    NothingAmiss,
    /// With patience at an end.
    GaveUp,
}

/// What one answer of the tool said of the place, against what is there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlayedAnswer {
    /// Probability of the likeliest place.
    pub first: f64,
    /// Whether it is there.
    pub first_right: bool,
    /// Probability of the place where it is.
    pub of_right: f64,
    /// The fewest places that hold what is announced, 95 %.
    pub places: usize,
    /// For each of [`LEVELS`]: what the fewest places that hold it hold, and
    /// whether it is there.
    pub levels: [(f64, bool); LEVELS.len()],
}

/// How one policy fared in one case.
#[derive(Debug, Clone)]
pub struct PlayedCase {
    /// Readings and looks taken.
    pub tests: usize,
    /// Readings among them.
    pub readings: usize,
    /// Readings among them that were misread.
    pub misreads: usize,
    /// Time they took, with penalties for disturbing the fault.
    pub minutes: f64,
    /// How it ended.
    pub ending: PlayedEnding,
    /// Parts named in the end: one, or those that cannot be told apart.
    pub named: Vec<PartId>,
    /// Whether one of them is right.
    pub is_right: bool,
    /// Parts of the segment announced, and whether one of them is right.
    pub segment: (usize, bool),
    /// Whether a part still at fault was announced as proved good in the end.
    pub cleared: bool,
    /// Whether the drawing was doubted in the end.
    pub doubted: bool,
    /// Whether a sound instrument was named on the way.
    pub instrument_blamed: bool,
    /// Sound parts named on the way.
    pub renewed: usize,
    /// Every answer on the way; none from a policy that announces no odds.
    pub answers: Vec<PlayedAnswer>,
    /// What was entered; none from a policy that enters nothing.
    pub entries: Vec<Entry>,
}
