//! The textbook's ways: from the source on, or by halves. They know the way of
//! the current and what a sound vehicle reads, and judge each reading by itself
//! as good or bad. Where they end at a relay contact, they go on along the way
//! of its coil.

use super::bench::Bench;
use super::hidden::Hidden;
use super::options::Policy;
use super::played::{PlayedCase, PlayedEnding};
use super::world::World;
use crate::belief::{Appearance, Evidence, Sign};
use crate::case::CaseError;
use crate::meter::MeterKind;
use crate::plan::{Situation, Test};
use crate::predict::{Hypothesis, Probe, Scale, StateModel, Uncertainties};
use crate::vehicle::trace::way_there_and_back;
use crate::vehicle::{Contact, PartId, PlaceId, PointId, State, Vehicle};
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;

/// A part of the way and the point behind it.
#[derive(Debug, Clone, Copy)]
struct PathStep {
    part: PartId,
    leaves: PointId,
}

/// The way of the current from the source through a load and back.
struct CurrentPath {
    steps: Vec<PathStep>,
    /// Position of the load.
    load: usize,
}

/// Plays a case by a textbook policy; none where a complaint has no way.
pub fn play(
    bench: &Bench,
    hidden: &Hidden,
    world: &World,
    policy: Policy,
    seed: u64,
) -> Result<Option<PlayedCase>, CaseError> {
    if !matches!(hidden.sign, Sign::Looks(Appearance::Dead | Appearance::Weak)) {
        return Ok(None);
    }
    let vehicle = bench.engine().vehicle();
    let state = State::rest(vehicle).with_all(&hidden.settings);
    let model = bench.engine().predictor().in_state(&state)?;
    let mut hand = Technician {
        bench,
        world,
        state: &state,
        model: &model,
        theta: bench.engine().predictor().uncertainties().clone(),
        random: ChaCha8Rng::seed_from_u64(!seed),
        opened: hidden.settings.iter().filter_map(|&(control, _)| vehicle.control(control).place).collect(),
        tests: 0,
        misreads: 0,
        minutes: 0.0,
    };
    let mut named = Vec::new();
    let mut sink = Some(hidden.subject);
    while let Some(load) = sink.take() {
        let Some(way) = way_of(vehicle, &state, load) else { break };
        named = hand.narrow(&way, policy)?;
        if let [part] = named[..]
            && let Some(Contact { coil, .. }) = vehicle.part(part).kind.contact()
            && load != coil
        {
            let Some(way) = way_of(vehicle, &state, coil) else { break };
            let of_coil = hand.narrow(&way, policy)?;
            // A coil that has its volts leaves the contact.
            let has_volts = of_coil.contains(&coil) && hand.has_volts(coil)?;
            named = if has_volts { vec![part] } else { of_coil };
        }
    }
    let is_right = hidden.is_named_by(&named);
    let (tests, misreads, minutes) = (hand.tests, hand.misreads, hand.minutes);
    Ok(Some(PlayedCase {
        tests,
        readings: tests,
        misreads,
        minutes,
        ending: if named.len() == 1 { PlayedEnding::Found } else { PlayedEnding::Inseparable },
        segment: (named.len(), is_right),
        named,
        is_right,
        cleared: false,
        doubted: false,
        instrument_blamed: false,
        renewed: 0,
        answers: Vec::new(),
        entries: Vec::new(),
    }))
}

fn way_of(vehicle: &Vehicle, state: &State, load: PartId) -> Option<CurrentPath> {
    let parts = way_there_and_back(vehicle, state, load);
    let (into, out_of) = vehicle.part(load).ends();
    let first = vehicle.part(*parts.first()?).ends();
    let source = vehicle.supplies().find(|&id| [first.0, first.1].contains(&vehicle.part(id).to))?;
    let mut at = vehicle.part(source).to;
    let mut steps = vec![PathStep { part: source, leaves: at }];
    let mut through = None;
    for part in parts.into_iter().map(Some).chain([None]) {
        if at == into && through.is_none() {
            through = Some(steps.len());
            at = out_of;
            steps.push(PathStep { part: load, leaves: at });
        }
        let Some(part) = part else { break };
        let (from, to) = vehicle.part(part).ends();
        if at != from && at != to {
            return None;
        }
        at = vehicle.part(part).other_end(at);
        steps.push(PathStep { part, leaves: at });
    }
    through.map(|load| CurrentPath { steps, load })
}

