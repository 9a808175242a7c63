//! A case on disk: one entry a line, only ever added to, on the disk before
//! it is answered. Undo and redo are lines too.

mod clock;
mod disk;
mod line;
mod replay;
mod shelf;
mod written;

pub use clock::{Clock, Moment, MomentError};
pub use disk::{DiskFile, Keeper};
pub use line::{FORMAT, Header, Stamp};
pub use replay::{Kept, Replayed, replay};
pub use shelf::{Access, CASES, Listed, OFF, Opened, Shelf, ShelfError};

use super::Entry;
use crate::complaint::Trees;
use crate::vehicle::Vehicle;
use line::{Line, written_out};
use thiserror::Error;
use written::Written;

/// Why an entry was not kept, and so not entered.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum KeepError {
    /// The disk refused it.
    #[error(
        "not entered, since `{file}` cannot be written: {reason}; make room or mend that and enter it again, or go on without a record (`case off`)"
    )]
    Refused {
        /// The file.
        file: String,
        /// What the system says.
        reason: String,
    },
    /// The case is open to look at only.
    #[error("not entered: case `{name}` is open to look at only; `case NAME` opens another one to write in")]
    ReadOnly {
        /// The case.
        name: String,
    },
}

/// A change of the record.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Change<'e> {
    /// An entry was added.
    Added(&'e Entry),
    /// The last entry was taken back.
    Undone,
    /// The last entry taken back was put in again.
    Redone,
}

/// The lines of a case as they are kept.
pub struct Journal {
    /// The first line.
    header: Header,
    /// The file, for messages.
    file: String,
    /// Where lines go; `None` to look only.
    keeper: Option<Box<dyn Keeper>>,
    clock: Clock,
    by: String,
    next: u64,
    /// Stamps of the entries that stand, in their order.
    entries: Vec<Stamp>,
    /// Stamps of those taken back, in their order.
    undone: Vec<Stamp>,
}

impl Journal {
    /// A new case; its first line is kept at once.
    ///
    /// # Errors
    /// [`KeepError::Refused`].
    pub fn begin(
        mut keeper: Box<dyn Keeper>,
        file: String,
        header: Header,
        clock: Clock,
        by: String,
    ) -> Result<Self, KeepError> {
        keeper
            .append(&written_out(&header))
            .map_err(|error| KeepError::Refused { file: file.clone(), reason: error.to_string() })?;
        let (entries, undone) = (Vec::new(), Vec::new());
        Ok(Self { header, file, keeper: Some(keeper), clock, by, next: 1, entries, undone })
    }

    /// The first line.
    pub fn header(&self) -> &Header {
        &self.header
    }

    /// The file, as it is shown to people.
    pub fn file(&self) -> &str {
        &self.file
    }

    /// When and by whom each entry that stands was made, in their order.
    pub fn stamps(&self) -> &[Stamp] {
        &self.entries
    }

    /// Whether it holds the readings at handover.
    pub fn is_handover(&self) -> bool {
        self.file.ends_with(shelf::HANDOVER)
    }

    /// Whether nobody gave it a name.
    pub fn is_named_by_clock(&self) -> bool {
        self.header.name.starts_with(&self.header.begun.as_name())
    }

    /// Whether it is open to look at only.
    pub fn is_read_only(&self) -> bool {
        self.keeper.is_none()
    }

    /// The stamps that go with the entries of a file.
    pub(super) fn take_entries(&mut self, stamps: Vec<Stamp>) {
        self.entries = stamps;
    }

    /// The stamps that go with those taken back.
    pub(super) fn take_undone(&mut self, stamps: Vec<Stamp>) {
        self.undone = stamps;
    }

    /// Keeps a change of a record whose entries are `entries` before it.
    ///
    /// # Errors
    /// [`KeepError`]; then nothing has changed, here or on the disk.
    pub(super) fn keep(
        &mut self,
        vehicle: &Vehicle,
        trees: &Trees,
        entries: &[Entry],
        change: Change<'_>,
    ) -> Result<(), KeepError> {
        let (no, at, by) = (self.next, self.clock.now(), self.by.clone());
        let numbers = |stamps: &[Stamp]| stamps.last().map_or(0, |stamp| stamp.number);
        let line = match change {
            Change::Added(entry) => {
                let number_of = |reading: usize| self.holder_of(entries, reading);
                Line::Entry { no, at, by, did: Written::of(entry, vehicle, trees, number_of) }
            }
            Change::Undone => Line::Undo { no, at, by, of: numbers(&self.entries) },
            Change::Redone => Line::Redo { no, at, by, of: numbers(&self.undone) },
        };
        self.append(&line)?;
        match change {
            Change::Added(_) => {
                self.entries.push(line.stamp());
                self.undone.clear();
            }
            Change::Undone => self.undone.extend(self.entries.pop()),
            Change::Redone => self.entries.extend(self.undone.pop()),
        }
        Ok(())
    }

    fn append(&mut self, line: &Line) -> Result<(), KeepError> {
        let Some(keeper) = &mut self.keeper else {
            return Err(KeepError::ReadOnly { name: self.header.name.clone() });
        };
        keeper
            .append(&written_out(line))
            .map_err(|error| KeepError::Refused { file: self.file.clone(), reason: error.to_string() })?;
        self.next += 1;
        Ok(())
    }

    /// Number of the line that holds a reading.
    fn holder_of(&self, entries: &[Entry], reading: usize) -> u64 {
        let mut readings = entries.iter().zip(&self.entries).filter(|(entry, _)| matches!(entry, Entry::Read { .. }));
        readings.nth(reading.saturating_sub(1)).map_or(0, |(_, stamp)| stamp.number)
    }
}
