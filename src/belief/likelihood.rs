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
use super::gaussian::Joint;
use super::memory::{Chain, LookNumber, ReadingNumber, RecordNumber, Sequence, SequenceNumber};
use super::models::Models;
use super::needs::chance_of_naming;
use super::normal::log_normal;
use super::outlier::{Anything, Taken};
use super::phone::as_told;
use super::signs::comes_and_goes;
use crate::complaint::Extent;
use crate::odds::LogWeight;
use crate::predict::{Hypothesis, Phase, Prediction, Uncertainties, View};
use crate::vehicle::{PointId, State};
use rustc_hash::FxHashMap;
use std::rc::Rc;

/// What of the readings of a record hangs on no candidate.
pub(super) struct RecordedReadings<'a> {
    pub all: Vec<&'a Reading>,
    pub numbers: Vec<ReadingNumber>,
    looks: Vec<LookNumber>,
    /// Of the record up to each, a number that no other has.
    records: Vec<RecordNumber>,
    pub taken: Vec<Taken>,
}

impl<'a> RecordedReadings<'a> {
    pub fn of(engine: &Engine, evidence: &'a Evidence) -> Self {
        let memo = engine.memo();
        let all: Vec<&Reading> = evidence.all_readings().collect();
        let taken = Taken::of(engine.predictor(), all.iter().copied());
        let (numbers, looks): (Vec<_>, Vec<_>) =
            memo.numbered(&engine.tables().instruments, evidence).into_iter().unzip();
        let record = |before: &mut Option<RecordNumber>, &last: &ReadingNumber| {
            *before = Some(memo.records.of((*before, last)));
            *before
        };
        Self { records: numbers.iter().scan(None, record).collect(), numbers, looks, taken, all }
    }
}

/// Numerical: ln of the weight, against the best, from which a hypothesis rarely
/// comes back: a reading that goes against it takes some ten of it.
const GIVEN_UP: f64 = 25.0;
/// Numerical: the same from which it has come back all the same.
const COMES_BACK: f64 = 12.0;

/// Numerical: readings of which at most it is worked out afresh what they come to
/// where a part departs.
const MOST_AFRESH: usize = 40;

/// Numerical: words that a prediction takes beside its loadings, with its key.
const PREDICTION: usize = 32;

/// Numerical: deviations within which a wire in the air is still.
const STILL_WITHIN: f64 = 3.0;

/// What the readings of a record say of a candidate.
struct Weighed {
    gained: LogWeight,
    phase: Phase,
    joint: Option<Rc<Joint>>,
    /// Weight of the likeliest that shows the same.
    most: LogWeight,
    /// The readings in either phase.
    sequences: [Option<SequenceNumber>; 2],
}

impl Weighed {
    fn give_to(&self, candidate: &mut Candidate) {
        candidate.log_weight += self.gained;
        (candidate.phase, candidate.joint) = (self.phase, self.joint.clone());
    }

    fn is_given_up(&self) -> bool {
        self.joint.as_ref().is_some_and(|joint| joint.is_given_up())
    }
}

