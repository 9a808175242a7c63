//! What is known of a vehicle before anything is said of the case at hand:
//! predictions, priors, complaint trees, handover and history. A record is
//! weighed by it in [`weigh`](super::weigh).

use super::evidence::{Evidence, Observation, Past, Reading, Sign};
use super::handover::Handover;
use super::history::{Raise, factor};
use super::memory::WeighingMemo;
use super::needs::Needs;
use super::prior::hedged;
use crate::complaint::Trees;
use crate::fault::{FailureMode, Fault, Likely, catalogue};
use crate::network::SolveError;
use crate::predict::{Predictor, Uncertainties};
use crate::tables::Tables;
use crate::vehicle::{PartId, State, Vehicle};
use std::cell::OnceCell;
use std::rc::Rc;

/// Weighs evidence for one vehicle.
#[derive(Clone)]
pub struct Engine {
    predictor: Rc<Predictor>,
    tables: Rc<Tables>,
    catalogue: Rc<[Likely]>,
    needs: Rc<OnceCell<Needs>>,
    knowledge: Knowledge,
    /// What was worked out with this knowledge.
    memo: Rc<WeighingMemo>,
}

/// What is known beside the drawing.
#[derive(Clone, Default)]
struct Knowledge {
    handover: Option<Rc<Handover>>,
    history: Vec<Raise>,
    trees: Rc<Trees>,
    /// Whether nothing is wrong: then no fault is weighed.
    is_well: bool,
}

impl Engine {
    /// For a vehicle, with these tables.
    pub fn new(vehicle: Rc<Vehicle>, tables: Rc<Tables>) -> Self {
        let catalogue = hedged(&vehicle, catalogue(&vehicle, &tables), tables.belief.even_kinds).into();
        let predictor = Rc::new(Predictor::new(vehicle, Rc::clone(&tables)));
        Self {
            memo: Rc::new(WeighingMemo::new(&tables.memory)),
            predictor,
            tables,
            catalogue,
            needs: Rc::default(),
            knowledge: Knowledge::default(),
        }
    }

    /// The same engine, and what it has solved, where something else is known.
    fn knowing(&self, change: impl FnOnce(&mut Knowledge)) -> Self {
        let mut knowledge = self.knowledge.clone();
        change(&mut knowledge);
        Self { knowledge, memo: Rc::new(WeighingMemo::new(&self.tables.memory)), ..self.clone() }
    }

    /// The same engine, and what it has solved, for a vehicle whose readings at
    /// handover are known.
    ///
    /// # Errors
    /// [`SolveError`] if one of them was taken in a state without a solution.
    pub fn with_handover(&self, readings: Vec<Reading>) -> Result<Self, SolveError> {
        let handover = match readings.is_empty() {
            true => None,
            false => Some(Rc::new(Handover::of(&self.predictor, readings)?)),
        };
        Ok(self.knowing(|knowledge| knowledge.handover = handover))
    }

    /// The same engine for a vehicle whose past cases are known.
    pub fn with_history(&self, history: Vec<Raise>) -> Self {
        self.knowing(|knowledge| knowledge.history = history)
    }

    /// The same for a vehicle that is known to be well, as on the day of handover.
    pub fn known_well(&self) -> Self {
        self.knowing(|knowledge| knowledge.is_well = true)
    }

    /// The same with complaint trees at hand.
    pub fn with_trees(&self, trees: Rc<Trees>) -> Self {
        self.knowing(|knowledge| knowledge.trees = trees)
    }

    /// The same tables and trees for another vehicle.
    pub fn on(&self, vehicle: Rc<Vehicle>) -> Self {
        Self::new(vehicle, Rc::clone(&self.tables)).with_trees(Rc::clone(self.trees()))
    }

    /// Whether nothing is wrong.
    pub(super) fn is_well(&self) -> bool {
        self.knowledge.is_well
    }

    /// What the past raises.
    pub fn history(&self) -> &[Raise] {
        &self.knowledge.history
    }

    /// What was read at handover.
    pub fn handover(&self) -> Option<&Handover> {
        self.knowledge.handover.as_deref()
    }

    /// The complaint trees at hand.
    pub fn trees(&self) -> &Rc<Trees> {
        &self.knowledge.trees
    }

    /// The vehicle.
    pub fn vehicle(&self) -> &Rc<Vehicle> {
        self.predictor.vehicle()
    }

    /// The ways in which a part can fail.
    pub fn modes_of(&self, part: PartId) -> impl Iterator<Item = FailureMode> {
        self.faults_of(part).iter().map(|likely| likely.fault.mode)
    }

    /// How often a fault is met, from the table of rates.
    pub fn rate_of(&self, fault: Fault) -> f64 {
        self.faults_of(fault.part).iter().find(|likely| likely.fault == fault).map_or(0.0, |likely| likely.rate)
    }

    /// Those of one part: the catalogue is in part order.
    fn faults_of(&self, part: PartId) -> &[Likely] {
        let from = self.catalogue.partition_point(|likely| likely.fault.part < part);
        let rest = &self.catalogue[from..];
        &rest[..rest.partition_point(|likely| likely.fault.part == part)]
    }

    /// The predictions behind the weighing.
    pub fn predictor(&self) -> &Predictor {
        &self.predictor
    }

    /// Which loads need which parts, worked out once.
    pub(super) fn needs(&self) -> &Needs {
        let rest = || self.predictor.in_state(&State::rest(self.vehicle())).ok();
        self.needs.get_or_init(|| Needs::of(self.vehicle(), rest().as_deref()))
    }

    /// What was worked out before.
    pub(super) fn memo(&self) -> &WeighingMemo {
        &self.memo
    }

    /// The faults that there can be.
    pub(super) fn catalogue(&self) -> &[Likely] {
        &self.catalogue
    }

    /// The tables that it goes by.
    pub fn tables(&self) -> &Rc<Tables> {
        &self.tables
    }

    /// By how much the past multiplies the odds of a part.
    pub(super) fn raised(&self, evidence: &Evidence, part: PartId) -> f64 {
        if evidence.unheeded.contains(&Past::History) { 1.0 } else { factor(&self.tables.signs, self.history(), part) }
    }

    /// What is uncertain in all readings of a record and in the next one.
    pub(super) fn theta(&self, evidence: &Evidence) -> Uncertainties {
        let theta = match self.handover().filter(|_| !evidence.unheeded.contains(&Past::Handover)) {
            Some(handover) => {
                self.memo.informed.get_or_init(|| self.predictor.uncertainties().clone().knowing(handover.known()))
            }
            None => self.predictor.uncertainties(),
        };
        // What goes flat stands low whatever has emptied it.
        let flat = evidence.observations.iter().filter(|seen| seen.sign == Sign::GoesFlat);
        let run_down = |theta: Uncertainties, seen: &Observation| {
            let rest = self.vehicle().part(seen.subject).kind.battery().map_or(0.0, |battery| battery.rest.0);
            theta.with_supply(seen.subject, rest * self.tables.spreads.run_down)
        };
        flat.fold(theta.clone(), run_down).after(evidence.moment())
    }
}
