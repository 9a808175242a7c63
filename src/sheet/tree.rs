//! Decision tree as values: steps, the outcomes of each, and where they lead.

use super::cuts::When;
use crate::meter::MeterKind;
use crate::plan::{Range, Test};
use crate::quantity::Minutes;
use crate::trial::Share;
use crate::vehicle::{ControlId, PartId, PlaceId, PointId, Position};

/// The sheet of one load.
#[derive(Debug, Clone, PartialEq)]
pub struct TestSheet {
    /// What is dead.
    pub load: PartId,
    /// What is set before anything is read.
    pub settings: Vec<(ControlId, Position)>,
    /// Where the black lead goes unless a step says otherwise.
    pub black: PointId,
    /// The meter that the bands are for.
    pub meter: MeterKind,
    /// The steps; one begins at the first.
    pub steps: Vec<SheetStep>,
    /// How well it does.
    pub figures: Figures,
}

/// One test on the sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetStep {
    /// What to set first.
    pub settings: Vec<(ControlId, Position)>,
    /// What to do.
    pub test: Test,
    /// What to open first.
    pub opens: Vec<PlaceId>,
    /// Time it takes.
    pub minutes: Minutes,
    /// What a sound vehicle shows.
    pub sound: Option<Range>,
    /// What each outcome leads to; together they hold every outcome.
    pub branches: Vec<SheetBranch>,
}

/// One outcome and what it leads to.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetBranch {
    pub when: When,
    /// Of the faults that come to this step, those with this outcome.
    pub share: f64,
    /// What then.
    pub then: Then,
}

/// Where a branch leads.
#[derive(Debug, Clone, PartialEq)]
pub enum Then {
    /// On to a step, by its position.
    Step(usize),
    /// To these parts, likeliest first, with the share of faults for which each
    /// is the first right one.
    Parts(Vec<(PartId, f64)>),
    /// To the limits of paper; likeliest parts as above.
    Tool(Vec<(PartId, f64)>),
}

/// How simulated faults fare on the sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct Figures {
    /// Tests taken, on average.
    pub tests: f64,
    /// Minutes they take, on average.
    pub minutes: Minutes,
    /// Ends with the right part named first.
    pub first: Share,
    /// Ends with the right part among those named.
    pub among: Share,
    /// Ends where paper does.
    pub tool: Share,
}
