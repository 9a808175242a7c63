//! Event log: a list of entries, with undo and redo. Everything shown is a
//! function of the vehicle and this list.

use super::assess::Assessment;
use super::entry::Entry;
use super::error::CaseError;
use super::fold::Standing;
use super::journal::{Change, Journal};
use crate::belief::{Engine, Sign, Symptom};
use crate::complaint::Trees;
use crate::plan::walk::Walks;
use crate::predict::Predictor;
use crate::vehicle::trace::{settings_for, way_there_and_back};
use crate::vehicle::{ControlId, PartId, Position, State, Vehicle};
use std::rc::Rc;

/// A vehicle being worked on.
pub struct Case {
    pub(super) engine: Rc<Engine>,
    pub(super) entries: Vec<Entry>,
    pub(super) undone: Vec<Entry>,
    pub(super) standing: Standing,
    pub(super) assessment: Assessment,
    pub(super) journal: Option<Journal>,
    pub(super) walks: Walks,
}

impl Case {
    /// A case with nothing said yet. Cases may share an engine, and what it has
    /// solved.
    ///
    /// # Errors
    /// [`CaseError`] if the vehicle has no solution at rest.
    pub fn new(engine: impl Into<Rc<Engine>>) -> Result<Self, CaseError> {
        let engine = engine.into();
        let standing = Standing::of(&engine, &[]);
        let assessment = Assessment::of(&engine, &standing)?;
        Ok(Self {
            walks: Walks::new(engine.tables()),
            engine,
            entries: Vec::new(),
            undone: Vec::new(),
            standing,
            assessment,
            journal: None,
        })
    }

    /// A case on another vehicle, with nothing said yet.
    ///
    /// # Errors
    /// [`CaseError`] if the vehicle has no solution at rest.
    pub fn on(&self, vehicle: Rc<Vehicle>) -> Result<Self, CaseError> {
        Self::new(self.engine.on(vehicle))
    }

    /// The vehicle.
    pub fn vehicle(&self) -> &Vehicle {
        self.engine.vehicle()
    }

    /// What weighs the evidence.
    pub fn engine(&self) -> &Rc<Engine> {
        &self.engine
    }

    /// What an instrument would show.
    pub fn predictor(&self) -> &Predictor {
        self.engine.predictor()
    }

