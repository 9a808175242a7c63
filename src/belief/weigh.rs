//! Weights of all hypotheses for some evidence.

use super::answers::Hearing;
use super::collect::{Shares, collect};
use super::doubles::pairs;
use super::evidence::{Evidence, Observation, Reading, Sign, Symptom};
use super::gaussian::{Joint, Misread, log_normal};
use super::phone::as_told;
use super::{Belief, Site};
use crate::complaint::{Told, Trees};
use crate::fault::{Fault, Likely, Mode, catalogue, sizes};
use crate::meter::MeterKind;
use crate::network::SolveError;
use crate::predict::{Hypothesis, Phase, Predictor, Shown, StateModel, Theta};
use crate::quantity::Volts;
use crate::tables::rates::Rates;
use crate::vehicle::{PartId, PartKind, State, Vehicle};
use std::collections::HashMap;
use std::rc::Rc;

/// How much likelier than soundness a fault must make a complaint to count as
/// an explanation of it.
const EXPLAINS: f64 = 1.3;
/// Share of its voltage below which a load is not right, whatever it was
/// called: people take dead for weak.
const NOT_RIGHT: f64 = 0.9;
/// Chance of whatever else is seen when the drawing is not the vehicle: dead,
/// weak and right are alike to it.
const UNDRAWN_SIGN: f64 = 1.0 / 3.0;
/// Share of readings that an undrawn fault leaves as they should be.
const UNDRAWN_AS_SOUND: f64 = 0.5;
/// Chance that a reading by phone is of another point or another figure;
/// common practice, no source.
const MISREAD_BY_PHONE: f64 = 0.12;
/// A change smaller than this is none, on a meter with a last digit of 0.1 mV.
const LEAST_SHOWN: Volts = Volts(5e-5);

/// One explanation with its weight.
pub struct Weighed {
    /// What.
    pub hypothesis: Hypothesis,
    /// Where it shows.
    pub site: Site,
    /// Probability.
    pub probability: f64,
    /// The readings under it; `None` for [`Site::Undrawn`].
    pub joint: Option<Joint>,
    /// The phase that the readings fit better.
    pub phase: Phase,
}

/// Weighs evidence for one vehicle.
pub struct Engine {
    predictor: Predictor,
    rates: Rates,
    catalogue: Vec<Likely>,
    trees: Rc<Trees>,
}

/// The states that were used.
pub(super) type Models<'e> = HashMap<&'e State, Rc<StateModel>>;

/// A hypothesis on its way through the weighing.
pub(super) struct Entrant {
    pub hypothesis: Hypothesis,
    pub site: Site,
    pub log_prior: f64,
    pub log_weight: f64,
    pub joint: Option<Joint>,
    pub phase: Phase,
    /// What it shows a meter: itself, or soundness where it moves no reading.
    pub shows: Hypothesis,
}

impl Engine {
    /// For a vehicle and a table of rates.
    pub fn new(vehicle: Rc<Vehicle>, rates: Rates) -> Self {
        let catalogue = catalogue(&vehicle, &rates);
        Self { predictor: Predictor::new(vehicle), rates, catalogue, trees: Rc::default() }
    }

    /// The same with complaint trees at hand.
    pub fn with_trees(self, trees: Rc<Trees>) -> Self {
        Self { trees, ..self }
    }

