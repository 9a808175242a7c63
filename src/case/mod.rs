//! The record: a list of entries. Everything shown is a function of the
//! vehicle and this list, so undo drops an entry and nothing is lost.

mod account;
mod assess;
mod entry;
mod fold;
mod steps;
mod verdict;

pub use account::{Account, Hunt, Judged, Lack, Seen, Station, Way};
pub use assess::Assessment;
pub use entry::{CaseError, Entry};
pub use fold::{Bearing, Numbered, Standing};
pub use steps::Step;
pub use verdict::Verdict;

use crate::belief::Engine;
use crate::belief::{Sign, Symptom};
use crate::predict::Predictor;
use crate::vehicle::trace::{settings_for, way_there_and_back};
use crate::vehicle::{ControlId, PartId, PartKind, Position, Vehicle};

/// A vehicle being worked on.
pub struct Case {
    engine: Engine,
    entries: Vec<Entry>,
    undone: Vec<Entry>,
    standing: Standing,
    assessment: Assessment,
}

impl Case {
    /// A case with nothing said yet.
    ///
    /// # Errors
    /// [`CaseError`] if the vehicle has no solution at rest.
    pub fn new(engine: Engine) -> Result<Self, CaseError> {
        let standing = Standing::of(engine.vehicle(), &[]);
        let assessment = Assessment::of(&engine, &standing)?;
        Ok(Self { engine, entries: Vec::new(), undone: Vec::new(), standing, assessment })
    }

    /// The vehicle.
    pub fn vehicle(&self) -> &Vehicle {
        self.engine.vehicle()
    }

    /// What an instrument would show.
    pub fn predictor(&self) -> &Predictor {
        self.engine.predictor()
    }

    /// The entries so far.
    pub fn entries(&self) -> &[Entry] {
        &self.entries
    }

    /// How things stand after them.
    pub fn standing(&self) -> &Standing {
        &self.standing
    }

    /// What follows from them.
    pub fn assessment(&self) -> &Assessment {
        &self.assessment
    }

    /// Adds an entry. If it cannot stand, nothing changes.
    ///
    /// # Errors
    /// [`CaseError`] if it names a reading that is not there, or leads to a
    /// state that cannot be solved.
    pub fn add(&mut self, entry: Entry) -> Result<(), CaseError> {
        entry.check(&self.standing)?;
        self.entries.push(entry);
        match self.refresh() {
            Ok(()) => {
                self.undone.clear();
                Ok(())
            }
            Err(error) => {
                self.entries.pop();
                Err(error)
            }
        }
    }

    /// Takes the last entry back and returns it.
    ///
    /// # Errors
    /// [`CaseError::NothingToUndo`] if there is none.
    pub fn undo(&mut self) -> Result<Entry, CaseError> {
        let entry = self.entries.pop().ok_or(CaseError::NothingToUndo)?;
        self.undone.push(entry.clone());
        self.refresh()?;
        Ok(entry)
    }

    /// Puts the last entry taken back in again and returns it.
    ///
    /// # Errors
    /// [`CaseError::NothingToRedo`] if there is none.
    pub fn redo(&mut self) -> Result<Entry, CaseError> {
        let entry = self.undone.pop().ok_or(CaseError::NothingToRedo)?;
        self.entries.push(entry.clone());
        self.refresh()?;
        Ok(entry)
    }

    fn refresh(&mut self) -> Result<(), CaseError> {
        let standing = Standing::of(self.engine.vehicle(), &self.entries);
        self.assessment = Assessment::of(&self.engine, &standing)?;
        self.standing = standing;
        Ok(())
    }

    /// What must be set for what was seen of a part to say anything: a load
    /// is only dead if it should run.
    pub fn settings_for_sign(&self, subject: PartId, sign: Sign) -> Vec<(ControlId, Position)> {
        let is_load = self.vehicle().loads().any(|load| load == subject);
        let (vehicle, state) = (self.vehicle(), &self.standing.state);
        match sign {
            Sign::Looks(_) | Sign::Sometimes if is_load => settings_for(vehicle, state, subject),
            // A fuse blows with what it feeds switched on.
            Sign::BlowsFuse | Sign::LooksBlown | Sign::LooksWhole => {
                let coils = vehicle.part_ids().filter(|&id| matches!(vehicle.part(id).kind, PartKind::Coil { .. }));
                let fed = vehicle
                    .loads()
                    .chain(coils)
                    .find(|&sink| way_there_and_back(vehicle, state, sink).contains(&subject));
                fed.map(|load| settings_for(vehicle, state, load)).unwrap_or_default()
            }
            _ => Vec::new(),
        }
    }

    /// Whether the fault shows in a reading of which nothing is said: of what
    /// comes and goes nobody knows.
    pub fn usual_symptom(&self) -> Symptom {
        let observations = &self.standing.evidence.observations;
        match observations.iter().any(|seen| seen.sign == Sign::Sometimes) {
            true => Symptom::Perhaps,
            false => Symptom::Present,
        }
    }

    /// What was seen of a part, with what must be set for it.
    pub fn observed(&self, subject: PartId, sign: Sign) -> Entry {
        Entry::Observe { settings: self.settings_for_sign(subject, sign), subject, sign }
    }
}
