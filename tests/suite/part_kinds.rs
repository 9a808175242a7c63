//! Every kind of part on the bench, against ngspice and its own devices.
//!
//! A file of `tests/data/part_kinds` has a small vehicle, the same circuit as a
//! netlist that owes nothing to `netlist`, and the states to try: what
//! is swept, what is switched, what is wrong. `devices.cir` has the parts as a
//! textbook would build them: a relay is a switch with hysteresis behind a coil
//! that takes a moment, a fuse a latch that an overload charges. ngspice
//! switches each circuit on from rest and lets it run for a while; what still
//! swings at the end has no steady state.
//!
//! A few answers of each are kept in `recorded` for where the simulator is not
//! installed; `HALFSPLIT_RECORD=1` records them again.

use crate::outside::Ngspice;
use halfsplit::fault::{FailureMode, Fault, Size, alteration};
use halfsplit::files::{LoadError, Loaded, built_in_tables, parse};
use halfsplit::meter::MeterKind;
use halfsplit::network::{Altered, Between, Convergence, network_of, solve};
use halfsplit::predict::{Burden, Hypothesis, Predictor, Probe};
use halfsplit::quantity::Celsius;
use halfsplit::source::SourceFile;
use halfsplit::tables::supply::{BatteryChemistry, internal_resistance, rest_voltage};
use halfsplit::vehicle::{PartId, PointId, Position, State, Vehicle};
use ron::extensions::Extensions;
use serde::Deserialize;
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::PathBuf;
use std::rc::Rc;

/// Furthest that the two may lie apart: V, A or Ω, and as a share.
const ALLOWED: f64 = 5e-3;
const ALLOWED_SHARE: f64 = 5e-3;

/// Swing from which a circuit of the simulator has no steady state.
const SWING: f64 = 0.05;

/// Every so many states one is kept.
const KEPT: usize = 9;

/// States to try of each kind, at least.
const LEAST: usize = 30;

/// A kind of part on the bench.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Kind {
    /// Points of the vehicle that are nodes of the netlist.
    #[serde(default)]
    volts: Vec<String>,
    /// Parts whose current is that of a source `vNAME` of the netlist.
    #[serde(default)]
    amps: Vec<String>,
    /// What an instrument shows, with an expression of the simulator.
    #[serde(default)]
    readings: Vec<(Leads, String)>,
    /// All but the name and the places.
    vehicle: String,
    netlist: String,
    sweeps: Vec<Sweep>,
    /// How many of the states have no steady state.
    #[serde(default)]
    restless: usize,
}

/// Where the leads go.
#[derive(Debug, Deserialize)]
enum Leads {
    Volts(String, String),
    UnderLamp(String, String),
    Ohms(String, String),
    Amps(String),
}

/// States of a kind: every combination of what is given.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Sweep {
    /// Values for `{name}` in the vehicle, and parameters of the netlist;
    /// `size` is the size of the fault.
    given: BTreeMap<String, Vec<f64>>,
    #[serde(default)]
    on: Vec<String>,
    #[serde(default)]
    off: Vec<String>,
    /// Fuses with a test lamp in their place.
    #[serde(default)]
    lamp: Vec<String>,
    #[serde(default)]
    fault: Option<(String, FailureMode)>,
    /// The other part, where a fault takes two.
    #[serde(default)]
    other: Option<String>,
    /// What switches and fault do to the netlist.
    #[serde(default)]
    netlist: BTreeMap<String, String>,
}

/// One state to try.
struct Case<'k> {
    kind: &'k Kind,
    sweep: &'k Sweep,
    given: BTreeMap<&'k str, f64>,
}

/// What something was between its least and its most once all was quiet.
type Range = (f64, f64);

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/data/part_kinds")
}