    /// The same table and trees for another vehicle.
    pub fn on(&self, vehicle: Rc<Vehicle>) -> Self {
        Self::new(vehicle, self.rates.clone()).with_trees(Rc::clone(&self.trees))
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
        let mut models: Models<'_> = HashMap::new();
        let used = evidence.observations.iter().map(|seen| &seen.state);
        for state in used.chain(evidence.readings.iter().map(|reading| &reading.state)) {
            if !models.contains_key(state) {
                models.insert(state, self.predictor.in_state(state)?);
            }
        }
        let mut entrants = self.entrants(evidence, &models);
        // What people answer is heard before anything is measured: it moves the
        // odds, but clears nothing.
        let hearing = Hearing::of(self.vehicle(), &self.trees, evidence);
        for entrant in &mut entrants {
            let heard = hearing.log_chance(&entrant.hypothesis, entrant.site);
            entrant.log_prior += heard;
            entrant.log_weight += heard;
        }
        let before = Shares::of(&entrants);
        let theta = self.theta(evidence, &models, &*self.predictor.in_state(now)?, meter);
        for entrant in &mut entrants {
            self.weigh_readings(entrant, evidence, &models, &theta);
        }
        let pairs = pairs(self, evidence, &models, &theta, &hearing, &entrants);
        entrants.extend(pairs);
        Ok(collect(entrants, &before, evidence.readings.len(), theta))
    }

    /// How often a fault is met, from the table of rates.
    pub fn rate_of(&self, fault: Fault) -> f64 {
        self.catalogue.iter().find(|likely| likely.fault == fault).map_or(0.0, |likely| likely.rate)
    }

    fn theta(&self, evidence: &Evidence, models: &Models<'_>, now: &StateModel, meter: MeterKind) -> Theta {
        let read_in = models
            .iter()
            .filter(|(state, _)| evidence.readings.iter().any(|reading| reading.state == ***state))
            .map(|(_, model)| &**model);
        let read_in: Vec<&StateModel> = read_in.chain([now]).collect();
        let mut meters: Vec<_> = evidence.readings.iter().map(|reading| reading.meter).chain([meter]).collect();
        meters.sort_unstable_by_key(|kind| kind.word());
        meters.dedup();
        Theta::of(self.vehicle(), &read_in, &meters)
    }

    /// Every explanation with its prior and what was seen.
    fn entrants(&self, evidence: &Evidence, models: &Models<'_>) -> Vec<Entrant> {
        // The first complaint is why anybody is here; it sets what share of the
        // belief goes to no fault at all. What is seen after it counts for all.
        let first = evidence.observations.iter().position(Observation::is_complaint);
        let chance = |index: usize, hypothesis: &Hypothesis| -> f64 {
            let one = &evidence.observations[index];
            as_told(self.vehicle(), &models[&one.state], hypothesis, one).ln()
        };
        let later = |hypothesis: &Hypothesis| -> f64 {
            (0..evidence.observations.len())
                .filter(|&index| Some(index) != first)
                .map(|index| chance(index, hypothesis))
                .sum()
        };
        let complaint = |hypothesis: &Hypothesis| first.map_or(0.0, |index| chance(index, hypothesis));
        let sound = complaint(&Hypothesis::Sound);
        let sound_later = later(&Hypothesis::Sound);
        let used: Vec<&Rc<StateModel>> = models.values().collect();
        let complaint_of = first.map(|index| &evidence.observations[index]);
        // Of a fuse that keeps blowing the place is what blows it.
        let by_cause = evidence.observations.iter().any(|seen| seen.sign == Sign::BlowsFuse);
        let mut entrants = Vec::new();
        let mut total = 0.0;
        for likely in &self.catalogue {
            let dull = complaint_of.is_some_and(|seen| !self.could_explain(likely.fault, seen, &models[&seen.state]));
            if dull || !makes_a_difference(likely.fault, &used) {
                continue;
            }
            let shows = self.could_show(likely.fault, evidence, models);
            for size in sizes(likely.fault.mode) {
                let hypothesis = Hypothesis::Faulty { fault: likely.fault, size };
                let prior = likely.rate * size.map_or(1.0, |size| size.share);
                let (site, lasting) = match by_cause {
                    true => (Site::Part(likely.fault.part), hypothesis),
                    false => self.site(likely.fault, hypothesis, complaint_of, models),
                };
                let (complained, later) = (complaint(&hypothesis), later(&lasting));
                let explains = complained + later > sound + sound_later + EXPLAINS.ln();
                if complaint_of.is_some_and(|seen| !explains && !self.leaves_it_wrong(&hypothesis, seen, models)) {
                    continue;
                }
                let log_prior = prior.ln();
                total += (log_prior + complained).exp();
                let log_weight = log_prior + complained + later;
                let shows = if shows { lasting } else { Hypothesis::Sound };
                entrants.push(Entrant {
                    hypothesis: lasting,
                    site,
                    log_prior,
                    log_weight,
                    joint: None,
                    phase: Phase::default(),
                    shows,
                });
            }
        }
        let beside = |share: f64| (total.max(1e-9) * share).ln();
        let others_seen = evidence.observations.len().saturating_sub(1) as f64;
        entrants.push(Entrant {
            hypothesis: Hypothesis::Sound,
            site: Site::Nothing,
            log_prior: 0.0,
            log_weight: beside(self.rates.nothing_wrong) + sound_later,
            joint: None,
            phase: Phase::default(),
            shows: Hypothesis::Sound,
        });
        entrants.push(Entrant {
            hypothesis: Hypothesis::Sound,
            site: Site::Undrawn,
            log_prior: 0.0,
            log_weight: beside(self.rates.not_as_drawn) + others_seen * UNDRAWN_SIGN.ln(),
            joint: None,
            phase: Phase::default(),
            shows: Hypothesis::Sound,
        });
        entrants
    }

