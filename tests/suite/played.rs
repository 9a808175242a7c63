//! A vehicle with a hidden fault, played by a solver that is not the engine's
//! fast path, and somebody who follows the tool's own tests.

use halfsplit::belief::{Appearance, Engine, Sign, Symptom, appearance_chances};
use halfsplit::case::{Case, Entry};
use halfsplit::complaint::built_in_trees;
use halfsplit::fault::{FailureMode, Fault, alteration};
use halfsplit::files::{Loaded, built_in_tables, load, sample};
use halfsplit::network::{
    Alteration, Between, Branch, Convergence, Law, Network, as_an_ohmmeter_finds_it, network_of, solve,
};
use halfsplit::plan::{Advice, Next, Sense, Test};
use halfsplit::predict::{Burden, Probe};
use halfsplit::quantity::{Amps, Measured, Ohms, Typed, Volts};
use halfsplit::repl::Session;
use halfsplit::trial::with_panel;
use halfsplit::vehicle::{
    Coil, ControlKind, Disturbance, Hazard, Load, LoadKind, PartId, PartKind, PlaceId, Shows, State, Vehicle,
};
use std::cell::RefCell;
use std::rc::Rc;

/// A complaint that a load is dead.
pub const DEAD: Sign = Sign::Looks(Appearance::Dead);

/// Tests after which a person gives up.
pub const PATIENCE: usize = 20;

/// What a meter adds between its leads.
pub const METER_OHMS: Ohms = Ohms(10e6);
/// Resistance of leads and tips, Ω.
const LEAD_OHMS: f64 = 0.2;
/// Last digit of a clamp meter, A.
const CLAMP_STEP: f64 = 0.1;

thread_local! {
    static ENGINES: RefCell<Vec<(String, Rc<Engine>)>> = const { RefCell::new(Vec::new()) };
}

/// The engine of a sample, `NAME+panel` with a battery monitor; one for all cases of a
/// test: what it has solved moves no answer (`beliefs`).
pub fn engine(name: &str) -> Rc<Engine> {
    ENGINES.with_borrow_mut(|known| {
        let index = known.iter().position(|(of, _)| of == name).unwrap_or_else(|| {
            let plain = name.strip_suffix("+panel").unwrap_or(name);
            let mut loaded = drawing(plain);
            if plain != name {
                loaded.vehicle = with_panel(loaded.vehicle);
            }
            let rates = built_in_tables().unwrap_or_else(|error| panic!("{error}"));
            let trees = Rc::new(built_in_trees().unwrap_or_else(|error| panic!("{error}")));
            known.push((name.to_string(), Rc::new(Engine::new(Rc::new(loaded.vehicle), rates).with_trees(trees))));
            known.len() - 1
        });
        Rc::clone(&known[index].1)
    })
}

/// A sample, or a vehicle of `tests/data`.
pub fn drawing(name: &str) -> Loaded {
    let from_file = || load(&format!("{}/tests/data/{name}", env!("CARGO_MANIFEST_DIR")));
    sample(name).unwrap_or_else(from_file).unwrap_or_else(|error| panic!("{error}"))
}

/// A sample as a case with nothing said yet.
pub fn fresh(name: &str) -> Case {
    Case::new(engine(name)).unwrap_or_else(|error| panic!("{error}"))
}

/// A session on a vehicle of whose drawing nothing has been said.
pub fn session(name: &str) -> Session {
    let loaded = drawing(name);
    Session::new(fresh(name), loaded.file, loaded.warnings)
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
        match solve(bridged(network, red, black, METER_OHMS)).expect("solvable").between(red, black) {
            Between::Volts(volts) => volts.0,
            Between::Floating => 0.0,
        }
    }
}

