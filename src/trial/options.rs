//! Design of a trial: how many cases, under which conditions, played by whom.

use super::conditions::Conditions;
use crate::plan::walk::Scope;

/// Who chooses the tests.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Policy {
    /// The tool as it is.
    Ours,
    /// Every point from the source on, until one is wrong.
    Walk,
    /// The middle of what is left of the way.
    HalfSplit,
    /// The point that halves the failure rates of what is left of the way.
    HalfSplitByRate,
}

impl Policy {
    pub const ALL: [Self; 4] = [Self::Ours, Self::Walk, Self::HalfSplit, Self::HalfSplitByRate];

    /// Its name on the command line.
    pub fn word(self) -> &'static str {
        match self {
            Self::Ours => "ours",
            Self::Walk => "walk",
            Self::HalfSplit => "half-split",
            Self::HalfSplitByRate => "half-split-by-rate",
        }
    }
}

/// What to play.
#[derive(Debug, Clone, PartialEq)]
pub struct Options {
    /// How many cases.
    pub cases: usize,
    /// Seed that the cases' own seeds come from.
    pub seed: u64,
    /// The world.
    pub conditions: Conditions,
    /// Who plays, side by side on the same cases.
    pub policies: Vec<Policy>,
    /// The walk at handover, in the same real parts before the fault, with which
    /// the tool plays every case a second time.
    pub baseline: Option<Scope>,
    /// Threads, at least one.
    pub threads: usize,
}