/// A record, and what its likelihood is worked out with.
#[derive(Clone, Copy)]
pub(super) struct Likelihood<'a> {
    pub engine: &'a Engine,
    pub evidence: &'a Evidence,
    pub readings: &'a RecordedReadings<'a>,
    pub models: &'a Models<'a>,
    pub theta: &'a Uncertainties,
    /// Where nobody complains, the readings that are not those of a sound vehicle, once
    /// something is amiss.
    pub amiss: Option<&'a [usize]>,
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
        let ends = ends.map(|ends| {
            let joined = self.models.iter().flat_map(|(_, model)| model.joined(self.engine.vehicle()));
            let mut ends: Vec<PointId> = ends.concat().into_iter().chain(joined).collect();
            ends.sort_unstable();
            ends.dedup();
            ends
        });
        let like = |candidate: &Candidate| {
            let shows = self.alike(&candidate.shows, ends.as_deref()).key();
            (shows, candidate.showed.map(|showed| showed.key()), candidate.began, candidate.is_vague())
        };
        let mut known: FxHashMap<_, Weighed> = FxHashMap::default();
        let mut best = LogWeight::NEVER;
        for candidate in candidates.iter_mut() {
            let weighed = known.entry(like(candidate)).or_insert_with(|| self.weighed(&Readings::of(self, candidate)));
            candidate.log_weight += self.wanders(&candidate.shows);
            weighed.give_to(candidate);
            weighed.most = weighed.most.max(candidate.log_weight);
            best = best.max(candidate.log_weight);
        }
        let less = |ln: f64| best - LogWeight::from_ln(ln);
        known.values().filter(|weighed| weighed.most < less(GIVEN_UP)).for_each(|weighed| self.give_up(weighed));
        known.retain(|_, weighed| weighed.is_given_up() && weighed.most > less(COMES_BACK));
        if known.is_empty() {
            return;
        }
        let mut afresh: FxHashMap<_, Weighed> = FxHashMap::default();
        for candidate in candidates {
            let like = like(candidate);
            let Some(before) = known.get(&like) else { continue };
            candidate.log_weight = candidate.log_weight - before.gained;
            let again = || self.weighed(&Readings::of(self, candidate).afresh());
            afresh.entry(like).or_insert_with(again).give_to(candidate);
        }
    }

    /// Weighs a candidate by the readings.
    pub fn weigh_readings(&self, candidate: &mut Candidate) {
        candidate.log_weight += self.wanders(&candidate.shows);
        self.weighed(&Readings::of(self, candidate)).give_to(candidate);
    }

    /// Of the readings that wandered doing so: bad contacts on their way make them.
    fn wanders(&self, shows: &Hypothesis) -> LogWeight {
        let (vehicle, signs) = (self.engine.vehicle(), &self.engine.tables().signs);
        let wandering = self.readings.all.iter().enumerate().filter(|(_, reading)| reading.symptom == Symptom::Wanders);
        let chance = |(index, reading): (usize, &&Reading)| {
            let on_its_way = shows.faults().filter(|&(fault, _)| self.could_show_in(index, reading, fault));
            let fits = on_its_way.map(|(fault, _)| comes_and_goes(signs, &vehicle.part(fault.part).kind, fault.mode));
            LogWeight::of(fits.map(|fits| signs.wanders * fits).fold(signs.steady_wanders, f64::max))
        };
        wandering.map(chance).sum()
    }

    /// What the readings say of a candidate.
    fn weighed(&self, readings: &Readings) -> Weighed {
        let none = Weighed {
            gained: LogWeight::ONE,
            phase: Phase::Trying,
            joint: None,
            most: LogWeight::NEVER,
            sequences: [None; 2],
        };
        if readings.candidate.is_vague() {
            return Weighed { gained: self.vague(readings), ..none };
        }
        let chain = |phase| readings.chain(readings.all.len(), phase);
        let Chain { sequence, trips } = chain(Phase::Trying);
        let sequences = [sequence, trips.then(|| chain(Phase::Tripped).sequence).flatten()];
        let trying = readings.joint(Phase::Trying, sequences[0]);
        let (phase, joint) = match trips.then(|| readings.joint(Phase::Tripped, sequences[1])) {
            Some(tripped) if tripped.log_likelihood > trying.log_likelihood => (Phase::Tripped, tripped),
            _ => (Phase::Trying, trying),
        };
        // Where something trips, either phase is as likely as the other.
        let log_phase = LogWeight::from_ln(if trips { std::f64::consts::LN_2 } else { 0.0 });
        Weighed { gained: joint.log_likelihood - log_phase, phase, joint: Some(joint), sequences, ..none }
    }

    /// Further readings of what is out of the question are not worked into the
    /// old ones.
    fn give_up(&self, weighed: &Weighed) {
        let Some(joint) = &weighed.joint else { return };
        let joints = &self.engine.memo().joints;
        let given_up = Rc::new(joint.given_up());
        weighed.sequences.iter().flatten().for_each(|&sequence| joints.hold(sequence, &given_up));
    }

    /// The weight of a drawing that is wrong nobody knows where: of each reading
    /// it says that it is as it should be, or anything.
    fn vague(&self, readings: &Readings) -> LogWeight {
        let figures = &self.engine.tables().belief;
        let as_it_should = figures.undrawn_as_sound;
        let anything = Anything::on(self.engine.tables(), self.engine.vehicle());
        let predicted: Vec<Rc<Prediction>> = readings.predicted(Phase::Trying, 0).collect();
        let mut gained = LogWeight::ONE;
        for (index, (shown, Taken { value, misread, .. })) in predicted.iter().zip(&self.readings.taken).enumerate() {
            let anything = anything.density(shown.scale, *value);
            // Whatever the drawing, what two instruments show of one thing is the same.
            if let Some(before) = self.read_before(index) {
                let first = &predicted[before];
                let off = (value - shown.mean) - (self.readings.taken[before].value - first.mean);
                let variance = shown.variance() + first.variance() - 2.0 * shown.covariance(first);
                let right = misread.log_right + log_normal(off, variance.max(shown.own_variance));
                let chance = 1.0 - misread.log_right.exp();
                gained += LogWeight::of(right.exp() + chance * anything);
                continue;
            }
            let as_sound = log_normal(value - shown.mean, figures.undrawn_variance * shown.variance()).exp();
            gained += LogWeight::of(as_it_should * as_sound + (1.0 - as_it_should) * anything);
        }
        gained
    }

    /// An earlier reading of the same in the same state, by another instrument.
    fn read_before(&self, index: usize) -> Option<usize> {
        let all = &self.readings.all;
        let (probe, state) = (all[index].probe, &all[index].state);
        let is_same = |other: &&Reading| {
            probe.instrument() != other.probe.instrument()
                && probe.by_hand() == other.probe.by_hand()
                && *state == other.state
        };
        all[..index].iter().position(is_same)
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
    all: &'a [&'a Reading],
    /// Whether what was given up is worked out all the same.
    is_afresh: bool,
}

