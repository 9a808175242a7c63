//! Likelihood of a record under a hypothesis: what was seen, which load was
//! named, and the joint density of what was read.
//!
//! Under each hypothesis the readings are jointly normal, y ~ N(μ, LLᵀ + D):
//! they share tolerances, supply voltage and meter gain, so they are not
//! independent, and treating them so would rule out true faults. Each reading
//! may be an outlier: where the rest of the readings make it less likely than a
//! misread, it counts as one.

use super::candidate::{Candidate, Showing};
use super::engine::Engine;
use super::evidence::{Evidence, Observation, Reading, Sign, Symptom};
use super::gaussian::{Joint, Outlier, log_normal};
use super::memory::ReadingNumber;
use super::models::Models;
use super::needs::chance_of_naming;
use super::phone::as_told;
use crate::complaint::{Channel, Extent};
use crate::odds::LogWeight;
use crate::predict::{Hypothesis, Phase, Prediction, Uncertainties, View};
use crate::vehicle::{PointId, State};
use rustc_hash::FxHashMap;
use std::rc::Rc;

/// What of the readings of a record hangs on no candidate.
pub(super) struct RecordedReadings {
    pub numbers: Vec<ReadingNumber>,
    /// On the scale of each probe.
    values: Vec<f64>,
    /// Chance that one of them is a misread.
    misread: f64,
    /// ln of that chance times the density of each as a misread.
    mistaken: Vec<f64>,
}

impl RecordedReadings {
    pub fn of(engine: &Engine, evidence: &Evidence) -> Self {
        let tables = engine.tables();
        let values: Vec<f64> = evidence.all_readings().map(|one| one.on_scale(&tables.instruments).0).collect();
        let by_phone = evidence.all_readings().any(|reading| reading.channel == Channel::ByPhone);
        let usual = tables.belief.misread;
        let misread = if by_phone { tables.belief.misread_by_phone.max(usual) } else { usual };
        let as_misread = Outlier::on(tables, engine.vehicle(), misread);
        let density = |(reading, &value): (&Reading, &f64)| as_misread.log_density(reading.probe.scale(), value);
        let mistaken = evidence.all_readings().zip(&values).map(density).collect();
        Self { numbers: engine.memo().numbered(&tables.instruments, evidence), values, misread, mistaken }
    }
}

/// A record, and what its likelihood is worked out with.
#[derive(Clone, Copy)]
pub(super) struct Likelihood<'a> {
    pub engine: &'a Engine,
    pub evidence: &'a Evidence,
    pub readings: &'a RecordedReadings,
    pub models: &'a Models<'a>,
    pub theta: &'a Uncertainties,
}

impl Likelihood<'_> {
    /// Of what was seen.
    pub fn seen(&self, seen: &[&Observation], hypothesis: &Hypothesis) -> LogWeight {
        let chance = |one: &Observation| as_told(self.engine.vehicle(), &self.models[&one.state], hypothesis, one);
        seen.iter().map(|one| LogWeight::of(chance(one))).sum()
    }

    /// Of all loads that a hypothesis stops the one complained of being named;
    /// one where the complaint is not of how a load works.
    pub fn named(&self, complaint: Option<&Observation>, hypothesis: &Hypothesis) -> LogWeight {
        let of_work = |seen: &&Observation| matches!(seen.sign, Sign::Looks(_) | Sign::Sometimes);
        let Some(complaint) = complaint.filter(of_work) else { return LogWeight::ONE };
        let engine = self.engine;
        let left = self.models[&complaint.state].performance(engine.vehicle(), hypothesis, complaint.subject);
        let extent = self.evidence.tree.map_or(Extent::One, |tree| engine.trees().tree(tree).extent);
        let signs = &engine.tables().signs;
        LogWeight::of(chance_of_naming(
            &engine.tables().belief,
            extent,
            engine.needs().stopped(signs, engine.vehicle(), hypothesis, left),
        ))
    }

    /// Weighs each by the readings; those that show the same in all of them once.
    pub fn weigh_readings_of_all(&self, candidates: &mut [Candidate]) {
        let ends: Option<Vec<[PointId; 2]>> =
            self.evidence.all_readings().map(|reading| reading.probe.ends()).collect();
        let ends = ends.map(|ends| ends.concat());
        let mut known: FxHashMap<_, (LogWeight, Phase, Option<Rc<Joint>>)> = FxHashMap::default();
        for candidate in candidates {
            let shows = self.alike(&candidate.shows, ends.as_deref()).key();
            let like = (shows, candidate.showed.map(|showed| showed.key()), candidate.is_vague());
            if let Some((gained, phase, joint)) = known.get(&like) {
                candidate.log_weight += *gained;
                (candidate.phase, candidate.joint) = (*phase, joint.clone());
                continue;
            }
            let before = candidate.log_weight;
            self.weigh_readings(candidate);
            known.insert(like, (candidate.log_weight - before, candidate.phase, candidate.joint.clone()));
        }
    }

    /// Weighs a candidate by the readings.
    pub fn weigh_readings(&self, candidate: &mut Candidate) {
        if candidate.is_vague() {
            candidate.log_weight = self.vague(candidate);
            return;
        }
        let readings = Readings::of(self, candidate);
        let RecordedReadings { values, misread, mistaken, .. } = self.readings;
        let joint = |phase: Phase| Joint::against(readings.predicted(phase), values, mistaken, *misread);
        let trips = readings.may_trip();
        let (phase, joint) = match (joint(Phase::Trying), trips.then(|| joint(Phase::Tripped))) {
            (trying, Some(tripped)) if tripped.log_likelihood > trying.log_likelihood => (Phase::Tripped, tripped),
            (trying, _) => (Phase::Trying, trying),
        };
        // Where something trips, either phase is as likely as the other.
        let log_phase = if trips { std::f64::consts::LN_2 } else { 0.0 };
        candidate.log_weight += LogWeight::from_ln(joint.log_likelihood.ln() - log_phase);
        candidate.phase = phase;
        candidate.joint = Some(Rc::new(joint));
    }

    /// The weight of a drawing that is wrong nobody knows where: of each reading
    /// it says that it is as it should be, or anything.
    fn vague(&self, candidate: &Candidate) -> LogWeight {
        let figures = &self.engine.tables().belief;
        let as_it_should = figures.undrawn_as_sound;
        let anything = Outlier::on(self.engine.tables(), self.engine.vehicle(), 1.0);
        let predicted = Readings::of(self, candidate).predicted(Phase::Trying);
        let mut log_weight = candidate.log_weight;
        for (shown, &value) in predicted.iter().zip(&self.readings.values) {
            let as_sound = log_normal(value - shown.mean, figures.undrawn_variance * shown.variance()).exp();
            let anything = anything.log_density(shown.scale, value).exp();
            log_weight += LogWeight::of(as_it_should * as_sound + (1.0 - as_it_should) * anything);
        }
        log_weight
    }

    /// A reading on the scale of its probe.
    pub fn value(&self, reading: &Reading) -> f64 {
        reading.on_scale(&self.engine.tables().instruments).0
    }

    /// What shows the same between all these points, and is one for all that do;
    /// itself where something else than volts and ohms is read.
    fn alike(&self, hypothesis: &Hypothesis, ends: Option<&[PointId]>) -> Hypothesis {
        ends.map_or(*hypothesis, |ends| self.engine.predictor().series().stand_in(hypothesis, ends))
    }
}

