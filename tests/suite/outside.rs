//! Against a circuit simulator that is not ours: ngspice, an open-source
//! descendant of SPICE, in batch.
//!
//! It is given the network as `netlist` writes it, with every law in
//! one piece, and finds regimes, relays and voltages by its own means. Only
//! fuses are beyond it: a fuse that carries too much in its answer is opened,
//! the worst first, and it is asked again.
//!
//! Some of its answers are kept in `tests/data/outside` with the netlists that
//! gave them, and are checked where it is not installed too. Run the tests with
//! `HALFSPLIT_RECORD=1` to record them again after a sample has changed.

use crate::netlist::netlist;
use crate::played::{METER_OHMS, Resolve, Simulator, bridged};
use halfsplit::fault::{FailureMode, Fault, alteration, catalogue, sizes};
use halfsplit::files::{SAMPLES, built_in_tables, sample};
use halfsplit::network::{Alteration, Altered, Between, Branch, Convergence, Law, Network, network_of, solve};
use halfsplit::quantity::{Ohms, Volts};
use halfsplit::tables::Tables;
use halfsplit::vehicle::{ControlId, Position, State, Vehicle};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::io::Write as _;
use std::path::PathBuf;
use std::process::{Command, Stdio};
use std::rc::Rc;

/// Furthest that the two may lie apart at any point, V.
const ALLOWED: f64 = 1e-3;

/// Random circuits compared with the simulator, and how many of them are kept.
const CASES: u64 = 300;
const KEPT: u64 = 12;

const MODES: [FailureMode; 15] = [
    FailureMode::OpenCircuit,
    FailureMode::HighResistance,
    FailureMode::ContactWelded,
    FailureMode::ShortAcross,
    FailureMode::ShortToGround,
    FailureMode::LowVoltage,
    FailureMode::HighDraw,
    FailureMode::LowDraw,
    FailureMode::Undersized,
    FailureMode::WrongTerminal,
    FailureMode::WrongRating,
    FailureMode::ShortBetweenCircuits,
    FailureMode::Crossed,
    FailureMode::Leakage,
    FailureMode::CommonCause,
];

/// The simulator, if it is installed.
pub struct Ngspice {
    _installed: (),
}

impl Ngspice {
    /// `None` where there is none; says so, since then less is tested.
    pub fn find() -> Option<Self> {
        let version = Command::new("ngspice").arg("--version").stdout(Stdio::null()).stderr(Stdio::null()).status();
        if version.is_err() {
            eprintln!("ngspice is not installed: its recorded answers stand in, and the engine's full solve");
        }
        version.is_ok().then_some(Self { _installed: () })
    }

    /// Voltages of all points against the reference, and the network as it
    /// stands once overloaded fuses have opened; `None` where the simulator
    /// goes round in circles between a source at its limit and loads of steady
    /// current, as it does once in some thousand circuits.
    pub fn operating_point(&self, network: &Network) -> Option<(Vec<f64>, Network)> {
        let mut network = network.clone();
        loop {
            let volts = self.run(&text_of("halfsplit", &network), network.points, network.reference)?;
            let overload = |branch: &Branch| match branch.law {
                Law::Fuse { conductance, opens_at } => {
                    conductance.0 * (volts[branch.from] - volts[branch.to]).abs() / opens_at.0
                }
                _ => 0.0,
            };
            let most = network.branches.iter().map(overload).fold(0.0, f64::max);
            // Of fuses in series, alike to rounding, the engine opens the first.
            let worst = network.branches.iter().position(|branch| overload(branch) > most * (1.0 - 1e-5));
            match worst {
                Some(fuse) if most > 1.0 => network.branches[fuse].law = Law::Open,
                _ => return Some((volts, network)),
            }
        }
    }

    /// What the simulator prints when it has run a text.
    pub fn printed(&self, text: &str) -> String {
        let mut running = Command::new("ngspice")
            .args(["-n", "-b"])
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("ngspice starts");
        running.stdin.take().expect("a pipe").write_all(text.as_bytes()).expect("ngspice reads its input");
        let output = running.wait_with_output().expect("ngspice ends");
        String::from_utf8_lossy(&output.stdout).into_owned()
    }