/// The hidden truth: what is sought first, then what else is amiss.
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
        let network = network_of(self.vehicle, state);
        let change = |&(fault, size): &(Fault, f64)| {
            alteration(&crate::tables::built_in().faults, self.vehicle, state, &network, fault, size)
        };
        self.faults.iter().map(change).reduce(Alteration::and).unwrap_or_default().applied_to(&network)
    }

    fn has(&self, part: PartId, modes: &[FailureMode]) -> bool {
        self.faults.iter().any(|(fault, _)| fault.part == part && modes.contains(&fault.mode))
    }

    /// How a load looks: the likeliest appearance at the voltage it gets.
    pub fn appearance(&self, simulator: &mut impl Simulator, state: &State, load: PartId) -> Appearance {
        let part = self.vehicle.part(load);
        let PartKind::Load(Load { kind, rated, cut_out, .. }) = part.kind else { panic!("{} is no load", part.name) };
        let (red, black) = (part.from.index(), part.to.index());
        let sound = Resolve.volts(&network_of(self.vehicle, state), red, black).abs();
        let reference = if sound > 0.6 * rated.0 { sound } else { rated.0 };
        let volts = simulator.volts(&self.network(state), red, black).abs();
        // A lamp in its place has nothing of it.
        let has_lamp = state.has_lamp(self.vehicle, load);
        let (kind, cut_out) = if has_lamp { (LoadKind::Lamp, None) } else { (kind, cut_out) };
        let share = match cut_out {
            _ if state.is_off(self.vehicle, load) => 0.0,
            None if has_lamp => volts / reference,
            _ if self.has(load, &[FailureMode::OpenCircuit, FailureMode::ShortAcross]) => 0.0,
            Some(cut_out) if volts < cut_out.off.0 => 0.0,
            _ => volts / reference,
        };
        let chances = appearance_chances(&crate::tables::built_in().signs, kind, share);
        *Appearance::ALL.iter().max_by(|a, b| chances[a.index()].total_cmp(&chances[b.index()])).expect("three")
    }

    /// What a careful person tells of a part.
    pub fn sign(&self, simulator: &mut impl Simulator, state: &State, subject: PartId, sense: Sense) -> Sign {
        let solution = solve(self.network(state)).expect("solvable");
        let index = subject.index();
        let is_open = self.has(subject, &[FailureMode::OpenCircuit]);
        match sense {
            Sense::Look => Sign::Looks(self.appearance(simulator, state, subject)),
            Sense::Listen => {
                let PartKind::Coil(Coil { pull_in, .. }) = self.vehicle.part(subject).kind else { panic!("no coil") };
                let pulls =
                    !is_open && solution.current(index).0.abs() > 1e-4 && solution.across(index).abs() >= pull_in;
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
            Sense::Lamp => match solution.across(index).abs().0 > 0.6 * self.vehicle.nominal.0 {
                true => Sign::LampBright,
                false => Sign::LampDim,
            },
            Sense::Source => match solution.current(index).0 > 0.05 {
                true => Sign::Gives,
                false => Sign::Idle,
            },
        }
    }

    /// What the display shows.
    pub fn measured(&self, simulator: &mut impl Simulator, case: &Case, state: &State, probe: Probe) -> Measured {
        let network = self.network(state);
        match probe {
            Probe::Voltage { red, black, burden } => {
                let (red, black) = (red.index(), black.index());
                let lamp = case.engine().tables().instruments.lamp * (self.vehicle.nominal.0 / 12.0);
                let volts = Volts(match burden {
                    Burden::Bare | Burden::Each(_) => simulator.volts(&network, red, black),
                    Burden::Lamp => simulator.volts(&bridged(&network, red, black, lamp), red, black),
                });
                let meter = case.standing().meter.meter(&case.engine().tables().instruments);
                Measured::Volts(Typed { value: meter.shows(volts), step: meter.step(volts) })
            }
            Probe::Resistance { red, black } => {
                let dead = Rc::new(solve(as_an_ohmmeter_finds_it(&network)).expect("solvable"));
                let dead = dead.altered(&Alteration::default()).expect("no change");
                let floats = dead.between(red.index(), black.index()) == Between::Floating;
                match dead.transfer(red.index(), black.index()).resistance().0 + LEAD_OHMS {
                    ohms if floats || ohms > 40e6 => Measured::NoPath,
                    // 400.0 Ω, 4.000 kΩ and so on.
                    ohms => {
                        let step = 10f64.powi((ohms / 400.0).log10().ceil().max(0.0) as i32 - 1);
                        Measured::Ohms(Typed { value: Ohms((ohms / step).round() * step), step: Ohms(step) })
                    }
                }
            }
            Probe::Fixed { instrument, shows } => {
                let step = self.vehicle.part(instrument).kind.instrument().expect("an instrument").resolution;
                let shown = |value: f64| (value / step).round() * step;
                match shows {
                    Shows::Volts { red, black } => {
                        let volts = simulator.volts(&network, red.index(), black.index());
                        Measured::Volts(Typed { value: Volts(shown(volts)), step: Volts(step) })
                    }
                    Shows::Amps { part } => {
                        let amps = solve(network).expect("solvable").current(part.index()).0;
                        Measured::Amps(Typed { value: Amps(shown(amps)), step: Amps(step) })
                    }
                }
            }
            Probe::Current { part } => {
                let amps = solve(network).expect("solvable").current(part.index()).0;
                Measured::Amps(Typed { value: Amps((amps / CLAMP_STEP).round() * CLAMP_STEP), step: Amps(CLAMP_STEP) })
            }
        }
    }
}

