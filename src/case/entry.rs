//! What can be entered.

use super::fold::{Numbered, Standing};
use super::journal::{KeepError, ShelfError};
use crate::belief::{Past, Sign, Symptom};
use crate::complaint::{QuestionId, Told, TreeId};
use crate::meter::MeterKind;
use crate::network::SolveError;
use crate::plan::Test;
use crate::plan::walk::Scope;
use crate::predict::Probe;
use crate::quantity::Measured;
use crate::vehicle::{ControlId, PartId, PointId, Position};
use thiserror::Error;

/// One entry of the record.
#[derive(Debug, Clone, PartialEq)]
pub enum Entry {
    /// Something seen or complained of, after setting what it needs.
    Observe {
        /// What was set for it.
        settings: Vec<(ControlId, Position)>,
        /// Of what.
        subject: PartId,
        /// What.
        sign: Sign,
    },
    /// Something complained of in people's words, with the tree that goes with
    /// them, after setting what it needs.
    Complain {
        /// What was set for it.
        settings: Vec<(ControlId, Position)>,
        /// Of what.
        subject: PartId,
        /// What.
        sign: Sign,
        /// The tree.
        tree: TreeId,
    },
    /// An answer to a question of the tree.
    Answer {
        /// The question.
        question: QuestionId,
        /// Position of the answer.
        answer: usize,
    },
    /// Who looks and reads from here on.
    Helping {
        /// Who.
        told: Told,
    },
    /// Something set.
    Set {
        /// What.
        settings: Vec<(ControlId, Position)>,
    },
    /// Something read, after setting what it needs.
    Read {
        /// What was set for it.
        settings: Vec<(ControlId, Position)>,
        /// What was measured.
        probe: Probe,
        /// What the display showed.
        measured: Measured,
        /// Whether the fault showed.
        symptom: Symptom,
    },
    /// A reading taken again: the new value counts.
    Retake {
        /// Its number.
        number: usize,
        /// The new value.
        measured: Measured,
    },
    /// A reading struck out.
    Strike {
        /// Its number.
        number: usize,
    },
    /// A part repaired or renewed: what was seen and read before no longer counts.
    Repaired {
        /// Which.
        part: PartId,
    },
    /// The black lead's usual point.
    BlackLead {
        /// Where.
        point: PointId,
    },
    /// The meter in hand.
    TakeMeter {
        /// Which.
        kind: MeterKind,
    },
    /// A point that cannot be reached.
    OutOfReach {
        /// Which.
        point: PointId,
    },
    /// A test not wanted.
    Unwanted {
        /// Which.
        test: Test,
    },
    /// Which walk is taken at handover from here on.
    Walk {
        /// Which readings it takes.
        scope: Scope,
    },
    /// Something of the vehicle's past counts from now on, or no longer.
    Heed {
        /// What.
        past: Past,
        /// Whether it counts.
        counts: bool,
    },
    /// Words for the record.
    Note {
        /// The words.
        text: String,
    },
}

/// Why an entry cannot stand.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum CaseError {
    /// No reading of that number.
    #[error("there is no reading number {number}; `readings` lists them")]
    NoSuchReading {
        /// What was asked for.
        number: usize,
    },
    /// A reading taken again in another unit.
    #[error("reading number {number} was of another quantity; give the new value in the same unit")]
    OtherQuantity {
        /// Its number.
        number: usize,
    },
    /// An answer, but nothing is complained of.
    #[error("no complaint is being asked about; say it first, such as `complaint the fridge is dead`")]
    NoComplaint,
    /// The state cannot be solved.
    #[error("this state has no solution: {source}")]
    Unsolvable {
        /// Why.
        #[from]
        source: SolveError,
    },
    /// It could not be kept.
    #[error(transparent)]
    NotKept(#[from] KeepError),
    /// The case could not be opened.
    #[error(transparent)]
    NotOpened(#[from] ShelfError),
    /// There is nowhere to keep cases.
    #[error("no folder for cases is known here")]
    NoShelf,
    /// What has been entered is in no case, and another case would take its place.
    #[error(
        "case `{name}` is there already, and what was entered so far is in no case yet: keep it first under a new name (`case NEW-NAME`)"
    )]
    WouldBeLost {
        /// The case that was asked for.
        name: String,
    },
    /// Entries that are in no case would be lost.
    #[error("what was entered so far is in no case: keep it first (`case NAME`), then go on the walk")]
    KeepFirst,
    /// No entry to take back.
    #[error("nothing to undo")]
    NothingToUndo,
    /// No entry to put in again.
    #[error("nothing to redo")]
    NothingToRedo,
}

impl Entry {
    /// What it tells of a part, seen or complained of.
    pub fn seen(&self) -> Option<(PartId, Sign)> {
        match *self {
            Self::Observe { subject, sign, .. } | Self::Complain { subject, sign, .. } => Some((subject, sign)),
            _ => None,
        }
    }

    pub(super) fn check(&self, standing: &Standing) -> Result<(), CaseError> {
        match *self {
            Self::Retake { number, measured } => {
                let numbered = counting(standing, number)?;
                let fits = numbered.reading.probe.fits(&measured);
                if fits { Ok(()) } else { Err(CaseError::OtherQuantity { number }) }
            }
            Self::Answer { .. } if standing.complaint.is_none() => Err(CaseError::NoComplaint),
            Self::Strike { number } => counting(standing, number).map(|_| ()),
            _ => Ok(()),
        }
    }
}

fn counting(standing: &Standing, number: usize) -> Result<&Numbered, CaseError> {
    let mut readings = standing.readings.iter();
    readings.find(|reading| reading.number == number && reading.counts()).ok_or(CaseError::NoSuchReading { number })
}
