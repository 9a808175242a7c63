//! A vehicle with a hidden fault, played by a solver that is not the engine's
//! fast path, and somebody who follows the tool's own tests.

use halfsplit::belief::{Appearance, Engine, Sign, Symptom, appearance_chances};
use halfsplit::case::{Case, Entry};
use halfsplit::fault::{Fault, Mode, alteration};
use halfsplit::files::{built_in_rates, sample};
use halfsplit::network::{Between, Network, Settling, network_of, solve};
use halfsplit::plan::{Next, Sense, Test};
use halfsplit::quantity::{Measured, Typed, Volts};
use halfsplit::vehicle::{PartId, PartKind, PointId, State, Vehicle};
use std::rc::Rc;

/// A complaint that a load is dead.
pub const DEAD: Sign = Sign::Looks(Appearance::Dead);

/// Tests after which a person gives up.
pub const PATIENCE: usize = 20;

/// A sample as a fresh case.
pub fn fresh(name: &str) -> Case {
    let loaded = sample(name).expect("there is such a sample").unwrap_or_else(|error| panic!("{error}"));
    let rates = built_in_rates().unwrap_or_else(|error| panic!("{error}"));
    Case::new(Engine::new(Rc::new(loaded.vehicle), rates)).unwrap_or_else(|error| panic!("{error}"))
}

/// Something that solves a network: voltage between two points with the meter on them.
pub trait Simulator {
    fn volts(&mut self, network: &Network, red: usize, black: usize) -> f64;
}

/// A full solve of the changed network, without the fast path.
pub struct Resolve;

impl<S: Simulator + ?Sized> Simulator for Box<S> {
    fn volts(&mut self, network: &Network, red: usize, black: usize) -> f64 {
        (**self).volts(network, red, black)
    }
}

impl Simulator for Resolve {
    fn volts(&mut self, network: &Network, red: usize, black: usize) -> f64 {
        match solve(network.clone()).expect("solvable").between(red, black) {
            Between::Volts(volts) => volts.0,
            Between::Floating => 0.0,
        }
    }
}

/// The hidden truth: faults with their sizes, the one that is sought first.
pub struct Hidden<'a> {
    pub vehicle: &'a Vehicle,
    pub faults: Vec<(Fault, f64)>,
}

impl<'a> Hidden<'a> {
    /// One fault.
    pub fn one(vehicle: &'a Vehicle, fault: Fault, size: f64) -> Self {
        Self { vehicle, faults: vec![(fault, size)] }
    }

    /// The part that is sought.
    pub fn part(&self) -> PartId {
        self.faults[0].0.part
    }

    pub fn network(&self, state: &State) -> Network {
        let sound = network_of(self.vehicle, state);
        self.faults.iter().fold(sound, |network, &(fault, size)| {
            alteration(self.vehicle, state, &network, fault, size).applied_to(&network)
        })
    }

    fn is_at_fault(&self, part: PartId, is_so: impl Fn(Mode) -> bool) -> bool {
        self.faults.iter().any(|(fault, _)| fault.part == part && is_so(fault.mode))
    }

    /// How a load looks: the likeliest appearance at the voltage it gets.
    pub fn appearance(&self, simulator: &mut impl Simulator, state: &State, load: PartId) -> Appearance {
        let part = self.vehicle.part(load);
        let PartKind::Load { kind, rated, cut_out, .. } = part.kind else { panic!("{} is no load", part.name) };
        let (red, black) = (part.from.index(), part.to.index());
        let sound = Resolve.volts(&network_of(self.vehicle, state), red, black).abs();
        let reference = if sound > 0.6 * rated.0 { sound } else { rated.0 };
        let volts = simulator.volts(&self.network(state), red, black).abs();
        let tripped = cut_out.is_some_and(|cut_out| volts < cut_out.off.0);
        let broken = self.is_at_fault(load, |mode| mode != Mode::HighDraw);
        let share = if tripped || broken { 0.0 } else { volts / reference };
        let chances = appearance_chances(kind, share);
        *Appearance::ALL.iter().max_by(|a, b| chances[a.index()].total_cmp(&chances[b.index()])).expect("three")
    }