/// Somebody with a meter.
struct Technician<'a> {
    bench: &'a Bench,
    world: &'a World,
    state: &'a State,
    model: &'a StateModel,
    theta: Uncertainties,
    random: ChaCha8Rng,
    opened: Vec<PlaceId>,
    tests: usize,
    misreads: usize,
    minutes: f64,
}

impl Technician<'_> {
    /// The parts between the last point before the fault and the first behind it.
    fn narrow(&mut self, way: &CurrentPath, policy: Policy) -> Result<Vec<PartId>, CaseError> {
        let vehicle = self.bench.engine().vehicle();
        // Positions behind which the fault may lie: after step `low`, up to step `high`.
        let (mut low, mut high) = (0, way.steps.len());
        let mut left: Vec<usize> =
            (0..way.steps.len() - 1).filter(|&position| way.steps[position].leaves != vehicle.black).collect();
        loop {
            left.retain(|&position| position + 1 > low && position + 1 < high);
            let Some(position) = self.next(way, &left, (low, high), policy) else { break };
            left.retain(|&other| other != position);
            match self.is_behind(way, position)? {
                Some(true) => high = position + 1,
                Some(false) => low = position + 1,
                None => {}
            }
        }
        Ok(way.steps[low..high].iter().map(|step| step.part).collect())
    }

    fn next(&self, way: &CurrentPath, left: &[usize], (low, high): (usize, usize), policy: Policy) -> Option<usize> {
        let weight = |step: &PathStep| match policy {
            Policy::HalfSplitByRate => self.bench.rate_of(step.part),
            _ => 1.0,
        };
        let total: f64 = way.steps[low..high].iter().map(weight).sum();
        let unevenness = |&position: &usize| {
            let before: f64 = way.steps[low..=position].iter().map(weight).sum();
            (before - 0.5 * total).abs()
        };
        match policy {
            Policy::Walk => left.first().copied(),
            _ => left.iter().copied().min_by(|a, b| unevenness(a).total_cmp(&unevenness(b))),
        }
    }

    /// Whether a point lies behind the fault; none if it cannot be reached. On
    /// the way there too little says so, on the way back anything but too much.
    fn is_behind(&mut self, way: &CurrentPath, position: usize) -> Result<Option<bool>, CaseError> {
        let point = way.steps[position].leaves;
        let Some(off) = self.read(point)? else { return Ok(None) };
        Ok(Some(if position < way.load { off < -self.bad_beyond() } else { off <= self.bad_beyond() }))
    }

    fn bad_beyond(&self) -> f64 {
        self.bench.engine().tables().trial.bad_beyond
    }

    /// How many deviations a point lies above what it reads when all is sound.
    fn read(&mut self, point: PointId) -> Result<Option<f64>, CaseError> {
        let vehicle = self.bench.engine().vehicle();
        if !self.is_open_to(point) {
            return Ok(None);
        }
        let meter = MeterKind::default();
        let taken = self.world.read(self.state, Probe::voltage(point, vehicle.black), meter, &mut self.random)?;
        self.tests += 1;
        self.misreads += usize::from(taken.is_misread);
        let sound = self.model.view(vehicle, &Hypothesis::Sound);
        let shown = sound.shown(Probe::voltage(point, vehicle.black), meter, 0.0, &self.theta);
        Ok(Some(
            (Scale::value_of(&self.bench.engine().tables().instruments, &taken.measured).0 - shown.mean)
                / shown.variance().sqrt(),
        ))
    }

    /// Goes to a point; false if it cannot be reached.
    fn is_open_to(&mut self, point: PointId) -> bool {
        let vehicle = self.bench.engine().vehicle();
        let evidence = Evidence::default();
        let situation =
            Situation::untouched(self.bench.engine().tables(), vehicle, &evidence, self.state, &self.opened);
        let situation = Situation { is_meter_out: self.tests > 0, ..situation };
        if !situation.can_reach(vehicle, point) {
            return false;
        }
        let test = Test::Measure(Probe::voltage(point, vehicle.black));
        let effort = situation.effort(vehicle, test, &[]);
        self.minutes += effort.minutes.0;
        self.opened.extend(effort.opens);
        self.world.can_reach(point)
    }

    /// Whether a coil has its volts, by a reading at each end.
    fn has_volts(&mut self, coil: PartId) -> Result<bool, CaseError> {
        let (from, to) = self.bench.engine().vehicle().part(coil).ends();
        let (feed, back) = (self.read(from)?, self.read(to)?);
        Ok(feed.is_none_or(|off| off >= -self.bad_beyond()) && back.is_none_or(|off| off <= self.bad_beyond()))
    }
}
