//! Weights of all hypotheses for some evidence.

use super::answers::Hearing;
use super::collect::{Shares, collect};
use super::doubles::{Desk, Met, pairs};
use super::entrants::vain_repairs;
use super::evidence::{Evidence, Observation, Past, Reading, Symptom};
use super::gaussian::{Joint, Misread, log_normal};
use super::handover::Handover;
use super::history::{Raise, factor};
use super::memory::Memory;
use super::named::Needs;
use super::ties::ties;
use super::{Belief, Site};
use crate::complaint::{Told, Trees};
use crate::fault::{Fault, Likely, Mode, catalogue};
use crate::meter::MeterKind;
use crate::network::SolveError;
use crate::predict::{Hypothesis, Phase, Predictor, Shown, StateModel, Theta, View};
use crate::tables::Tables;
use crate::vehicle::{PartId, PointId, State, Vehicle};
use rustc_hash::FxHashMap;
use std::cell::{OnceCell, RefCell};
use std::ops::Index;
use std::rc::Rc;

/// Share of readings that an undrawn fault leaves as they should be.
const UNDRAWN_AS_SOUND: f64 = 0.5;

/// Chance that a reading by phone is of another point or another figure;
/// common practice, no source.
const MISREAD_BY_PHONE: f64 = 0.12;

/// One explanation with its weight.
pub struct Weighed {
    /// What.
    pub hypothesis: Hypothesis,
    /// Where it shows.
    pub site: Site,
    /// Probability.
    pub probability: f64,
    /// The readings under it; `None` for a drawing that is wrong somehow.
    pub joint: Option<Rc<Joint>>,
    /// The phase that the readings fit better.
    pub phase: Phase,
}

/// Weighs evidence for one vehicle.
#[derive(Clone)]
pub struct Engine {
    predictor: Rc<Predictor>,
    tables: Rc<Tables>,
    catalogue: Vec<Likely>,
    handover: Option<Rc<Handover>>,
    history: Vec<Raise>,
    trees: Rc<Trees>,
    needs: Rc<OnceCell<Needs>>,
    memory: Rc<RefCell<Memory>>,
}

/// The states that were used: few, and asked for so often that telling them
/// apart is cheaper than a hash of all their controls.
#[derive(Default)]
pub(super) struct Models<'e>(Vec<(&'e State, Rc<StateModel>)>);

impl<'e> Models<'e> {
    fn of(predictor: &Predictor, states: impl Iterator<Item = &'e State>) -> Result<Self, SolveError> {
        let mut models = Self::default();
        for state in states {
            if models.find(state).is_none() {
                models.0.push((state, predictor.in_state(state)?));
            }
        }
        Ok(models)
    }

    fn find(&self, state: &State) -> Option<&Rc<StateModel>> {
        let is_it = |known: &State| std::ptr::eq(known, state) || known == state;
        self.0.iter().find(|(known, _)| is_it(known)).map(|(_, model)| model)
    }

    /// Each state with its model.
    pub fn iter(&self) -> impl Iterator<Item = (&State, &Rc<StateModel>)> {
        self.0.iter().map(|(state, model)| (*state, model))
    }
}

impl Index<&State> for Models<'_> {
    type Output = Rc<StateModel>;

    fn index(&self, state: &State) -> &Rc<StateModel> {
        self.find(state).expect("a state of the evidence")
    }
}

/// What of two faults a reading shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Half {
    /// What both do together.
    Both,
    /// What the first does by itself: the second does not move it.
    First,
    /// What the second does by itself.
    Second,
}

/// A hypothesis on its way through the weighing.
#[derive(Clone)]
pub(super) struct Entrant {
    pub hypothesis: Hypothesis,
    pub site: Site,
    pub log_prior: f64,
    /// Of that, what the complaint is named by: see [`Needs`].
    pub log_named: f64,
    pub log_weight: f64,
    pub joint: Option<Rc<Joint>>,
    pub phase: Phase,
    /// What it shows a meter: itself, or soundness where it moves no reading.
    pub shows: Hypothesis,
    /// Of two faults, which of them each reading shows, where it is not both.
    pub halves: Vec<Half>,
    /// What showed before a repair, where that was another fault.
    pub showed: Option<Hypothesis>,
}

