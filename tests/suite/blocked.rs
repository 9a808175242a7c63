//! Beyond diodes that carry nothing a meter finds what the exponential law of a
//! diode lets it: a little leaks back, and forward a microampere takes less than
//! the forward voltage at full current.
//!
//! i = I_s (e^{u/(n V_T)} − 1), V_T = 25.9 mV at 27 °C (Shockley; OpenStax
//! *University Physics* 3, section 9.7), worked out here by bisection with the
//! input of the meter as its load.

use halfsplit::files::{built_in_tables, parse};
use halfsplit::meter::MeterKind;
use halfsplit::predict::{Hypothesis, Prediction, Predictor, Probe};
use halfsplit::source::SourceFile;
use halfsplit::vehicle::{PointId, Position, State, Vehicle};
use std::rc::Rc;

const THERMAL: f64 = 0.0259;
/// Input of the meter, Ω: as in the tables.
const INPUT: f64 = 10e6;

/// Two feeds through a diode each into one load, and a string of diodes behind a
/// switch, on 12.6 V and 12.4 V.
fn two_feeds(forward: f64, leak: &str) -> Rc<Vehicle> {
    let text = format!(
        r#"Vehicle(name: "two feeds", nominal: 12, black: "A-",
        places: [Place(name: "bench", minutes: 0.5, open: "nothing")],
        supplies: [
            Battery(name: "A", chemistry: LeadAcid, ah: 100, rest: 12.6, ohms: 0.01, at: "bench"),
            Battery(name: "H", chemistry: LeadAcid, ah: 100, rest: 12.4, ohms: 0.02, at: "bench"),
        ],
        buses: [Bus(name: "one", at: "bench"), Bus(name: "two", at: "bench"), Bus(name: "both", at: "bench")],
        runs: [
            Run(name: "a", from: "A+", to: "one", at: "bench", parts: [Fuse(name: "FA", amps: 15), Switch(name: "SA", style: Rocker)]),
            Run(name: "h", from: "H+", to: "two", at: "bench", parts: [Fuse(name: "FH", amps: 15), Switch(name: "SH", style: Rocker)]),
            Run(name: "hn", from: "H-", to: "A-", at: "bench", parts: [Joint(name: "JN", style: Lug)]),
            Run(name: "d1", from: "one", to: "both", at: "bench", parts: [Diode(name: "D1", forward: {forward}{leak})]),
            Run(name: "d2", from: "two", to: "both", at: "bench", parts: [Diode(name: "D2", forward: {forward}{leak})]),
            Run(name: "load", from: "both", to: "A-", at: "bench", parts: [Switch(name: "SR", style: Rocker, rest: On), Load(name: "radio", label: "radio", kind: Radio, ohms: 4)]),
            Run(name: "led", from: "two", to: "A-", at: "bench", parts: [Switch(name: "SL", style: Rocker), Load(name: "strip", label: "strip", kind: Led, amps: 1, behaves: DiodeString)]),
        ])"#
    );
    let file = SourceFile::new("two_feeds.ron".to_string(), text);
    Rc::new(parse(file).unwrap_or_else(|error| panic!("{error}")).vehicle)
}

struct Bench {
    vehicle: Rc<Vehicle>,
    predictor: Predictor,
}

impl Bench {
    fn new(forward: f64, leak: &str) -> Self {
        let vehicle = two_feeds(forward, leak);
        let predictor = Predictor::new(Rc::clone(&vehicle), built_in_tables().expect("tables"));
        Self { vehicle, predictor }
    }

    fn point(&self, name: &str) -> PointId {
        self.vehicle.find_point(name).unwrap_or_else(|| panic!("{name}"))
    }

    /// What a meter shows with these switches on and those off.
    fn shown(&self, on: &[&str], off: &[&str], red: &str, black: &str) -> Prediction {
        let control = |name: &&str| self.vehicle.find_control(name).unwrap_or_else(|| panic!("{name}"));
        let settings: Vec<_> = (on.iter().map(|name| (control(name), Position::On)))
            .chain(off.iter().map(|name| (control(name), Position::Off)))
            .collect();
        let state = State::rest(&self.vehicle).with_all(&settings);
        let model = self.predictor.in_state(&state).expect("it has a solution");
        let theta = self.predictor.uncertainties().clone();
        let view = model.view(&self.vehicle, &Hypothesis::Sound);
        view.shown(Probe::voltage(self.point(red), self.point(black)), MeterKind::default(), 0.0, &theta)
    }
}

fn deviation(shown: &Prediction) -> f64 {
    shown.variance().sqrt()
}