    /// Whether a load that was complained of for how it looks is not right.
    fn leaves_it_wrong(&self, hypothesis: &Hypothesis, seen: &Observation, models: &Models<'_>) -> bool {
        let served = || models[&seen.state].performance(self.vehicle(), hypothesis, seen.subject);
        matches!(seen.sign, Sign::Looks(_)) && served() < NOT_RIGHT
    }

    /// A cheap look at whether any size of a fault could explain a complaint.
    fn could_explain(&self, fault: Fault, complaint: &Observation, model: &StateModel) -> bool {
        let vehicle = self.vehicle();
        let load = complaint.subject;
        let is_of_load = matches!(vehicle.part(load).kind, PartKind::Load { .. });
        match (complaint.sign, fault.mode) {
            // What is not of a load is asked of the solve itself.
            _ if !is_of_load || fault.involves(load) => true,
            (_, Mode::Crossed) => fault.parts().any(|part| model.could_matter(vehicle, part, load)),
            (_, mode) if mode.is_in_series() => {
                model.carries_current(fault.part) && model.could_matter(vehicle, fault.part, load)
            }
            (_, Mode::Leak | Mode::Bridged) => {
                let hardest = Hypothesis::Faulty { fault, size: sizes(fault.mode)[0] };
                let share = |hypothesis: &Hypothesis| model.performance(vehicle, hypothesis, load);
                (share(&hardest) - share(&Hypothesis::Sound)).abs() > 0.01
            }
            _ => true,
        }
    }

    /// A cheap look at whether any size of a fault could move any reading.
    fn could_show(&self, fault: Fault, evidence: &Evidence, models: &Models<'_>) -> bool {
        let vehicle = self.vehicle();
        evidence.readings.iter().any(|reading| {
            let model = &models[&reading.state];
            let Some((red, black)) = reading.probe.plain_voltage() else { return true };
            match fault.mode {
                mode if mode == Mode::Crossed || mode.is_in_series() => {
                    fault.parts().any(|part| model.could_move(vehicle, part, red, black, LEAST_SHOWN))
                }
                Mode::Leak | Mode::Bridged => {
                    let hardest = Hypothesis::Faulty { fault, size: sizes(fault.mode)[0] };
                    let volts = |hypothesis: &Hypothesis| model.view(vehicle, hypothesis).volts(red, black);
                    (volts(&hardest) - volts(&Hypothesis::Sound)).abs() > LEAST_SHOWN.0
                }
                _ => true,
            }
        })
    }