impl Entrant {
    /// A hypothesis by its prior and what was seen; its readings are still to
    /// be weighed, and show it itself.
    pub fn new(hypothesis: Hypothesis, site: Site, log_prior: f64, log_seen: f64) -> Self {
        Self {
            hypothesis,
            site,
            log_prior,
            log_named: 0.0,
            log_weight: log_prior + log_seen,
            joint: None,
            phase: Phase::default(),
            shows: hypothesis,
            halves: Vec::new(),
            showed: None,
        }
    }

    /// Takes into account that of all it stops one load was named.
    pub fn name(&mut self, log_named: f64) {
        self.log_named += log_named;
        self.weigh_prior(log_named);
    }

    fn hear(&mut self, hearing: &Hearing<'_>) {
        self.weigh_prior(hearing.log_chance(&self.hypothesis, self.site));
    }

    /// Takes ln of a chance into prior and weight alike: it moves the odds and
    /// clears nothing.
    pub fn weigh_prior(&mut self, log_chance: f64) {
        self.log_prior += log_chance;
        self.log_weight += log_chance;
    }

    /// Whether it is a fault that is there now and was all along.
    pub fn is_single(&self) -> bool {
        self.hypothesis != Hypothesis::Sound && self.showed.is_none()
    }

    /// What it shows in a reading; `now` readings were taken since the last repair
    /// and come first, before it something else may have shown.
    fn shows_in(&self, reading: usize, now: usize) -> Hypothesis {
        match (self.halves.get(reading), self.shows, self.showed) {
            (Some(Half::First), Hypothesis::Double { first: (fault, size), .. }, _)
            | (Some(Half::Second), Hypothesis::Double { second: (fault, size), .. }, _) => {
                Hypothesis::Faulty { fault, size }
            }
            (_, _, Some(showed)) if reading >= now => showed,
            (_, shows, _) => shows,
        }
    }

    /// Whether it is a drawing that is wrong nobody knows where.
    fn is_vague(&self) -> bool {
        self.site == Site::Undrawn && self.hypothesis == Hypothesis::Sound
    }
}

impl Engine {
    /// For a vehicle, with these tables.
    pub fn new(vehicle: Rc<Vehicle>, tables: Rc<Tables>) -> Self {
        let catalogue = catalogue(&vehicle, &tables);
        let predictor = Rc::new(Predictor::new(vehicle, Rc::clone(&tables)));
        Self {
            predictor,
            tables,
            catalogue,
            trees: Rc::default(),
            handover: None,
            history: Vec::new(),
            needs: Rc::default(),
            memory: Rc::default(),
        }
    }

    /// The same engine, and what it has solved, for a vehicle whose readings at
    /// handover are known.
    ///
    /// # Errors
    /// [`SolveError`] if one of them was taken in a state without a solution.
    pub fn with_handover(&self, readings: Vec<Reading>) -> Result<Self, SolveError> {
        let handover = match readings.is_empty() {
            true => None,
            false => Some(Rc::new(Handover::of(&self.predictor, readings, self.tables.belief.misread)?)),
        };
        Ok(Self { handover, memory: Rc::default(), ..self.clone() })
    }

    /// The same engine for a vehicle whose past cases are known.
    pub fn with_history(&self, history: Vec<Raise>) -> Self {
        Self { history, memory: Rc::default(), ..self.clone() }
    }

    /// What the past raises.
    pub fn history(&self) -> &[Raise] {
        &self.history
    }

    /// What was read at handover.
    pub fn handover(&self) -> Option<&Handover> {
        self.handover.as_deref()
    }

    /// The same with complaint trees at hand.
    pub fn with_trees(self, trees: Rc<Trees>) -> Self {
        Self { trees, ..self }
    }

    /// The same tables and trees for another vehicle.
    pub fn on(&self, vehicle: Rc<Vehicle>) -> Self {
        Self::new(vehicle, Rc::clone(&self.tables)).with_trees(Rc::clone(&self.trees))
    }

    /// The complaint trees at hand.
    pub fn trees(&self) -> &Rc<Trees> {
        &self.trees
    }