    fn run(&self, text: &str, points: usize, reference: usize) -> Option<Vec<f64>> {
        let printed = self.printed(text);
        let volts = printed_volts(&printed, points, reference);
        let gave_up = printed.contains("DC solution failed");
        assert!(volts.is_some() || gave_up, "ngspice misses points:\n{printed}\nof\n{text}");
        volts.filter(|_| !gave_up)
    }
}

/// The simulator, or a full solve of the engine's where it is not installed.
pub fn meter() -> Box<dyn Simulator> {
    match Ngspice::find() {
        Some(ngspice) => Box::new(ngspice),
        None => Box::new(Resolve),
    }
}

impl Simulator for Ngspice {
    fn volts(&mut self, network: &Network, red: usize, black: usize) -> f64 {
        match self.operating_point(&bridged(network, red, black, METER_OHMS)) {
            Some((volts, _)) => volts[red] - volts[black],
            None => Resolve.volts(network, red, black),
        }
    }
}

/// A netlist with what makes the simulator print its operating point.
fn text_of(title: &str, network: &Network) -> String {
    netlist(title, network) + ".control\nset numdgt=12\nop\nprint all\nquit\n.endc\n.end\n"
}

/// Voltages printed as `v(3) = 1.2e+01`, point `n` being node `n + 1`; none if
/// a point is missing.
fn printed_volts(printed: &str, points: usize, reference: usize) -> Option<Vec<f64>> {
    let mut volts = vec![None; points];
    volts[reference] = Some(0.0);
    for (name, value) in printed.lines().filter_map(|line| line.split_once('=')) {
        let node = name.trim().strip_prefix("v(").and_then(|rest| rest.strip_suffix(')'));
        let node = node.and_then(|node| node.parse::<usize>().ok()).filter(|node| (1..=points).contains(node));
        if let Some(node) = node {
            volts[node - 1] = value.trim().parse().ok();
        }
    }
    volts.into_iter().collect()
}

/// The same numbers on every machine: SplitMix64 (Steele, Lea, Flood, 2014).
struct Numbers(u64);

impl Numbers {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mixed = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    fn below(&mut self, bound: usize) -> usize {
        (self.next() % bound as u64) as usize
    }

    fn chance(&mut self, share: f64) -> bool {
        ((self.next() >> 11) as f64) < share * (1u64 << 53) as f64
    }
}

/// A vehicle in a state with a fault.
struct Case<'a> {
    sample: &'static str,
    vehicle: &'a Vehicle,
    state: State,
    fault: Fault,
    size: f64,
}

/// The samples and the table of rates.
struct Samples {
    vehicles: Vec<(&'static str, Vehicle)>,
    rates: Rc<Tables>,
}

impl Samples {
    fn load() -> Self {
        let vehicle = |name| sample(name).expect("a sample").unwrap_or_else(|error| panic!("{error}")).vehicle;
        Self {
            vehicles: SAMPLES.iter().map(|&(name, _)| (name, vehicle(name))).collect(),
            rates: built_in_tables().unwrap_or_else(|error| panic!("{error}")),
        }
    }

    /// The case of a number: samples and ways to fail in turn, the rest random.
    fn case(&self, number: u64) -> Case<'_> {
        let mut numbers = Numbers(number);
        let (sample, vehicle) = &self.vehicles[number as usize % self.vehicles.len()];
        let mode = MODES[number as usize / self.vehicles.len() % MODES.len()];
        let faults: Vec<Fault> = catalogue(vehicle, &self.rates)
            .into_iter()
            .map(|likely| likely.fault)
            .filter(|fault| fault.mode == mode)
            .collect();
        let fault = faults[numbers.below(faults.len())];
        let sizes = sizes(&crate::tables::built_in().faults, mode);
        let size = sizes[numbers.below(sizes.len())].map_or(0.0, |size| size.value);
        Case { sample, vehicle, state: random_state(vehicle, &mut numbers), fault, size }
    }
}

