//! What was worked out for one answer and serves the next: a record mostly
//! grows by one entry, and what the older readings show under each explanation
//! stays as it was. Nothing hangs on it but time.

use super::candidate::Candidate;
use super::evidence::{Evidence, Observation, Reading};
use super::undrawn::Kept;
use crate::complaint::TreeId;
use crate::fault::Fault;
use crate::predict::{HypothesisKey, Phase, Prediction, Uncertainties};
use crate::vehicle::{PartId, State};
use rustc_hash::FxHashMap;
use std::rc::Rc;

/// Numerical: loadings kept, at most; beyond that it begins anew.
const MOST_LOADINGS: usize = 1 << 20;

/// What is kept.
#[derive(Default)]
pub(super) struct Memory {
    theta: Uncertainties,
    readings: Vec<Slot>,
    /// Loadings kept in all of them.
    loadings: usize,
    faulty: Vec<(Known, Rc<Faulty>)>,
    undrawn: Kept,
}

/// What one reading was to show.
struct Slot {
    reading: Reading,
    shown: FxHashMap<(HypothesisKey, Phase), Rc<Prediction>>,
    /// Whether a fault of any size could move it.
    moved: FxHashMap<Fault, bool>,
}

/// Every fault that stands, and how often all of them make such a complaint.
type Faulty = (Vec<Candidate>, f64);

/// All that decides which faults stand, and how likely by what was seen.
#[derive(PartialEq)]
pub(super) struct Known {
    pub complaint: Option<Observation>,
    pub later: Vec<Observation>,
    pub tree: Option<TreeId>,
    pub repaired: Vec<PartId>,
    pub is_history_heeded: bool,
    pub states: Vec<State>,
}

impl Memory {
    /// Drops what says nothing of this evidence. Positions of readings are then
    /// those of [`Evidence::all_readings`].
    pub fn turn_to(&mut self, evidence: &Evidence, theta: &Uncertainties) {
        let mut known = std::mem::take(&mut self.readings);
        for reading in evidence.all_readings() {
            let slot = match known.iter().position(|slot| slot.reading == *reading) {
                Some(at) => known.swap_remove(at),
                None => Slot { reading: reading.clone(), shown: FxHashMap::default(), moved: FxHashMap::default() },
            };
            self.readings.push(slot);
        }
        if !self.theta.is_like(theta) || self.loadings > MOST_LOADINGS {
            self.readings.iter_mut().for_each(|slot| slot.shown.clear());
        }
        let each = theta.entries().len();
        self.loadings = self.readings.iter().map(|slot| slot.shown.len() * each).sum();
        self.theta = theta.clone();
    }

    /// How many readings it is turned to.
    pub fn readings(&self) -> usize {
        self.readings.len()
    }

    /// What a reading shows, if that is known.
    pub fn shown(&self, reading: usize, hypothesis: &HypothesisKey, phase: Phase) -> Option<Rc<Prediction>> {
        self.readings.get(reading)?.shown.get(&(*hypothesis, phase)).cloned()
    }

    /// Keeps what a reading shows.
    pub fn keep_shown(&mut self, reading: usize, hypothesis: HypothesisKey, phase: Phase, shown: &Rc<Prediction>) {
        if let Some(slot) = self.readings.get_mut(reading) {
            self.loadings += shown.loadings.len();
            slot.shown.insert((hypothesis, phase), Rc::clone(shown));
        }
    }

    /// Whether a fault could move a reading, if that is known.
    pub fn is_moved(&self, reading: usize, fault: Fault) -> Option<bool> {
        self.readings.get(reading)?.moved.get(&fault).copied()
    }

    /// Keeps whether a fault could move a reading.
    pub fn keep_moved(&mut self, reading: usize, fault: Fault, is_moved: bool) {
        if let Some(slot) = self.readings.get_mut(reading) {
            slot.moved.insert(fault, is_moved);
        }
    }

    /// The faults that stand, if they are known.
    pub fn faulty(&self, seen: &Known) -> Option<Rc<Faulty>> {
        self.faulty.iter().find(|(known, _)| known == seen).map(|(_, faulty)| Rc::clone(faulty))
    }

    /// Keeps the faults that stand: of now, and of before a repair.
    pub fn keep_faulty(&mut self, seen: Known, faulty: &Rc<Faulty>) {
        self.faulty.truncate(1);
        self.faulty.insert(0, (seen, Rc::clone(faulty)));
    }

    /// What the first look at undrawn paths has left.
    pub fn undrawn(&mut self) -> &mut Kept {
        &mut self.undrawn
    }
}