    /// The vehicle.
    pub fn vehicle(&self) -> &Rc<Vehicle> {
        self.predictor.vehicle()
    }

    /// The ways in which a part can fail.
    pub fn modes_of(&self, part: PartId) -> impl Iterator<Item = Mode> {
        self.catalogue.iter().filter(move |likely| likely.fault.part == part).map(|likely| likely.fault.mode)
    }

    /// The predictions behind the weighing.
    pub fn predictor(&self) -> &Predictor {
        &self.predictor
    }

    /// Probabilities given everything known; the next reading will be taken in
    /// state `now` with `meter`.
    ///
    /// # Errors
    /// [`SolveError`] if the circuit has no solution in a state that was used.
    pub fn weigh(&self, evidence: &Evidence, now: &State, meter: MeterKind) -> Result<Belief, SolveError> {
        let used = evidence.all_observations().map(|seen| &seen.state);
        let used = used.chain(evidence.all_readings().map(|reading| &reading.state));
        let models = Models::of(&self.predictor, used)?;
        let theta = self.theta(evidence, &models, &*self.predictor.in_state(now)?, meter);
        if evidence.is_empty() {
            return Ok(Belief::unasked(theta));
        }
        self.memory().borrow_mut().turn_to(evidence, &theta);
        let mut entrants = self.entrants(evidence, &models);
        if let Some(first) = self.repaired_before(evidence, &models, &entrants, &theta) {
            entrants.extend(self.entrants_behind(evidence, &models, &first));
        }
        // How often faults are met does not hang on what is answered.
        let met = Met::of(&entrants);
        // What people answer is heard before anything is measured: it moves the
        // odds, but clears nothing.
        let hearing = Hearing::of(self.vehicle(), &self.trees, evidence);
        entrants.iter_mut().for_each(|entrant| entrant.hear(&hearing));
        let before = Shares::of(self.vehicle(), entrants.iter());
        self.weigh_all(&mut entrants, evidence, &models, &theta);
        let desk = Desk::new(self, evidence, &models, &theta, met, &entrants);
        let unexplained = desk.leaves_something_unexplained();
        let mut more = if unexplained { pairs(&desk) } else { Vec::new() };
        more.extend(if unexplained || evidence.earlier.is_some() { ties(&desk) } else { Vec::new() });
        more.iter_mut().for_each(|entrant| entrant.hear(&hearing));
        entrants.extend(more);
        Ok(collect(self.vehicle(), entrants, &before, evidence.readings.len(), theta))
    }

    /// Which loads need which parts, worked out once.
    pub(super) fn needs(&self) -> &Needs {
        let rest = || self.predictor.in_state(&State::rest(self.vehicle())).ok();
        self.needs.get_or_init(|| Needs::of(self.vehicle(), rest().as_deref()))
    }

    /// What was worked out before.
    pub(super) fn memory(&self) -> &RefCell<Memory> {
        &self.memory
    }

    /// The faults that there can be.
    pub(super) fn catalogue(&self) -> &[Likely] {
        &self.catalogue
    }

    /// The tables that it goes by.
    pub fn tables(&self) -> &Rc<Tables> {
        &self.tables
    }

    /// The fault of a renewed part that explains best what was known then.
    fn repaired_before(
        &self,
        evidence: &Evidence,
        models: &Models<'_>,
        entrants: &[Entrant],
        theta: &Theta,
    ) -> Option<Entrant> {
        let earlier = evidence.earlier.as_ref()?;
        let then = Evidence {
            observations: earlier.observations.clone(),
            readings: earlier.readings.clone(),
            unheeded: evidence.unheeded.clone(),
            ..Evidence::default()
        };
        let seen: Vec<&Observation> = then.observations.iter().collect();
        let renewed = entrants.iter().filter(|entrant| vain_repairs(self.vehicle(), entrant, evidence) > 0);
        let weighed = renewed.map(|entrant| {
            // The last repair of it was good, whatever became of those before.
            let log_prior = entrant.log_prior - self.repair_fails(entrant);
            let log_weight = log_prior + self.seen(&seen, &entrant.hypothesis, models);
            let mut entrant = Entrant { log_prior, log_weight, joint: None, showed: None, ..entrant.clone() };
            self.weigh_readings(&mut entrant, &then, models, theta);
            entrant
        });
        weighed.max_by(|a, b| a.log_weight.total_cmp(&b.log_weight))
    }