    /// What a careful person tells of a part.
    pub fn sign(&self, simulator: &mut impl Simulator, state: &State, subject: PartId, sense: Sense) -> Sign {
        let solution = solve(self.network(state)).expect("solvable");
        let index = subject.index();
        let is_open = self.is_at_fault(subject, |mode| mode == Mode::Open);
        match sense {
            Sense::Look => Sign::Looks(self.appearance(simulator, state, subject)),
            Sense::Listen => {
                let PartKind::Coil { pull_in, .. } = self.vehicle.part(subject).kind else { panic!("no coil") };
                let pulls = !is_open && solution.across(index).abs() >= pull_in;
                if pulls { Sign::Clicks } else { Sign::Silent }
            }
            Sense::Fuse => match is_open || solution.is_blown(index) {
                true => Sign::LooksBlown,
                false => Sign::LooksWhole,
            },
            Sense::Feel => match (solution.across(index) * solution.current(index)).0.abs() > 1.0 {
                true => Sign::Hot,
                false => Sign::Cool,
            },
            Sense::Source => match solution.current(index).0 > 0.05 {
                true => Sign::Gives,
                false => Sign::Idle,
            },
        }
    }

    pub fn reading(
        &self,
        simulator: &mut impl Simulator,
        case: &Case,
        state: &State,
        red: PointId,
        black: PointId,
    ) -> Typed<Volts> {
        let meter = case.standing().meter.meter();
        let volts = Volts(simulator.volts(&self.network(state), red.index(), black.index()));
        Typed { value: meter.shows(volts), step: meter.step(volts) }
    }
}

/// How a hunt went.
pub struct Hunt {
    pub tests: usize,
    /// Parts announced as the place, likeliest first.
    pub named: Vec<PartId>,
    /// Whether the true part was ever among those proved good.
    pub cleared: bool,
    pub log: String,
}

/// Follows the tool's tests from a complaint about `load` to its answer.
/// `None` if the fault makes no complaint that anybody would notice.
pub fn hunt(case: &mut Case, hidden: &Hidden<'_>, simulator: &mut impl Simulator, load: PartId) -> Option<Hunt> {
    let settings = case.settings_for_sign(load, DEAD);
    let state = case.standing().state.with_all(&settings);
    // What a chattering relay looks like is not this hunt's matter.
    if solve(hidden.network(&state)).expect("solvable").settling() == Settling::Restless {
        return None;
    }
    let appearance = hidden.appearance(simulator, &state, load);
    if appearance == Appearance::Works {
        return None;
    }
    case.add(Entry::Observe { settings, subject: load, sign: Sign::Looks(appearance) }).expect("a complaint stands");
    let mut hunt = Hunt { tests: 0, named: Vec::new(), cleared: false, log: format!("{appearance:?}") };
    loop {
        hunt.cleared |= case.assessment().proved_good.contains(&hidden.part());
        let advice = match &case.assessment().next {
            Next::Test(advice) if hunt.tests < PATIENCE => advice.as_ref().clone(),
            _ => break,
        };
        let state = case.standing().state.with_all(&advice.settings);
        hunt.tests += 1;
        let entry = match advice.test {
            Test::Sense { subject, sense } => {
                let sign = hidden.sign(simulator, &state, subject, sense);
                hunt.log += &format!("; {} {sign:?}", hidden.vehicle.part(subject).name);
                Entry::Observe { settings: advice.settings, subject, sign }
            }
            Test::Measure(probe) => {
                let (red, black) = probe.plain_voltage().expect("a plain voltage");
                let volts = hidden.reading(simulator, case, &state, red, black);
                let name = |point| hidden.vehicle.point(point).name();
                hunt.log += &format!("; {}-{} {}", name(red), name(black), volts.value);
                let measured = Measured::Volts(volts);
                Entry::Read { settings: advice.settings, probe, measured, symptom: Symptom::Present }
            }
        };
        case.add(entry).expect("an advised test stands");
    }
    let named = case.assessment().segment.iter().flat_map(|segment| segment.parts()).map(|(part, _)| part);
    hunt.named = match &case.assessment().next {
        Next::Inseparable { parts } => parts.clone(),
        _ => named.take(1).collect(),
    };
    let names: Vec<&str> = hunt.named.iter().map(|&part| hidden.vehicle.part(part).name.as_str()).collect();
    hunt.log += &format!(" => {:?} {}", discriminant(&case.assessment().next), names.join(", "));
    Some(hunt)
}

fn discriminant(next: &Next) -> &'static str {
    match next {
        Next::AskComplaint | Next::NothingAmiss => "nothing asked",
        Next::Test(_) => "gave up",
        Next::Found { .. } => "found",
        Next::Inseparable { .. } => "inseparable",
        Next::NothingWorthwhile => "nothing worthwhile",
    }
}