/// The readings of a record as a candidate predicts them.
struct Readings<'a> {
    of: &'a Likelihood<'a>,
    candidate: &'a Candidate,
    /// What shows in each.
    shows: Vec<Hypothesis>,
}

impl<'a> Readings<'a> {
    fn of(of: &'a Likelihood<'a>, candidate: &'a Candidate) -> Self {
        let now = of.evidence.readings.len();
        let shows = (of.evidence.all_readings().enumerate()).map(|(index, reading)| {
            let ends = reading.probe.ends();
            of.alike(&candidate.shows_in(index, now), ends.as_ref().map(|ends| &ends[..]))
        });
        Self { of, candidate, shows: shows.collect() }
    }

    fn may_trip(&self) -> bool {
        let trips = |(reading, shows): (&Reading, &Hypothesis)| {
            self.of.models[&reading.state].trips(self.of.engine.vehicle(), shows).is_some()
        };
        self.of.evidence.all_readings().zip(&self.shows).any(trips)
    }

    fn predicted(&self, phase: Phase) -> Vec<Rc<Prediction>> {
        let mut views = ReadingViews { of: self.of, phase, known: Vec::new() };
        let shown = |(index, reading)| {
            let shown = views.prediction(self.of.readings.numbers[index], reading, &self.shows[index]);
            let is_second = self.candidate.showing.get(index) == Some(&Showing::Second);
            if is_second { Rc::new(shown.of_second()) } else { shown }
        };
        self.of.evidence.all_readings().enumerate().map(shown).collect()
    }
}

/// States under what shows in them, each made once for all its readings.
struct ReadingViews<'a> {
    of: &'a Likelihood<'a>,
    phase: Phase,
    known: Vec<(&'a State, Hypothesis, View<'a>)>,
}

impl<'a> ReadingViews<'a> {
    /// What a reading was to show.
    fn prediction(&mut self, number: ReadingNumber, reading: &'a Reading, hypothesis: &Hypothesis) -> Rc<Prediction> {
        let predictions = self.of.engine.memo().predictions.under(self.of.theta.quantities());
        let weight = |shown: &Rc<Prediction>| shown.loadings.len();
        predictions.get_or_weighing((number, hypothesis.key(), self.phase), weight, || {
            Rc::new(Prediction { moment: reading.moment, ..self.shown(reading, hypothesis) })
        })
    }

    /// The same for a reading taken now. What comes and goes may have been there or
    /// not: then whichever fits better.
    fn shown(&mut self, reading: &'a Reading, hypothesis: &Hypothesis) -> Prediction {
        let (value, step) = reading.on_scale(&self.of.engine.tables().instruments);
        let theta = self.of.theta;
        let mut under = |hypothesis: &Hypothesis| {
            self.of(&reading.state, hypothesis).shown(reading.probe, reading.meter, step, theta)
        };
        match reading.symptom {
            Symptom::Present => under(hypothesis),
            Symptom::Absent => under(&Hypothesis::Sound),
            Symptom::Perhaps => {
                let (there, not) = (under(hypothesis), under(&Hypothesis::Sound));
                let fit = |shown: &Prediction| log_normal(value - shown.mean, shown.variance());
                if fit(&not) > fit(&there) { not } else { there }
            }
        }
    }

    fn of(&mut self, state: &'a State, hypothesis: &Hypothesis) -> &View<'a> {
        let is_it = |(known, shows, _): &(&State, Hypothesis, View<'_>)| *known == state && shows == hypothesis;
        let at = self.known.iter().position(is_it).unwrap_or_else(|| {
            let view = self.of.models[state].view_in(self.of.engine.vehicle(), hypothesis, self.phase);
            self.known.push((state, *hypothesis, view));
            self.known.len() - 1
        });
        &self.known[at].2
    }
}