    /// Where a fault shows, and what it leaves behind: a short that has blown a
    /// fuse shows at the fuse, which stays open whatever is then switched off.
    fn site(
        &self,
        fault: Fault,
        hypothesis: Hypothesis,
        complaint: Option<&Observation>,
        models: &Models<'_>,
    ) -> (Site, Hypothesis) {
        let blows =
            matches!(fault.mode, Mode::Leak | Mode::Shorted | Mode::Bridged | Mode::HighDraw | Mode::WrongRating);
        let model = complaint.filter(|_| blows).map(|seen| &models[&seen.state]);
        let opened = model.and_then(|model| {
            let opened = model.under(self.vehicle(), &hypothesis).blown();
            opened.into_iter().find(|&fuse| !model.solution().is_blown(fuse)).map(PartId::new)
        });
        match (opened, hypothesis) {
            (Some(fuse), Hypothesis::Faulty { fault, size }) if fuse != fault.part => {
                let blown = Fault::new(fuse, Mode::Open);
                (Site::Part(fuse), Hypothesis::Double { first: (fault, size), second: (blown, None) })
            }
            (Some(fuse), _) => (Site::Part(fuse), hypothesis),
            (None, _) => (Site::Part(fault.part), hypothesis),
        }
    }

    pub(super) fn weigh_readings(
        &self,
        entrant: &mut Entrant,
        evidence: &Evidence,
        models: &Models<'_>,
        theta: &Theta,
    ) {
        let values: Vec<f64> = evidence.readings.iter().map(|reading| reading.on_scale().0).collect();
        let shown = |phase: Phase| -> Vec<Shown> {
            let readings = evidence.readings.iter();
            readings.map(|reading| self.shown(reading, &models[&reading.state], &entrant.shows, phase, theta)).collect()
        };
        if entrant.site == Site::Undrawn {
            let misread = self.misread_as(1.0);
            for (shown, value) in shown(Phase::Trying).iter().zip(&values) {
                let as_sound = log_normal(value - shown.mean, 4.0 * shown.variance()).exp();
                let anything = misread.log_density(shown.scale, *value).exp();
                entrant.log_weight += (UNDRAWN_AS_SOUND * as_sound + (1.0 - UNDRAWN_AS_SOUND) * anything).ln();
            }
            return;
        }
        let by_phone = evidence.readings.iter().any(|reading| reading.told == Told::ByPhone);
        let misread = if by_phone { MISREAD_BY_PHONE.max(self.rates.misread) } else { self.rates.misread };
        let joint = |phase: Phase| Joint::new(shown(phase), &values, self.misread_as(misread));
        let trips = evidence
            .readings
            .iter()
            .any(|reading| models[&reading.state].trips(self.vehicle(), &entrant.shows).is_some());
        let (phase, joint) = match (joint(Phase::Trying), trips.then(|| joint(Phase::Tripped))) {
            (trying, Some(tripped)) if tripped.log_likelihood > trying.log_likelihood => (Phase::Tripped, tripped),
            (trying, _) => (Phase::Trying, trying),
        };
        // Where something trips, either phase is as likely as the other.
        entrant.log_weight += joint.log_likelihood - if trips { std::f64::consts::LN_2 } else { 0.0 };
        entrant.phase = phase;
        entrant.joint = Some(joint);
    }

    /// What a reading was to show in a phase. What comes and goes may have been
    /// there or not: then whichever fits better.
    fn shown(
        &self,
        reading: &Reading,
        model: &StateModel,
        hypothesis: &Hypothesis,
        phase: Phase,
        theta: &Theta,
    ) -> Shown {
        let (value, step) = reading.on_scale();
        let under = |hypothesis: &Hypothesis| {
            model.view_in(self.vehicle(), hypothesis, phase).shown(reading.probe, reading.meter, step, theta)
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

    fn misread_as(&self, chance: f64) -> Misread {
        Misread { chance, supply: self.vehicle().nominal.0 * 1.06 }
    }
}

/// A path that carries nothing in any state used cannot have been noticed open.
fn makes_a_difference(fault: Fault, used: &[&Rc<StateModel>]) -> bool {
    !fault.mode.is_in_series() || used.is_empty() || used.iter().any(|model| model.carries_current(fault.part))
}