/// A state of the file or rest, then some controls the other way.
fn random_state(vehicle: &Vehicle, numbers: &mut Numbers) -> State {
    let rest = State::rest(vehicle);
    let named = vehicle.states.get(numbers.below(vehicle.states.len() + 1));
    let settings = named.into_iter().flat_map(|state| &state.settings);
    let start = settings.fold(rest, |state, &(control, position)| state.with(control, position));
    let state = vehicle.control_ids().fold(start, |state, control| match numbers.chance(0.2) {
        true => {
            let other = state.position(control).opposite();
            state.with(control, other)
        }
        false => state,
    });
    // Now and then a lead, a bridge, an end off its post, a lamp.
    let mut aided = state;
    while numbers.chance(0.4) && !vehicle.aids.is_empty() {
        let aid = ControlId::new(vehicle.controls.len() + numbers.below(vehicle.aids.len()));
        aided = aided.with(aid, Position::On);
    }
    aided
}

impl Case<'_> {
    fn title(&self) -> String {
        let mut title = format!(
            "{} {} {:?} {:e} with",
            self.sample,
            self.vehicle.part(self.fault.part).name,
            self.fault.mode,
            self.size
        );
        for (control, position) in self.state.changes(self.vehicle) {
            let _ = write!(title, " {}={position:?}", self.vehicle.control(control).name);
        }
        title
    }

    fn sound(&self) -> Network {
        network_of(self.vehicle, &self.state)
    }

    fn alteration(&self) -> Alteration {
        alteration(&crate::tables::built_in().faults, self.vehicle, &self.state, &self.sound(), self.fault, self.size)
    }

    /// The engine's answer by its fast path.
    fn altered(&self) -> Altered {
        let solution = Rc::new(solve(self.sound()).expect("a sample can be solved"));
        solution.altered(&self.alteration()).expect("a fault can be solved")
    }

    /// The network with the fault in it.
    fn network(&self) -> Network {
        self.alteration().applied_to(&self.sound())
    }

    fn difference(&self, number: u64, altered: &Altered, point: usize, theirs: f64) -> String {
        let ours = altered.between(point, self.vehicle.black.index());
        format!("{number} {}: {} {ours:?}, ngspice {theirs}", self.title(), self.vehicle.points[point].name())
    }

    /// Largest distance of voltages from the engine's, over points that do not
    /// float: V, and the point.
    fn furthest(&self, altered: &Altered, volts: impl Fn(usize) -> f64) -> (f64, usize) {
        let black = self.vehicle.black.index();
        let distance = |point: usize| match altered.between(point, black) {
            Between::Volts(ours) => (ours.0 - volts(point)).abs(),
            Between::Floating => 0.0,
        };
        let points = (0..self.vehicle.points.len()).map(|point| (distance(point), point));
        points.max_by(|a, b| a.0.total_cmp(&b.0)).expect("a vehicle has points")
    }
}

#[test]
fn the_fast_path_agrees_with_ngspice_at_every_point() {
    let Some(ngspice) = Ngspice::find() else {
        return;
    };
    let samples = Samples::load();
    let (mut compared, mut restless, mut unsolved, mut largest) = (0, 0, 0, 0.0f64);
    let mut wrong = Vec::new();
    for number in 0..CASES {
        let case = samples.case(number);
        let altered = case.altered();
        // A relay that buzzes has no operating point.
        if altered.convergence() == Convergence::Oscillating {
            restless += 1;
            continue;
        }
        let Some((volts, _)) = ngspice.operating_point(&case.network()) else {
            unsolved += 1;
            continue;
        };
        compared += 1;
        let (distance, point) = case.furthest(&altered, |point| volts[point]);
        if distance > ALLOWED {
            wrong.push(case.difference(number, &altered, point, volts[point]));
        } else {
            largest = largest.max(distance);
        }
    }
    println!(
        "{compared} circuits, {restless} restless, {unsolved} unsolved, furthest {largest:.1e} V, {} wrong",
        wrong.len()
    );
    // A converter that starves has two answers.
    assert!(wrong.len() as u64 * 100 <= compared, "{} of {compared}:\n{}", wrong.len(), wrong.join("\n"));
    assert!(compared * 100 >= CASES * 98, "only {compared} of {CASES} compared");
}

