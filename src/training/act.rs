//! What a learner can do, and what comes of it.

use super::instrument::{Dial, Display, Leads, Short};
use crate::belief::Sign;
use crate::meter::MeterKind;
use crate::plan::{Advice, Sense};
use crate::quantity::Minutes;
use crate::vehicle::{ControlId, PartId, PlaceId, PointId, Position};
use thiserror::Error;

/// Whether the loom is moved while something is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Loom {
    /// It lies still.
    Still,
    /// It is moved, and the lowest value counts.
    Moved,
}

/// What the learner says is wrong.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Conclusion {
    /// These parts: one, two faults, or what no probe tells apart.
    Parts(Vec<PartId>),
    /// Nothing.
    Nothing,
    /// Something that the drawing does not show.
    Undrawn,
}

/// One thing done.
#[derive(Debug, Clone, PartialEq)]
pub enum Act {
    /// Setting switches, plugs, fuses.
    Set(Vec<(ControlId, Position)>),
    /// Opening a place.
    Open(PlaceId),
    /// Moving the black lead.
    Black(PointId),
    /// Taking another instrument in hand.
    Take(MeterKind),
    /// Turning the dial.
    Turn(Dial),
    /// A new fuse for the ammeter.
    RenewMeterFuse,
    /// Reading the display.
    Measure(Leads, Loom),
    /// Looking, listening, feeling.
    Sense(PartId, Sense),
    /// Moving a plug or a piece of loom, and watching.
    Move(PartId),
    /// Laying a wire across two points.
    Bridge(PointId, PointId),
    /// Renewing a part.
    Replace(PartId),
    /// Saying what is wrong.
    Conclude(Conclusion),
    /// Asking for help.
    Hint,
    /// Words for the record.
    Note(String),
}

/// Help, in steps.
#[derive(Debug, Clone, PartialEq)]
pub enum Hint {
    /// What is still in question.
    Where(Vec<PartId>),
    /// Which kind of test.
    Kind(Box<Advice>),
    /// Which test.
    Test(Box<Advice>),
    /// What was seen and read is enough.
    Enough,
    /// No test tells more.
    NoTest,
}

/// What came of an act.
#[derive(Debug, Clone, PartialEq)]
pub enum Told {
    /// Nothing to tell, but fuses that opened.
    Done {
        /// Fuses that opened as it was done.
        opened: Vec<PartId>,
    },
    /// A display.
    Shown {
        /// What it shows.
        display: Display,
        /// Whether the thing worked meanwhile, of a fault that comes and goes.
        worked: Option<bool>,
    },
    /// A sign.
    Seen(Sign),
    /// Whether what was complained of flickered as something was moved.
    Flickered(bool),
    /// What flowed through a wire laid across.
    Bridged(Short),
    /// Whether a renewed part had anything wrong is not told; what it cost is.
    Renewed {
        /// What it cost, in money of the lesson.
        price: f64,
        /// Fuses that opened at once.
        opened: Vec<PartId>,
    },
    /// A conclusion was taken down.
    Concluded {
        /// Whether what was seen and read justifies it.
        is_justified: bool,
        /// Whether it names more than a test could not tell apart.
        is_scattered: bool,
    },
    /// Help.
    Hint(Hint),
}

/// What was unsafe.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unsafe {
    /// A wire laid across.
    Bridged,
    /// The ammeter was a short circuit.
    AmmeterAcross,
    /// A part renewed with its circuit on.
    RenewedLive,
    /// One new fuse after another.
    FuseAfterFuse,
}

/// What an act was worth.
#[derive(Debug, Clone, PartialEq)]
pub enum Worth {
    /// Not a test.
    NoTest,
    /// A test that could tell something.
    Telling {
        /// Expected, bits.
        bits: f64,
    },
    /// The state made it meaningless.
    Void,
    /// What it tells was known.
    Known,
    /// After the hunt: it proves the repair.
    Proving,
}

/// An act with its moment.
#[derive(Debug, Clone, PartialEq)]
pub struct Done {
    pub act: Act,
    /// What came of it.
    pub told: Told,
    /// Minutes on the clock once it was done.
    pub at: Minutes,
    /// What it was worth as a test.
    pub worth: Worth,
    /// What the planner would have done instead; none when there was no test.
    pub better: Option<Box<Advice>>,
    /// Whether it was unsafe.
    pub hazard: Option<Unsafe>,
    /// Entries of the record after it.
    pub entries: usize,
}

/// Why an act cannot be done. Nothing has changed.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum ActError {
    /// No probe gets there.
    #[error("no probe gets at `{point}` without cutting in; read at the nearest end that can be reached")]
    OutOfReach { point: String },
    /// Both leads on one point.
    #[error("both leads on `{point}`: that reads nothing")]
    SamePoint { point: String },
    /// A clamp between two points, or the like.
    #[error("a clamp goes round what leads through one part, such as `measure {example} amps`")]
    ClampNeedsPart { example: String },
    /// Nothing of that kind to tell.
    #[error("there is nothing to {what} at `{part}`")]
    NothingToSense {
        /// Look at, hear, feel.
        what: &'static str,
        part: String,
    },
    /// A range that the dial does not have.
    #[error("the dial has no such range; there are {ranges}")]
    NoSuchRange {
        /// Those there are.
        ranges: String,
    },
    /// The engine refused.
    #[error(transparent)]
    Case(#[from] crate::case::CaseError),
}

impl From<crate::network::SolveError> for ActError {
    fn from(error: crate::network::SolveError) -> Self {
        Self::Case(error.into())
    }
}