/// The network with something across two points.
pub fn bridged(network: &Network, from: usize, to: usize, ohms: Ohms) -> Network {
    let mut network = network.clone();
    network.branches.push(Branch { from, to, law: Law::Resistor(ohms.conductance()) });
    network
}

/// Whether advice may be given by phone: plain volts only, no plug or fuse
/// moved, no place that has to be taken apart or can hurt.
pub fn fits_the_phone(vehicle: &Vehicle, advice: &Advice) -> Result<(), String> {
    let by_hand = |kind| !matches!(kind, ControlKind::Fuse | ControlKind::Plug | ControlKind::Aid(_));
    if !advice.settings.iter().all(|&(control, _)| by_hand(vehicle.control(control).kind)) {
        return Err(format!("not to be set by phone: {:?}", advice.settings));
    }
    let Test::Measure(probe) = advice.test else { return Ok(()) };
    let Some((red, black)) = probe.plain_voltage() else { return Err(format!("no plain voltage: {probe:?}")) };
    let fits = |&place: &PlaceId| {
        let of = vehicle.place(place);
        let hurts = |hazard| !matches!(hazard, Hazard::Battery | Hazard::Hot);
        let safe = !vehicle.cautions.iter().any(|caution| caution.place == place && hurts(caution.hazard));
        of.minutes.0 <= 2.0 && of.disturbance == Disturbance::None && safe
    };
    let unfit = [red, black].into_iter().find(|&point| !vehicle.point(point).places.iter().any(fits));
    unfit.map_or(Ok(()), |point| Err(format!("nobody gets there by phone: {}", vehicle.point(point).name())))
}

/// How a hunt went.
pub struct Hunt {
    pub tests: usize,
    /// Parts announced as the place, likeliest first.
    pub named: Vec<PartId>,
    /// Whether it ended with an answer.
    pub answered: bool,
    /// Whether the true part was ever among those proved good.
    pub cleared: bool,
    pub log: String,
}

/// Complains of `load` and follows the tool's tests to its answer. `None` if
/// the fault makes no complaint that anybody would notice.
pub fn hunt(case: &mut Case, hidden: &Hidden<'_>, simulator: &mut impl Simulator, load: PartId) -> Option<Hunt> {
    let settings = case.settings_for_sign(load, DEAD);
    let state = case.standing().state.with_all(&settings);
    // What a chattering relay looks like is not this hunt's matter.
    if solve(hidden.network(&state)).expect("solvable").convergence() == Convergence::Oscillating {
        return None;
    }
    let appearance = hidden.appearance(simulator, &state, load);
    if appearance == Appearance::Works {
        return None;
    }
    case.add(Entry::Observe { settings, subject: load, sign: Sign::Looks(appearance) }).expect("a complaint stands");
    let mut hunt = follow(case, hidden, simulator);
    hunt.log = format!("{appearance:?}{}", hunt.log);
    Some(hunt)
}