/// An answer of the simulator with the netlist that gave it.
#[derive(Debug, Serialize, Deserialize)]
struct Recorded {
    /// Number and title of the case.
    number: u64,
    title: String,
    /// Voltage of each point that does not float against the black-lead point.
    volts: BTreeMap<String, f64>,
}

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/data/outside")
}

/// Samples and ways to fail come in turn; so every one of both is among these.
fn kept_numbers() -> impl Iterator<Item = u64> {
    (0..KEPT).map(|step| 4 * step)
}

/// Records the answers of the kept cases.
fn record(ngspice: &Ngspice, samples: &Samples) {
    for number in kept_numbers() {
        let case = samples.case(number);
        let altered = case.altered();
        let (volts, settled) = ngspice.operating_point(&case.network()).expect("a kept case can be solved");
        let floats = |point: usize| altered.between(point, case.vehicle.black.index()) == Between::Floating;
        let points = (0..volts.len()).filter(|&point| !floats(point));
        let named = points.map(|point| (case.vehicle.points[point].name().to_string(), volts[point]));
        let recorded = Recorded { number, title: case.title(), volts: named.collect() };
        let path = |extension| folder().join(format!("{number:03}.{extension}"));
        let pretty =
            ron::ser::to_string_pretty(&recorded, ron::ser::PrettyConfig::new().new_line("\n")).expect("plain data");
        std::fs::write(path("ron"), pretty + "\n").expect("the folder can be written");
        std::fs::write(path("cir"), text_of(&case.title(), &settled)).expect("the folder can be written");
    }
}

#[test]
fn the_fast_path_agrees_with_recorded_answers() {
    let samples = Samples::load();
    if std::env::var_os("HALFSPLIT_RECORD").is_some() {
        record(&Ngspice::find().expect("recording needs ngspice"), &samples);
    }
    for number in kept_numbers() {
        let case = samples.case(number);
        let again = "run the tests once with HALFSPLIT_RECORD=1 where ngspice is installed";
        let read = |extension| {
            let path = folder().join(format!("{number:03}.{extension}"));
            std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}; {again}", path.display()))
        };
        let recorded: Recorded = ron::from_str(&read("ron")).expect("a recorded answer");
        let altered = case.altered();
        // The answer is to the netlist beside it, in which blown fuses are open.
        let mut network = case.network();
        altered.blown().into_iter().for_each(|fuse| network.branches[fuse].law = Law::Open);
        assert!(
            text_of(&case.title(), &network) == read("cir"),
            "{number:03} has changed since it was recorded; {again}"
        );
        let volts = |point: usize| recorded.volts[case.vehicle.points[point].name()];
        let (distance, point) = case.furthest(&altered, volts);
        assert!(distance <= ALLOWED, "{}", case.difference(number, &altered, point, volts(point)));
    }
}

/// A corroded joint of 1 MΩ in an unloaded feed, read with a 10 MΩ meter.
#[test]
fn the_simulated_meter_loads_the_circuit() {
    let Some(mut ngspice) = Ngspice::find() else {
        return;
    };
    let resistor = |ohms: f64| Law::Resistor(Ohms(ohms).conductance());
    let battery = Law::Battery { emf: Volts(12.6), ohms: Ohms(0.005), charging: Ohms(0.1) };
    let branches = vec![
        Branch { from: 0, to: 1, law: battery },
        Branch { from: 1, to: 2, law: resistor(1e6) },
        Branch { from: 2, to: 3, law: Law::Open },
    ];
    let network = Network { points: 4, branches, reference: 0, converters: Vec::new() };
    assert!((ngspice.volts(&network, 2, 0) - 12.6 / 1.1).abs() < 2e-4);
    assert!(ngspice.volts(&network, 3, 0).abs() < 1e-2, "a point in the air reads nothing");
}