fn read(name: &str) -> String {
    let path = folder().join(name);
    std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

impl Kind {
    fn load(name: &str) -> Self {
        let options = ron::Options::default().with_default_extension(Extensions::IMPLICIT_SOME);
        options.from_str(&read(&format!("{name}.ron"))).unwrap_or_else(|error| panic!("{name}: {error}"))
    }

    fn cases(&self) -> Vec<Case<'_>> {
        let mut cases = Vec::new();
        for sweep in &self.sweeps {
            let mut all: Vec<BTreeMap<&str, f64>> = vec![BTreeMap::new()];
            for (name, values) in &sweep.given {
                let with =
                    |given: &BTreeMap<_, _>, value| given.clone().into_iter().chain([(name.as_str(), value)]).collect();
                all = all
                    .iter()
                    .flat_map(|given| values.iter().map(|&value| with(given, value)).collect::<Vec<_>>())
                    .collect();
            }
            cases.extend(all.into_iter().map(|given| Case { kind: self, sweep, given }));
        }
        cases
    }

    /// What is asked of the simulator, in the order of [`Case::answers`].
    fn expressions(&self) -> Vec<String> {
        let element = |part: &String| format!("i(v{})", part.replace(['.', '/'], "_").to_lowercase());
        let volts = self.volts.iter().map(|point| format!("v({})", point.to_lowercase()));
        let readings = self.readings.iter().map(|(_, expression)| expression.clone());
        volts.chain(self.amps.iter().map(element)).chain(readings).collect()
    }
}

impl Case<'_> {
    fn title(&self) -> String {
        let sweep = self.sweep;
        let mut title = format!("{:?}", self.given);
        for (what, names) in [("on", &sweep.on), ("off", &sweep.off), ("lamp", &sweep.lamp)] {
            names.iter().for_each(|name| title += &format!(" {what} {name}"));
        }
        if let Some((part, mode)) = &sweep.fault {
            title += &format!(" {part} {mode:?}");
        }
        title
    }

    fn vehicle(&self) -> Vehicle {
        self.parsed().unwrap_or_else(|error| panic!("{error}")).vehicle
    }

    fn parsed(&self) -> Result<Loaded, LoadError> {
        let head = "Vehicle(name: \"bench\", places: [Place(name: \"bench\", minutes: 0.2, open: \"in the open\")], ";
        let fill =
            |text: String, (name, value): (&&str, &f64)| text.replace(&format!("{{{name}}}"), &value.to_string());
        let text = self.given.iter().fold(format!("{head}{})", self.kind.vehicle), fill);
        let file = SourceFile::new("bench".into(), text);
        parse(file)
    }

    fn state(&self, vehicle: &Vehicle) -> State {
        let set =
            [(&self.sweep.on, Position::On), (&self.sweep.off, Position::Off), (&self.sweep.lamp, Position::Lamp)];
        set.into_iter().fold(State::rest(vehicle), |state, (names, position)| {
            let control = |name: &String| vehicle.find_control(name).unwrap_or_else(|| panic!("no control {name}"));
            names.iter().fold(state, |state, name| state.with(control(name), position))
        })
    }

    fn hypothesis(&self, vehicle: &Vehicle) -> Hypothesis {
        let Some((name, mode)) = &self.sweep.fault else { return Hypothesis::Sound };
        let fault = Fault {
            other: self.sweep.other.as_ref().map(|other| part(vehicle, other)),
            ..Fault::new(part(vehicle, name), *mode)
        };
        let size = self.given.get("size").map(|&value| Size { value, width: 0.0, share: 1.0 });
        Hypothesis::Faulty { fault, size }
    }

    /// The lines of the netlist, given parameters first.
    fn netlist(&self, devices: &str) -> String {
        let given = self.given.iter().map(|(name, value)| (*name, format!("{value}")));
        let set = self.sweep.netlist.iter().map(|(name, value)| (name.as_str(), value.clone()));
        let ours: BTreeMap<&str, String> = given.chain(set).collect();
        let mut text: String = ours.iter().map(|(name, value)| format!(".param {name}={value}\n")).collect();
        let overridden = |line: &&str| {
            let name = line.trim().strip_prefix(".param ").and_then(|rest| rest.split('=').next());
            name.is_some_and(|name| ours.contains_key(name.trim()))
        };
        for line in devices.lines().chain(self.kind.netlist.lines()).filter(|line| !overridden(line)) {
            text += &format!("{}\n", line.trim());
        }
        text
    }

    /// What the engine says along each of its ways; none for what hangs in the
    /// air, and no answers at all for what does not settle.
    fn answers(&self) -> Vec<(&'static str, Option<Vec<Option<f64>>>)> {
        let vehicle = Rc::new(self.vehicle());
        let state = self.state(&vehicle);
        let hypothesis = self.hypothesis(&vehicle);
        let sound = network_of(&vehicle, &state);
        let change = match hypothesis.faults().next() {
            Some((fault, size)) => alteration(
                &crate::tables::built_in().faults,
                &vehicle,
                &state,
                &sound,
                fault,
                size.map_or(0.0, |size| size.value),
            ),
            None => Default::default(),
        };
        let predictor = Predictor::new(Rc::clone(&vehicle), built_in_tables().expect("tables"));
        let model = predictor.in_state(&state).expect("solvable");
        let shown = || self.shown(&vehicle, &predictor, &state, &hypothesis);
        let told = |settling, values: Vec<Option<f64>>| {
            (settling == Convergence::Converged).then(|| values.into_iter().chain(shown()).collect())
        };
        let of_altered =
            |altered: &Altered| self.values(&vehicle, |a, b| altered.between(a, b), |branch| altered.current(branch).0);
        if let Some(tripped) = model.trips(&vehicle, &hypothesis) {
            let settles = tripped.hunting.is_empty();
            let settling = if settles { tripped.altered.convergence() } else { Convergence::Oscillating };
            return vec![("tripped", told(settling, of_altered(&tripped.altered)))];
        }
        let fast = Rc::new(solve(sound.clone()).expect("solvable")).altered(&change).expect("solvable");
        let full = solve(change.applied_to(&sound)).expect("solvable");
        let of_full = self.values(&vehicle, |a, b| full.between(a, b), |branch| full.current(branch).0);
        vec![
            ("full solve", told(full.convergence(), of_full)),
            ("fast path", told(fast.convergence(), of_altered(&fast))),
        ]
    }

    fn values(
        &self,
        vehicle: &Vehicle,
        between: impl Fn(usize, usize) -> Between,
        current: impl Fn(usize) -> f64,
    ) -> Vec<Option<f64>> {
        let volts =
            self.kind.volts.iter().map(|name| match between(point(vehicle, name).index(), vehicle.black.index()) {
                Between::Volts(volts) => Some(volts.0),
                Between::Floating => None,
            });
        volts.chain(self.kind.amps.iter().map(|name| Some(current(part(vehicle, name).index())))).collect()
    }

    /// What instruments show.
    fn shown(
        &self,
        vehicle: &Vehicle,
        predictor: &Predictor,
        state: &State,
        hypothesis: &Hypothesis,
    ) -> Vec<Option<f64>> {
        let model = predictor.in_state(state).expect("solvable");
        let theta = predictor.uncertainties().clone();
        let view = model.view(vehicle, hypothesis);
        let voltage = |red: &str, black: &str, burden| Probe::Voltage {
            red: point(vehicle, red),
            black: point(vehicle, black),
            burden,
        };
        let reading = |(leads, _): &(Leads, String)| {
            let probe = match leads {
                Leads::Volts(red, black) => voltage(red, black, Burden::Bare),
                Leads::UnderLamp(red, black) => voltage(red, black, Burden::Lamp),
                Leads::Ohms(red, black) => Probe::Resistance { red: point(vehicle, red), black: point(vehicle, black) },
                Leads::Amps(through) => Probe::Current { part: part(vehicle, through) },
            };
            let shown = view.shown(probe, MeterKind::Good, 0.0, &theta);
            let mean = if matches!(leads, Leads::Ohms(..)) { shown.mean.exp() } else { shown.mean };
            (!shown.floating).then_some(mean)
        };
        self.kind.readings.iter().map(reading).collect()
    }
}

