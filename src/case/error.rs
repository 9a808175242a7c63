//! Why an entry cannot stand, or cannot be kept.

use super::journal::{KeepError, ShelfError};
use crate::network::SolveError;
use thiserror::Error;

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
    OtherQuantity { number: usize },
    /// An answer, but nothing is complained of.
    #[error("no complaint is being asked about; say it first, such as `complaint the fridge is dead`")]
    NoComplaint,
    /// The state cannot be solved.
    #[error("this state has no solution: {source}")]
    Unsolvable {
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