    /// By how much the past multiplies the odds of a part.
    pub(super) fn raised(&self, evidence: &Evidence, part: PartId) -> f64 {
        if evidence.unheeded.contains(&Past::History) { 1.0 } else { factor(&self.tables.signs, &self.history, part) }
    }

    /// How often a fault is met, from the table of rates.
    pub fn rate_of(&self, fault: Fault) -> f64 {
        self.catalogue.iter().find(|likely| likely.fault == fault).map_or(0.0, |likely| likely.rate)
    }

    fn theta(&self, evidence: &Evidence, models: &Models<'_>, now: &StateModel, meter: MeterKind) -> Theta {
        let read_in = models
            .iter()
            .filter(|(state, _)| evidence.all_readings().any(|reading| reading.state == **state))
            .map(|(_, model)| &**model);
        let read_in: Vec<&StateModel> = read_in.chain([now]).collect();
        let meters: Vec<_> = evidence.all_readings().map(|reading| reading.meter).chain([meter]).collect();
        let theta = Theta::of(&self.tables, self.vehicle(), &read_in, &meters).after(evidence.moment());
        match &self.handover {
            Some(handover) if !evidence.unheeded.contains(&Past::Handover) => theta.knowing(handover.known()),
            _ => theta,
        }
    }

    /// Weighs each by the readings; those that show the same in all of them once.
    fn weigh_all(&self, entrants: &mut [Entrant], evidence: &Evidence, models: &Models<'_>, theta: &Theta) {
        let ends: Option<Vec<[PointId; 2]>> = evidence.all_readings().map(|reading| reading.probe.ends()).collect();
        let ends = ends.map(|ends| ends.concat());
        let mut known: FxHashMap<_, (f64, Phase, Option<Rc<Joint>>)> = FxHashMap::default();
        for entrant in entrants {
            let shows = self.alike(&entrant.shows, ends.as_deref()).key();
            let like = (shows, entrant.showed.map(|showed| showed.key()), entrant.is_vague());
            if let Some((gained, phase, joint)) = known.get(&like) {
                entrant.log_weight += gained;
                (entrant.phase, entrant.joint) = (*phase, joint.clone());
                continue;
            }
            let before = entrant.log_weight;
            self.weigh_readings(entrant, evidence, models, theta);
            known.insert(like, (entrant.log_weight - before, entrant.phase, entrant.joint.clone()));
        }
    }

    pub(super) fn weigh_readings(
        &self,
        entrant: &mut Entrant,
        evidence: &Evidence,
        models: &Models<'_>,
        theta: &Theta,
    ) {
        let instruments = &self.tables.instruments;
        let values: Vec<f64> = evidence.all_readings().map(|reading| reading.on_scale(instruments).0).collect();
        let shows: Vec<Hypothesis> = (evidence.all_readings().enumerate())
            .map(|(index, reading)| {
                let shows = entrant.shows_in(index, evidence.readings.len());
                self.alike(&shows, reading.probe.ends().as_ref().map(|ends| &ends[..]))
            })
            .collect();
        let shown = |phase: Phase| -> Vec<Rc<Shown>> {
            let mut views = Views { engine: self, models, phase, known: Vec::new() };
            // Of less than all evidence, it is the last readings.
            let first = self.memory.borrow().readings().saturating_sub(values.len());
            let shown = |(index, reading)| {
                let shown = views.remembered(first + index, reading, &shows[index], theta);
                if entrant.halves.get(index) == Some(&Half::Second) { Rc::new(shown.of_second()) } else { shown }
            };
            evidence.all_readings().enumerate().map(shown).collect()
        };
        if entrant.is_vague() {
            let misread = self.misread_as(1.0);
            for (shown, value) in shown(Phase::Trying).iter().zip(&values) {
                let as_sound = log_normal(value - shown.mean, 4.0 * shown.variance()).exp();
                let anything = misread.log_density(shown.scale, *value).exp();
                entrant.log_weight += (UNDRAWN_AS_SOUND * as_sound + (1.0 - UNDRAWN_AS_SOUND) * anything).ln();
            }
            return;
        }
        let by_phone = evidence.all_readings().any(|reading| reading.told == Told::ByPhone);
        let misread =
            if by_phone { MISREAD_BY_PHONE.max(self.tables.belief.misread) } else { self.tables.belief.misread };
        let as_misread = self.misread_as(misread);
        let readings = evidence.all_readings().zip(&values);
        let mistaken: Vec<f64> =
            readings.map(|(reading, &value)| as_misread.log_density(reading.probe.scale(), value)).collect();
        let joint = |phase: Phase| Joint::against(shown(phase), &values, &mistaken, misread);
        let trips = evidence
            .all_readings()
            .zip(&shows)
            .any(|(reading, shows)| models[&reading.state].trips(self.vehicle(), shows).is_some());
        let (phase, joint) = match (joint(Phase::Trying), trips.then(|| joint(Phase::Tripped))) {
            (trying, Some(tripped)) if tripped.log_likelihood > trying.log_likelihood => (Phase::Tripped, tripped),
            (trying, _) => (Phase::Trying, trying),
        };
        // Where something trips, either phase is as likely as the other.
        entrant.log_weight += joint.log_likelihood - if trips { std::f64::consts::LN_2 } else { 0.0 };
        entrant.phase = phase;
        entrant.joint = Some(Rc::new(joint));
    }

