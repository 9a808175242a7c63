//! Write-ahead log: a change of the record goes to the disk before it counts.

use super::clock::Clock;
use super::disk::Keeper;
use super::line::{Header, Line, Stamp, written_out};
use super::written::Written;
use crate::case::entry::Entry;
use crate::complaint::Trees;
use crate::vehicle::Vehicle;
use thiserror::Error;

/// Ending of the file with the readings at handover.
pub const HANDOVER: &str = "handover";

/// Why an entry was not kept, and so not entered.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum KeepError {
    /// The disk refused it.
    #[error(
        "not entered, since `{file}` cannot be written: {reason}; make room or mend that and enter it again, or go on without a record (`case off`)"
    )]
    Refused {
        file: String,
        /// What the system says.
        reason: String,
    },
    /// The case is open to look at only.
    #[error("not entered: case `{name}` is open to look at only; `case NAME` opens another one to write in")]
    ReadOnly { name: String },
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

    /// A case that has lines already, to look at only; `next` is the number of the
    /// line to come.
    pub(super) fn to_look_at(header: Header, file: String, clock: Clock, by: String, next: u64) -> Self {
        Self { header, file, keeper: None, clock, by, next, entries: Vec::new(), undone: Vec::new() }
    }

    /// The same case to go on with, which is a line of its own.
    ///
    /// # Errors
    /// [`KeepError::Refused`].
    pub(super) fn going_on(self, keeper: Box<dyn Keeper>) -> Result<Self, KeepError> {
        let mut journal = Self { keeper: Some(keeper), ..self };
        let (no, at, by) = (journal.next, journal.clock.now(), journal.by.clone());
        journal.append(&Line::WentOn { no, at, by })?;
        Ok(journal)
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
        self.file.ends_with(HANDOVER)
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
    pub(in crate::case) fn take_entries(&mut self, stamps: Vec<Stamp>) {
        self.entries = stamps;
    }

    /// The stamps that go with those taken back.
    pub(in crate::case) fn take_undone(&mut self, stamps: Vec<Stamp>) {
        self.undone = stamps;
    }

    /// Keeps a change of a record whose entries are `entries` before it.
    ///
    /// # Errors
    /// [`KeepError`]; then nothing has changed, here or on the disk.
    pub(in crate::case) fn keep(
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