fn point(vehicle: &Vehicle, name: &str) -> PointId {
    vehicle.find_point(name).unwrap_or_else(|| panic!("no point {name}"))
}

fn part(vehicle: &Vehicle, name: &str) -> PartId {
    vehicle.find_part(name).unwrap_or_else(|| panic!("no part {name}"))
}

/// The simulator's answers to all cases, from one process.
fn simulated(ngspice: &Ngspice, kind: &Kind, cases: &[Case]) -> Vec<Vec<Range>> {
    let devices = read("devices.cir");
    let expressions = kind.expressions();
    let mut text = "* bench\n.control\nset numdgt=12\n".to_string();
    for (number, case) in cases.iter().enumerate() {
        let netlist = format!(
            "bench {number}\n{}.options method=gear reltol=1e-6\n.tran 100u 20m 10m uic\n.end\n",
            case.netlist(&devices)
        );
        netlist.lines().for_each(|line| text += &format!("circbyline {line}\n"));
        text += &format!("run\necho case {number}\n");
        for expression in &expressions {
            // Writing to a String cannot fail.
            let _ = writeln!(
                text,
                "let least = vecmin({expression})\nlet most = vecmax({expression})\nprint least most\necho next"
            );
        }
        text += "destroy all\nremcirc\n";
    }
    let printed = ngspice.printed(&(text + "quit\n.endc\n.end\n"));
    let mut of_cases = printed.split("case ").skip(1);
    let mut ranges = Vec::new();
    for (number, case) in cases.iter().enumerate() {
        let part = of_cases.next().unwrap_or_default();
        let values = |name: &str| -> Vec<f64> {
            let lines = part.lines().filter_map(|line| line.split_once('=')).filter(|(left, _)| left.trim() == name);
            lines.filter_map(|(_, value)| value.trim().parse().ok()).collect()
        };
        let range: Vec<Range> = values("least").into_iter().zip(values("most")).collect();
        assert!(
            range.len() == expressions.len(),
            "ngspice gave up on {number}, {}:\n{part}\n{}",
            case.title(),
            case.netlist(&devices)
        );
        ranges.push(range);
    }
    ranges
}