impl<'a> Readings<'a> {
    fn of(of: &'a Likelihood<'a>, candidate: &'a Candidate) -> Self {
        Self { of, candidate, all: &of.readings.all, is_afresh: false }
    }

    fn afresh(self) -> Self {
        Self { is_afresh: true, ..self }
    }

    /// What shows in a reading.
    fn shows(&self, index: usize) -> Hypothesis {
        let (of, reading) = (self.of, self.all[index]);
        let ends = reading.probe.ends();
        let is_before = reading.moment < self.candidate.began;
        let shows = match self.candidate.shows_in(index, of.evidence.readings.len()) {
            _ if is_before => Hypothesis::Sound,
            Hypothesis::Faulty { fault, .. } if !of.could_show_in(index, reading, fault) => Hypothesis::Sound,
            shows => shows,
        };
        let model = &of.models[&reading.state];
        ends.map_or(shows, |ends| model.stand_in(of.engine.vehicle(), &shows, &ends))
    }

    /// What all of them together, which is `whole`, come to.
    fn joint(&self, phase: Phase, whole: Option<SequenceNumber>) -> Rc<Joint> {
        let memo = self.of.engine.memo();
        let is_kept = |joint: &Rc<Joint>| !(self.is_afresh && joint.is_given_up());
        let known = self.known(phase, whole, |sequence| memo.joints.get(&sequence).filter(is_kept));
        let joint = self.grown(known.unwrap_or_default(), phase);
        if let Some(whole) = whole {
            memo.joints.hold(whole, &joint);
        }
        match self.departing(&joint, phase, whole) {
            Some(departing) if departing.log_likelihood > joint.log_likelihood => departing,
            _ => joint,
        }
    }

    /// The same where the part that explains best what is far off departs from the
    /// drawing. Where nobody complains that is what is looked for.
    fn departing(&self, as_drawn: &Joint, phase: Phase, whole: Option<SequenceNumber>) -> Option<Rc<Joint>> {
        let Likelihood { engine, evidence, theta, readings, .. } = self.of;
        if !evidence.has_complaint() || as_drawn.is_given_up() {
            return None;
        }
        let deviation = |quantity: usize| theta.of_conductor(engine.vehicle(), quantity);
        let departing = as_drawn.suspected(&engine.tables().belief, &readings.taken, deviation)?;
        let memo = &engine.memo().departing;
        let same = |sequence| memo.get(&sequence).filter(|(known, _)| *known == departing).map(|(_, joint)| joint);
        let known = self.known(phase, whole, same);
        let afresh = || (self.all.len() <= MOST_AFRESH).then(|| (0, Rc::new(Joint::where_departs(departing))));
        let joint = self.grown(known.or_else(afresh)?, phase);
        if let Some(whole) = whole {
            memo.hold(whole, &(departing, Rc::clone(&joint)));
        }
        Some(joint)
    }

    /// What all of them come to, or all before the last, where that is known; with how
    /// many they are.
    fn known(
        &self,
        phase: Phase,
        whole: Option<SequenceNumber>,
        known: impl Fn(SequenceNumber) -> Option<Rc<Joint>>,
    ) -> Option<(usize, Rc<Joint>)> {
        let of = |count: usize, sequence: Option<SequenceNumber>| Some((count, known(sequence?)?));
        let but_the_last = || {
            let before = self.all.len().checked_sub(1)?;
            of(before, self.chain(before, phase).sequence)
        };
        of(self.all.len(), whole).or_else(but_the_last)
    }