    /// The complaint trees at hand.
    pub fn trees(&self) -> &Trees {
        self.engine.trees()
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

    /// The same record with another assessment: one of given values, to be worded.
    pub fn with_assessment(self, assessment: Assessment) -> Self {
        Self { assessment, ..self }
    }

    /// The lines it is kept in, if it is kept.
    pub fn journal(&self) -> Option<&Journal> {
        self.journal.as_ref()
    }

    /// Adds an entry. If it cannot stand or cannot be kept, nothing changes.
    ///
    /// # Errors
    /// [`CaseError`] if it names a reading that is not there, leads to a state
    /// that cannot be solved, or is refused by the disk.
    pub fn add(&mut self, entry: Entry) -> Result<(), CaseError> {
        self.standing.admits(&entry)?;
        let mut entries = self.entries.clone();
        entries.push(entry.clone());
        self.adopt(entries, Change::Added(&entry))?;
        self.undone.clear();
        Ok(())
    }

    /// Takes the last entry back and returns it.
    ///
    /// # Errors
    /// [`CaseError::NothingToUndo`] if there is none; [`CaseError::NotKept`].
    pub fn undo(&mut self) -> Result<Entry, CaseError> {
        let mut entries = self.entries.clone();
        let entry = entries.pop().ok_or(CaseError::NothingToUndo)?;
        self.adopt(entries, Change::Undone)?;
        self.undone.push(entry.clone());
        Ok(entry)
    }

    /// Puts the last entry taken back in again and returns it.
    ///
    /// # Errors
    /// [`CaseError::NothingToRedo`] if there is none; [`CaseError::NotKept`].
    pub fn redo(&mut self) -> Result<Entry, CaseError> {
        let entry = self.undone.last().ok_or(CaseError::NothingToRedo)?.clone();
        let mut entries = self.entries.clone();
        entries.push(entry.clone());
        self.adopt(entries, Change::Redone)?;
        self.undone.pop();
        Ok(entry)
    }

    /// Makes `entries` the record, once it is known that they can stand and
    /// once the change is on the disk.
    fn adopt(&mut self, entries: Vec<Entry>, change: Change<'_>) -> Result<(), CaseError> {
        let standing = Standing::of(&self.engine, &entries);
        let assessment = Assessment::of(&self.engine, &standing)?;
        if let Some(journal) = &mut self.journal {
            journal.keep(self.engine.vehicle(), self.engine.trees(), &self.entries, change)?;
        }
        (self.entries, self.standing, self.assessment) = (entries, standing, assessment);
        Ok(())
    }

    /// What must be set for what was seen of a part to say anything: a load
    /// is only dead if it should run.
    pub fn settings_for_sign(&self, subject: PartId, sign: Sign) -> Vec<(ControlId, Position)> {
        let is_load = self.vehicle().loads().any(|load| load == subject);
        let (vehicle, state) = (self.vehicle(), &self.standing.state);
        match sign {
            Sign::Looks(_) | Sign::Sometimes if is_load => settings_for(vehicle, state, subject),
            // What goes flat does so while everything sleeps.
            Sign::GoesFlat => {
                let asleep = vehicle.sleep_controls().map(|control| (control, Position::On));
                asleep.filter(|&(control, position)| state.position(control) != position).collect()
            }
            // A fuse blows with what it feeds switched on.
            Sign::BlowsFuse | Sign::LooksBlown | Sign::LooksWhole => {
                let coils = vehicle.part_ids().filter(|&id| vehicle.part(id).kind.is_coil());
                let fed = vehicle
                    .loads()
                    .chain(coils)
                    .find(|&sink| way_there_and_back(vehicle, state, sink).contains(&subject));
                fed.map(|load| settings_for(vehicle, state, load)).unwrap_or_default()
            }
            Sign::Looks(_) | Sign::Sometimes | Sign::StaysOn | Sign::Glows => Vec::new(),
            Sign::Uncharged | Sign::ChargesLittle => self.charging_settings(subject),
            Sign::Clicks | Sign::Silent | Sign::Gives | Sign::Idle | Sign::LampBright | Sign::LampDim => Vec::new(),
            Sign::Hot | Sign::Cool | Sign::Green | Sign::ComesBack | Sign::NoBetter => Vec::new(),
        }
    }

    /// What can be set for a battery to be charged that nothing charges as things
    /// are set: for each source what it takes.
    pub fn ways_to_charge(&self, battery: PartId) -> Vec<Vec<(ControlId, Position)>> {
        let (vehicle, state) = (self.vehicle(), &self.standing.state);
        let charges = |state: &State| self.engine.predictor().charges(state, battery);
        let takes = |source: PartId| -> Vec<(ControlId, Position)> {
            let gates = vehicle.part(source).gates.iter().copied();
            gates.filter(|&(control, position)| state.position(control) != position).collect()
        };
        let sources = vehicle.supplies().filter(|&id| vehicle.part(id).kind.is_regulated() && !charges(state));
        let mut ways: Vec<_> = sources.map(takes).filter(|takes| charges(&state.with_all(takes))).collect();
        ways.dedup();
        ways
    }

    /// What the only source that can charge a battery takes.
    fn charging_settings(&self, battery: PartId) -> Vec<(ControlId, Position)> {
        match &mut self.ways_to_charge(battery)[..] {
            [only] => std::mem::take(only),
            _ => Vec::new(),
        }
    }

    /// Whether the fault shows in a reading of which nothing is said: of what
    /// comes and goes nobody knows.
    pub fn usual_symptom(&self) -> Symptom {
        self.standing.evidence.usual_symptom()
    }

    /// What was seen of a part, with what must be set for it.
    pub fn observed(&self, subject: PartId, sign: Sign) -> Entry {
        Entry::Observe { settings: self.settings_for_sign(subject, sign), subject, sign }
    }
}