/// Voltage across the meter that draws through a diode from a source.
fn through_diode(source: f64, forward: bool, saturation: f64, ideality: f64) -> f64 {
    let excess = |meter: f64| {
        let across = if forward { source - meter } else { meter - source };
        let current = saturation * ((across / (ideality * THERMAL)).exp() - 1.0);
        (if forward { current } else { -current }) - meter / INPUT
    };
    let (mut low, mut high) = (0.0, source);
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if excess(middle) > 0.0 { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}

#[test]
fn with_everything_off_nothing_stands_between_diodes() {
    for forward in [0.3, 0.7] {
        let bench = Bench::new(forward, "");
        for (red, black) in [("one", "A-"), ("two", "A-"), ("both", "A-"), ("one", "two"), ("SL.out", "A-")] {
            let shown = bench.shown(&[], &[], red, black);
            assert!(shown.mean.abs() < 0.01, "{red} to {black} at {forward} V: {}", shown.mean);
        }
    }
}

/// A rectifier of silicon with a saturation current of 2 to 10 nA.
#[test]
fn a_blocked_diode_leaks_and_pushes_nothing() {
    let bench = Bench::new(0.7, "");
    let shown = bench.shown(&["SA"], &[], "two", "A-");
    for saturation in [2e-9, 1e-8] {
        let exact = through_diode(11.8, false, saturation, 1.8);
        assert!((shown.mean - exact).abs() < 2.0 * deviation(&shown), "{exact} against {}", shown.mean);
    }
    assert!(shown.mean.abs() < 0.2 && deviation(&shown) < 0.5, "{} {}", shown.mean, deviation(&shown));
}

/// A Schottky diode with some microamperes lets a meter see nearly all of it.
#[test]
fn a_schottky_diode_shows_a_ghost_of_what_it_blocks() {
    let bench = Bench::new(0.3, "");
    let shown = bench.shown(&["SA"], &[], "two", "A-");
    let exact = through_diode(12.2, false, 1e-5, 1.05);
    assert!(exact > 11.0 && (shown.mean - exact).abs() < 2.0 * deviation(&shown), "{exact} against {}", shown.mean);
    let told = Bench::new(0.3, ", leak_amps: 1e-9").shown(&["SA"], &[], "two", "A-");
    assert!(told.mean.abs() < 0.05, "what the file says of its leak holds: {}", told.mean);
}

/// Fed from above and with nothing behind it, a diode passes all but the few
/// tenths of a volt that a microampere takes.
#[test]
fn a_meter_behind_a_diode_sees_the_feed() {
    let bench = Bench::new(0.7, "");
    let shown = bench.shown(&["SA"], &["SR"], "both", "A-");
    for (saturation, ideality) in [(2e-9, 1.8), (1e-12, 1.05)] {
        let exact = through_diode(12.6, true, saturation, ideality);
        assert!((shown.mean - exact).abs() < 2.0 * deviation(&shown), "{exact} against {}", shown.mean);
    }
    assert!(shown.mean > 11.9 && deviation(&shown) < 0.5, "{} {}", shown.mean, deviation(&shown));
    // From the battery's post the meter itself draws through the diode and the radio.
    let from_above = bench.shown(&[], &[], "A+", "one");
    assert!((from_above.mean - 12.2).abs() < 2.0 * deviation(&from_above), "{}", from_above.mean);
    assert!(bench.shown(&[], &["SR"], "A+", "one").mean.abs() < 0.5, "without the radio it hangs in the air");
}

/// Electronics of which the file does not say how they draw: behind a quarter of an
/// ohm one of constant power draws an ampere more than a resistance, and both are
/// within two deviations of what is foretold (P = U I; Ohm's law).
#[test]
fn a_load_of_unsaid_law_may_draw_by_any() {
    let vehicle = |behaves: &str| {
        let text = format!(
            r#"Vehicle(name: "unsaid", nominal: 12, black: "A-",
            places: [Place(name: "bench", minutes: 0.5, open: "nothing")],
            supplies: [Battery(name: "A", chemistry: LeadAcid, ah: 100, rest: 12.6, ohms: 0.01, at: "bench")],
            runs: [Run(name: "a", from: "A+", to: "A-", at: "bench", parts: [
                Fuse(name: "F", amps: 15), Joint(name: "J", style: Screw, ohms: 0.25),
                Load(name: "radio", label: "radio", kind: Radio, amps: 6, volts: 12{behaves}) ])])"#
        );
        let file = SourceFile::new("unsaid.ron".to_string(), text);
        Rc::new(parse(file).unwrap_or_else(|error| panic!("{error}")).vehicle)
    };
    let amps = |behaves: &str| {
        let vehicle = vehicle(behaves);
        let predictor = Predictor::new(Rc::clone(&vehicle), built_in_tables().expect("tables"));
        let model = predictor.in_state(&State::rest(&vehicle)).expect("it has a solution");
        let part = vehicle.find_part("radio").expect("it is drawn");
        let theta = predictor.uncertainties().clone();
        let view = model.view(&vehicle, &Hypothesis::Sound);
        view.shown(Probe::Current { part }, MeterKind::default(), 0.0, &theta)
    };
    let (unsaid, resistance) = (amps(""), amps(", behaves: Resistance"));
    let power = amps(", behaves: ConstantPower, min_volts: 6");
    for said in [&resistance, &power] {
        assert!(
            (unsaid.mean - said.mean).abs() < 2.0 * deviation(&unsaid),
            "{} is not within two deviations of {} ±{}",
            said.mean,
            unsaid.mean,
            deviation(&unsaid)
        );
    }
    assert!((power.mean - resistance.mean).abs() > 0.5, "the laws differ here: {} {}", power.mean, resistance.mean);
    assert!(deviation(&unsaid) > deviation(&resistance), "what is not said is less sure");
}

/// The load of a string of diodes whose feed is gone is dark.
#[test]
fn a_string_of_diodes_without_feed_has_no_volts() {
    let bench = Bench::new(0.7, "");
    let state = State::rest(&bench.vehicle);
    let model = bench.predictor.in_state(&state).expect("it has a solution");
    let strip = bench.vehicle.find_part("strip").expect("it is drawn");
    let served = model.performance(&bench.vehicle, &Hypothesis::Sound, strip);
    assert!(served < 0.05, "{served}");
}
