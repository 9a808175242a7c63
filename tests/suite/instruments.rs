//! The simulated instrument of the training room against worked examples: what
//! a meter does to the circuit, what its leads add, what its range shows.

use halfsplit::files::{built_in_tables, parse};
use halfsplit::meter::MeterKind;
use halfsplit::quantity::{Measured, Ohms};
use halfsplit::source::SourceFile;
use halfsplit::training::{Dial, Display, Function, Instrument, Leads, bridged};
use halfsplit::trial::{Conditions, Trouble, World};
use halfsplit::vehicle::{LoadBehaviour, PartKind, PointId, Position, State, Vehicle};
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;

/// A source, a breaker, one switch `S` at rest, and loads in a row from + to -.
fn row(volts: f64, inner: f64, loads: &[(&str, f64)]) -> Vehicle {
    let loads: Vec<String> = loads
        .iter()
        .map(|(name, ohms)| format!("Load(name: \"{name}\", label: \"{name}\", kind: Heater, ohms: {ohms:?})"))
        .collect();
    let nominal = if volts > 16.0 { 24 } else { 12 };
    let text = format!(
        "Vehicle(name: \"row\", nominal: {nominal}, black: \"B-\", places: [ Place(name: \"bench\", minutes: 1, open: \"\") ],
         supplies: [ Bench(name: \"B\", volts: {volts}, ohms: {inner}, amps: 50, at: \"bench\") ],
         runs: [ Run(name: \"row\", from: \"B+\", to: \"B-\", at: \"bench\", parts: [
             Breaker(name: \"CB\", amps: 40, ohms: 0.000001), Switch(name: \"S\", style: Rocker, ohms: 0.000001), {} ]) ])",
        loads.join(", ")
    );
    parse(SourceFile::new("row".to_string(), text)).unwrap_or_else(|error| panic!("{error}")).vehicle
}

/// What an instrument shows there that has no error of its own.
fn shows(vehicle: &Vehicle, is_on: bool, dial: Dial, red: &str, black: &str) -> Display {
    let state = if is_on { on(vehicle) } else { State::rest(vehicle) };
    let instrument = Instrument { kind: MeterKind::Cheap, dial, fuse_is_whole: true };
    let leads = Leads::Between(point(vehicle, red), point(vehicle, black));
    instrument.shows(&world(vehicle), &state, leads, &mut ChaCha8Rng::seed_from_u64(1)).expect("solvable")
}

fn world(vehicle: &Vehicle) -> World {
    let conditions = Conditions::noise_free(&crate::tables::built_in().trial);
    World::new(
        &built_in_tables().expect("tables"),
        vehicle.clone(),
        Trouble::Nothing,
        MeterKind::Cheap,
        &conditions,
        &mut ChaCha8Rng::seed_from_u64(1),
    )
}

fn on(vehicle: &Vehicle) -> State {
    let controls: Vec<_> = vehicle.control_ids().map(|control| (control, Position::On)).collect();
    State::rest(vehicle).with_all(&controls)
}

fn point(vehicle: &Vehicle, name: &str) -> PointId {
    vehicle.find_point(name).unwrap_or_else(|| panic!("no point {name}"))
}

fn digits(display: &Display) -> String {
    match display.reading() {
        Some(Measured::Volts(typed)) => format!("{:.*}", decimals(typed.step.0), typed.value.0),
        Some(Measured::Ohms(typed)) => format!("{:.*}", decimals(typed.step.0), typed.value.0),
        Some(Measured::Amps(typed)) => format!("{:.*}", decimals(typed.step.0), typed.value.0),
        other => panic!("{display:?}: {other:?}"),
    }
}

fn decimals(step: f64) -> usize {
    (-step.log10()).round().max(0.0) as usize
}

fn ranged(function: Function, range: f64) -> Dial {
    Dial { function, range: Some(range) }
}

/// *Lessons In Electric Circuits* I, chapter 8, voltmeter impact: 24 V across
/// two 250 MΩ; a meter of 10 MΩ on the lower one shows 0.8889 V of 12 V, and on
/// the upper as much. The display creeps there, since the source is weak.
#[test]
fn a_meter_of_ten_megohms_on_250_shows_what_the_book_says() {
    let mut vehicle = row(24.0, 1.0, &[("upper", 10e6), ("lower", 10e6)]);
    // No file may say so much.
    for part in &mut vehicle.parts {
        if let PartKind::Load(load) = &mut part.kind {
            load.behaviour = LoadBehaviour::Resistance(Ohms(250e6));
        }
    }
    for (red, black) in [("lower+", "lower-"), ("upper+", "upper-")] {
        let shown = shows(&vehicle, true, ranged(Function::Volts, 2.0), red, black);
        assert!(matches!(shown, Display::Crept { .. }), "{shown:?}");
        assert_eq!(digits(&shown), "0.889");
    }
    // A stiff source is not loaded, and does not creep.
    let shown = shows(&vehicle, true, ranged(Function::Volts, 200.0), "B+", "B-");
    assert!(matches!(shown, Display::Value(_)), "{shown:?}");
    assert_eq!(digits(&shown), "24.0");
}

/// The same book and chapter, ammeter impact: 2 V, a branch of 3 Ω, an ammeter
/// of 0.5 Ω in it shows 571.43 mA of 666.7 mA; in the branch of 1.5 Ω 1.000 A of
/// 1.333 A. Here at six times the voltage, so six times the currents, and the
/// ammeter is laid across the open switch.
#[test]
fn an_ammeter_in_the_circuit_shows_less_than_flowed_without_it() {
    for (ohms, free, metered) in [(3.0, 0.6667, 0.57143), (1.5, 1.3333, 1.0000)] {
        let vehicle = row(12.0, 1e-6, &[("branch", ohms)]);
        let network = world(&vehicle).network(&State::rest(&vehicle));
        let (from, to) = (point(&vehicle, "S.in").index(), point(&vehicle, "S.out").index());
        let amps = |through: f64| bridged(&network, from, to, Ohms(through)).expect("solvable").amps.0 / 6.0;
        assert!((amps(1e-6) - free).abs() < 3e-4, "{} {free}", amps(1e-6));
        assert!((amps(0.5) - metered).abs() < 2e-4, "{} {metered}", amps(0.5));
        // The instrument's own shunt is smaller and does the same, less.
        match shows(&vehicle, false, Dial::of(Function::Amps), "S.in", "S.out") {
            Display::Through { amps, .. } => {
                assert!(amps.value.0 / 6.0 < free && amps.value.0 / 6.0 > metered, "{amps:?}");
            }
            other => panic!("{other:?}"),
        }
    }
}

/// A maker's first page on resistance measurement, in many handbooks: leads
/// have 0.2 to 0.5 Ω, to be subtracted (read; the page names no author).
#[test]
fn an_ohmmeter_shows_its_leads_too() {
    let vehicle = row(12.0, 0.02, &[("coil", 90.0), ("lamp", 6.9)]);
    let dial = ranged(Function::Ohms, 200.0);
    // Tips on one point: the leads alone.
    let leads: f64 = digits(&shows(&vehicle, false, dial, "coil+", "coil+")).parse().expect("a number");
    assert!((0.2..=0.5).contains(&leads), "{leads}");
    for (load, ohms) in [("coil", 90.0), ("lamp", 6.9)] {
        let shown = shows(&vehicle, false, dial, &format!("{load}+"), &format!("{load}-"));
        let shown: f64 = digits(&shown).parse().expect("a number");
        assert!((shown - leads - ohms).abs() < 0.051, "{load}: {shown} less {leads} for {ohms}");
    }
}

/// For that reason no ohmmeter tells a good joint from a bad one: limits are 2
/// to 30 mΩ, the display's step is 0.1 Ω. Under load the bad one shows.
#[test]
fn an_ohmmeter_cannot_judge_a_joint_and_a_drop_under_load_can() {
    let joint = |ohms: f64| row(12.0, 0.02, &[("joint", ohms), ("lamp", 1.2)]);
    let ohms = |vehicle: &Vehicle| digits(&shows(vehicle, false, Dial::of(Function::Ohms), "joint+", "joint-"));
    let drop = |vehicle: &Vehicle| {
        digits(&shows(vehicle, true, ranged(Function::Volts, 2.0), "joint+", "joint-")).parse::<f64>().expect("volts")
    };
    let (good, bad) = (joint(0.002), joint(0.03));
    assert_eq!(ohms(&good), ohms(&bad));
    assert!(drop(&good) < 0.03 && drop(&bad) > 0.2, "{} {}", drop(&good), drop(&bad));
}

/// A handbook's example of ranges (read): 18.75 V shows 19 on 1000 V, 18.8 on
/// 200 V, 18.75 on 20 V, and is over the range of 2 V.
#[test]
fn a_range_shows_as_many_digits_as_it_has() {
    let vehicle = row(18.751, 1e-4, &[("lamp", 1e4)]);
    let shown = |range: f64| shows(&vehicle, true, ranged(Function::Volts, range), "B+", "B-");
    for (range, digits_of) in [(1000.0, "19"), (200.0, "18.8"), (20.0, "18.75")] {
        assert_eq!(digits(&shown(range)), digits_of, "on {range}");
    }
    assert_eq!(shown(2.0), Display::Over);
}