/// Whether anything still moves at the end.
fn swings(ranges: &[Range]) -> bool {
    ranges.iter().any(|(least, most)| most - least > SWING)
}

/// What is wrong with the engine's answers to a case, and the furthest that
/// they lie from the simulator's as a share of what is allowed.
fn judged(case: &Case, expected: &[Range]) -> (Vec<String>, f64) {
    let (mut wrong, mut furthest) = (Vec::new(), 0.0f64);
    let swings = swings(expected);
    for (way, answers) in case.answers() {
        let Some(answers) = answers.filter(|_| !swings) else {
            continue;
        };
        for ((answer, (least, most)), name) in answers.iter().zip(expected).zip(case.kind.expressions()) {
            let theirs = 0.5 * (least + most);
            let Some(ours) = *answer else { continue };
            let share = (ours - theirs).abs() / ALLOWED.max(ALLOWED_SHARE * theirs.abs());
            furthest = furthest.max(share);
            if share > 1.0 {
                wrong.push(format!("{}: {way} has {name} {ours:.5}, ngspice {theirs:.5}", case.title()));
            }
        }
    }
    for (way, answers) in case.answers() {
        if answers.is_none() != swings {
            let (ours, theirs) = if swings { ("settles", "swings") } else { ("does not settle", "settles") };
            wrong.push(format!("{}: {way} {ours}, ngspice {theirs} {expected:?}", case.title()));
        }
    }
    (wrong, furthest)
}

/// Holds a kind against what was recorded and, where it is installed, the
/// simulator.
fn check(name: &str) {
    let kind = Kind::load(name);
    let cases = kind.cases();
    assert!(cases.len() >= LEAST, "{name} has only {} states", cases.len());
    let mut wrong = Vec::new();
    let path = format!("recorded/{name}.ron");
    if let Some(ngspice) = Ngspice::find() {
        let simulated = simulated(&ngspice, &kind, &cases);
        let mut furthest = 0.0f64;
        for (case, expected) in cases.iter().zip(&simulated) {
            let (more, far) = judged(case, expected);
            furthest = furthest.max(far);
            wrong.extend(more);
        }
        let restless = simulated.iter().filter(|ranges| swings(ranges)).count();
        println!("{name}: {} states, {restless} restless, furthest {furthest:.3} of what is allowed", cases.len());
        assert!(restless == kind.restless, "{name}: {restless} have no steady state, not {}", kind.restless);
        if std::env::var_os("HALFSPLIT_RECORD").is_some() {
            std::fs::write(folder().join(&path), recorded(&simulated)).expect("the folder can be written");
        }
    }
    let kept: Vec<(usize, Vec<Range>)> = ron::from_str(&read(&path)).expect("recorded answers");
    for (number, expected) in kept {
        wrong.extend(judged(&cases[number], &expected).0.into_iter().map(|what| format!("recorded {what}")));
    }
    assert!(wrong.is_empty(), "{name}, {} wrong:\n{}", wrong.len(), wrong.join("\n"));
}

/// Every so many answers, a line each.
fn recorded(simulated: &[Vec<Range>]) -> String {
    let rounded = |value: f64| (value * 1e6).round() / 1e6;
    let kept = simulated.iter().enumerate().step_by(KEPT);
    let line = |(number, ranges): (usize, &Vec<Range>)| {
        let ranges: Vec<Range> = ranges.iter().map(|&(least, most)| (rounded(least), rounded(most))).collect();
        format!("    ({number}, {ranges:?}),\n")
    };
    format!("[\n{}]\n", kept.map(line).collect::<String>())
}