/// Follows the tool's tests to its answer.
pub fn follow(case: &mut Case, hidden: &Hidden<'_>, simulator: &mut impl Simulator) -> Hunt {
    follow_looking(case, hidden, simulator, |simulator, state, subject, sense| {
        hidden.sign(simulator, state, subject, sense)
    })
}

/// The same by somebody who tells of a part what `look` says.
pub fn follow_looking<S: Simulator>(
    case: &mut Case,
    hidden: &Hidden<'_>,
    simulator: &mut S,
    look: impl Fn(&mut S, &State, PartId, Sense) -> Sign,
) -> Hunt {
    let mut hunt = Hunt { tests: 0, named: Vec::new(), answered: false, cleared: false, log: String::new() };
    let mut state = case.standing().state.clone();
    loop {
        hunt.cleared |= case.assessment().proved_good.contains(&hidden.part());
        let advice = match &case.assessment().next {
            Next::Test(advice) if hunt.tests < PATIENCE => advice.as_ref().clone(),
            // Read again, it is what it was.
            &Next::ReadAgain { reading } if hunt.tests < PATIENCE => {
                let number = case.standing().number_of(reading);
                let measured = case.standing().evidence.readings[reading].measured;
                hunt.tests += 1;
                case.add(Entry::Retake { number, measured }).expect("what is doubted is there");
                continue;
            }
            _ => break,
        };
        state = state.with_all(&advice.settings);
        hunt.tests += 1;
        for &(control, position) in &advice.settings {
            hunt.log += &format!("; {} {position:?}", hidden.vehicle.control(control).name);
        }
        let entry = match advice.test {
            Test::Ask(_) => Entry::Unwanted { test: advice.test },
            Test::Sense { subject, sense } => {
                let sign = look(simulator, &state, subject, sense);
                hunt.log += &format!("; {} {sign:?}", hidden.vehicle.part(subject).name);
                Entry::Observe { settings: advice.settings, subject, sign }
            }
            Test::Measure(probe) => {
                let measured = hidden.measured(simulator, case, &state, probe);
                let (red, black) = probe.points(hidden.vehicle);
                let name = |point| hidden.vehicle.point(point).name();
                hunt.log += &format!("; {}-{} {}", name(red), name(black), shown(probe, measured));
                Entry::Read { settings: advice.settings, probe, measured, symptom: Symptom::Present }
            }
        };
        case.add(entry).expect("an advised test stands");
    }
    let next = &case.assessment().next;
    hunt.answered = matches!(next, Next::Found { .. } | Next::Inseparable { .. });
    let named = case.assessment().segment.iter().flat_map(|segment| segment.parts()).map(|(part, _)| part);
    hunt.named = match next {
        Next::Found { site } => site.parts().collect(),
        Next::Inseparable { parts } => parts.clone(),
        _ => named.take(1).collect(),
    };
    let names: Vec<&str> = hunt.named.iter().map(|&part| hidden.vehicle.part(part).name.as_str()).collect();
    hunt.log += &format!(" => {:?} {}", discriminant(next), names.join(", "));
    hunt
}

fn shown(probe: Probe, measured: Measured) -> String {
    let lamp = if matches!(probe, Probe::Voltage { burden: Burden::Lamp, .. }) { " lamp" } else { "" };
    match measured {
        Measured::Volts(volts) => format!("{}{lamp}", volts.value),
        Measured::Amps(amps) => amps.value.to_string(),
        Measured::Ohms(ohms) => ohms.value.to_string(),
        Measured::NoPath => "no path".to_string(),
    }
}

fn discriminant(next: &Next) -> &'static str {
    match next {
        Next::AskComplaint | Next::NothingAmiss => "nothing asked",
        Next::ReadAgain { .. } => "read again",
        Next::Test(_) => "gave up",
        Next::Found { .. } => "found",
        Next::Inseparable { .. } => "inseparable",
        Next::NothingWorthwhile => "nothing worthwhile",
    }
}