    /// What so many of them come to, and the others after them.
    fn grown(&self, (count, joint): (usize, Rc<Joint>), phase: Phase) -> Rc<Joint> {
        let taken = &self.of.readings.taken;
        let with = |joint: Rc<Joint>, prediction| Rc::new(joint.with(prediction, taken));
        self.predicted(phase, count).fold(joint, with).as_sure_as(taken)
    }

    /// The first of the readings under what shows in each.
    fn chain(&self, count: usize, phase: Phase) -> Chain {
        let (memo, candidate) = (self.of.engine.memo(), self.candidate);
        let (shows, showed) = (candidate.shows.key(), candidate.showed.map(|showed| showed.key()));
        let key = |count: usize| {
            let showing = candidate.showing[..count.min(candidate.showing.len())].into();
            (self.of.readings.records[count - 1], shows, showed, candidate.began, phase, showing)
        };
        // Held again: the next answer begins there.
        let known = |count: usize| Some((count, memo.chains.again(key(count))?));
        let (start, mut chain) = (1..=count).rev().find_map(known).unwrap_or_default();
        for index in start..count {
            chain = self.link(chain, index, phase);
            memo.chains.hold(key(index + 1), &chain);
        }
        chain
    }

    fn link(&self, before: Chain, index: usize, phase: Phase) -> Chain {
        let (shows, last, is_second) = (self.shows(index), self.of.readings.numbers[index], self.is_second(index));
        let sequence = Sequence { before: before.sequence, last, shows: shows.key(), phase, is_second };
        let trips = || self.of.models[&self.all[index].state].trips(self.of.engine.vehicle(), &shows).is_some();
        Chain { sequence: Some(self.of.engine.memo().sequences.of(sequence)), trips: before.trips || trips() }
    }

    fn is_second(&self, reading: usize) -> bool {
        self.candidate.showing.get(reading) == Some(&Showing::Second)
    }

    /// What was to be read, from one reading on.
    fn predicted(&self, phase: Phase, from: usize) -> impl Iterator<Item = Rc<Prediction>> {
        let mut views = ReadingViews { of: self.of, phase, known: Vec::new() };
        let shown = move |index: usize| {
            let shown = views.prediction(index, &self.shows(index));
            if self.is_second(index) { Rc::new(shown.of_second()) } else { shown }
        };
        (from..self.all.len()).map(shown)
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
    fn prediction(&mut self, index: usize, hypothesis: &Hypothesis) -> Rc<Prediction> {
        let predictions = self.of.engine.memo().predictions.under(self.of.theta.quantities());
        let key = (self.of.readings.numbers[index], hypothesis.key(), self.phase);
        predictions.get_or_weighing(
            key,
            |_| PREDICTION,
            || {
                let moment = self.of.readings.all[index].moment;
                Rc::new(Prediction { moment, ..self.shown(index, hypothesis) })
            },
        )
    }

    /// The same, whenever it is taken.
    fn look(&mut self, index: usize, hypothesis: &Hypothesis) -> Rc<Prediction> {
        let (readings, theta) = (self.of.readings, self.of.theta);
        // What drifts is off by when it was read.
        let theta = &theta.clone().after(readings.all[index].moment);
        let weight = |shown: &Rc<Prediction>| shown.loadings.len() + PREDICTION;
        let shown = self.of.engine.memo().shown.under(theta.quantities());
        shown.get_or_weighing((readings.looks[index], hypothesis.key(), self.phase), weight, || {
            let reading = readings.all[index];
            let (_, step) = reading.on_scale(&self.of.engine.tables().instruments);
            Rc::new(self.of(&reading.state, hypothesis).shown(reading.probe, reading.meter, step, theta))
        })
    }

    /// The same for a reading taken now. What comes and goes may have been there or
    /// not: then whichever fits better.
    fn shown(&mut self, index: usize, hypothesis: &Hypothesis) -> Prediction {
        let reading = self.of.readings.all[index];
        let value = self.of.readings.taken[index].value;
        let still = self.of.engine.tables().instruments.floating_still.0;
        let mut under = |hypothesis: &Hypothesis| {
            let shown = Prediction::clone(&self.look(index, hypothesis));
            // A wire in the air shows next to nothing, or anything there is about.
            match shown.floating && value.abs() < STILL_WITHIN * still {
                true => Prediction { own_variance: still * still, ..shown },
                false => shown,
            }
        };
        match reading.symptom {
            Symptom::Present | Symptom::Wanders => under(hypothesis),
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