macro_rules! kinds {
    ($($name:ident),* $(,)?) => {
        $(#[test]
        fn $name() {
            check(stringify!($name));
        })*
    };
}

kinds!(
    relay,
    flyback,
    sensing_relay,
    switches,
    fuses,
    diodes,
    led_driver,
    led_string,
    filament,
    constant_current,
    motor,
    cut_out,
    battery,
    protection,
    alternator,
    charger,
    solar,
    multicore,
    chassis,
    isolator_24,
    module,
    ghost,
    ohmmeter,
    test_lamp,
    buzzer,
);

/// The other way round it leads from + to -.
#[test]
fn a_diode_that_conducts_across_a_coil_is_a_short() {
    let mut kind = Kind::load("flyback");
    assert!(kind.cases()[0].parsed().is_ok());
    kind.vehicle = kind.vehicle.replace(r#"from: "B-", to: "coil""#, r#"from: "coil", to: "B-""#);
    let error = kind.cases()[0].parsed().expect_err("a short").to_string();
    assert!(error.contains("supply `B` is shorted by the drawing"), "{error}");
}

/// Rest voltage of a flooded lead-acid battery against charge: the widely used
/// table (read), the coarse one of US Army TM 5-3805-262-20, p. 5-142 (read;
/// it calls "11.7 or less" empty), and the thumb rule of six times specific
/// gravity and 0.845 (computed from the first table's gravities).
#[test]
fn a_lead_acid_battery_rests_where_the_tables_have_it() {
    let table = [
        (1.0, 12.65, 12.6, 1.265),
        (0.75, 12.45, 12.4, 1.225),
        (0.5, 12.24, 12.2, 1.190),
        (0.25, 12.06, 12.0, 1.155),
        (0.0, 11.89, 11.7, 1.120),
    ];
    for (charge, printed, coarse, gravity) in table {
        let rests = rest_voltage(BatteryChemistry::LeadAcid, charge).0;
        assert!((rests - printed).abs() < 5e-3, "{charge}: {rests}");
        assert!((rests - coarse).abs() < 0.2, "{charge}: {rests}, coarsely {coarse}");
        assert!((rests - 6.0 * (gravity + 0.845)).abs() <= 0.105, "{charge}: {rests} by gravity");
    }
}

/// Two published charts of four lithium iron phosphate cells (read) agree on no
/// more than this: empty at 10 V, 10 % at 12.0, 20 % at 12.8, full above 13.4,
/// and between 13.0 and 13.4 anything.
#[test]
fn a_lithium_battery_rests_where_both_charts_have_it() {
    let rests = |charge| rest_voltage(BatteryChemistry::LithiumIron, charge).0;
    for (charge, printed) in [(0.0, 10.0), (0.1, 12.0), (0.2, 12.8), (0.3, 13.0), (0.7, 13.3)] {
        assert!((rests(charge) - printed).abs() < 5e-3, "{charge}: {}", rests(charge));
    }
    assert!((40..=80).all(|percent| (13.0..13.4).contains(&rests(f64::from(percent) / 100.0))));
    assert!(rests(1.0) > 13.4);
}

/// A sound, full battery passes the load test: three times its ampere-hours
/// (US Army TM 5-3805-263-14&P-2) leave at least the voltage printed for each
/// temperature, °C (load-test table, read).
#[test]
fn a_sound_battery_passes_its_load_test() {
    let table =
        [(21.0, 9.6), (16.0, 9.5), (10.0, 9.4), (4.0, 9.3), (-1.0, 9.1), (-7.0, 8.9), (-12.0, 8.7), (-18.0, 8.5)];
    for ((celsius, least), hours) in table.into_iter().flat_map(|row| [45.0, 70.0, 200.0].map(|hours| (row, hours))) {
        let rest = rest_voltage(BatteryChemistry::LeadAcid, 1.0);
        let inner = internal_resistance(BatteryChemistry::LeadAcid, hours, rest, Celsius(celsius)).value;
        let under_load = rest.0 - 3.0 * hours * inner.0;
        assert!(under_load >= least, "{hours} A·h at {celsius} °C: {under_load}");
        // And is not made of nothing: a tenth of the drop allowed would be.
        assert!(rest.0 - under_load > 0.3, "{hours} A·h at {celsius} °C: {under_load}");
    }
}