    /// What shows the same between all these points, and is one for all that do;
    /// itself where something else than volts and ohms is read.
    fn alike(&self, hypothesis: &Hypothesis, ends: Option<&[PointId]>) -> Hypothesis {
        ends.map_or(*hypothesis, |ends| self.predictor.series().stand_in(hypothesis, ends))
    }

    fn misread_as(&self, chance: f64) -> Misread {
        Misread::on(&self.tables.instruments, self.vehicle(), chance)
    }
}

/// States under what shows in them, each made once for all its readings.
struct Views<'a> {
    engine: &'a Engine,
    models: &'a Models<'a>,
    phase: Phase,
    known: Vec<(&'a State, Hypothesis, View<'a>)>,
}

impl<'a> Views<'a> {
    /// What a reading was to show, as worked out before where it was.
    fn remembered(&mut self, index: usize, reading: &'a Reading, hypothesis: &Hypothesis, theta: &Theta) -> Rc<Shown> {
        let key = hypothesis.key();
        if let Some(known) = self.engine.memory.borrow().shown(index, &key, self.phase) {
            return known;
        }
        let shown = Rc::new(Shown { moment: reading.moment, ..self.shown(reading, hypothesis, theta) });
        self.engine.memory.borrow_mut().keep_shown(index, key, self.phase, &shown);
        shown
    }

    /// What a reading was to show. What comes and goes may have been there or
    /// not: then whichever fits better.
    fn shown(&mut self, reading: &'a Reading, hypothesis: &Hypothesis, theta: &Theta) -> Shown {
        let (value, step) = reading.on_scale(&self.engine.tables.instruments);
        let mut under = |hypothesis: &Hypothesis| {
            self.of(&reading.state, hypothesis).shown(reading.probe, reading.meter, step, theta)
        };
        match reading.symptom {
            Symptom::Present => under(hypothesis),
            Symptom::Absent => under(&Hypothesis::Sound),
            Symptom::Perhaps => {
                let (there, not) = (under(hypothesis), under(&Hypothesis::Sound));
                let fit = |shown: &Shown| log_normal(value - shown.mean, shown.variance());
                if fit(&not) > fit(&there) { not } else { there }
            }
        }
    }

    fn of(&mut self, state: &'a State, hypothesis: &Hypothesis) -> &View<'a> {
        let is_it = |(known, shows, _): &(&State, Hypothesis, View<'_>)| *known == state && shows == hypothesis;
        let at = self.known.iter().position(is_it).unwrap_or_else(|| {
            let view = self.models[state].view_in(self.engine.vehicle(), hypothesis, self.phase);
            self.known.push((state, *hypothesis, view));
            self.known.len() - 1
        });
        &self.known[at].2
    }
}
