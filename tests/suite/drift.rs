//! What moves while somebody tests: supplies sag from reading to reading, and
//! all copper is as warm as the day.

use crate::played::fresh;
use halfsplit::belief::{Site, Symptom};
use halfsplit::case::{Case, Entry, FuseAmps};
use halfsplit::meter::MeterKind;
use halfsplit::plan::Next;
use halfsplit::predict::Probe;
use halfsplit::quantity::Measured;
use halfsplit::vehicle::Position;

fn read(case: &mut Case, red: &str, black: &str, value: &str) {
    let point = |name: &str| case.vehicle().find_point(name).unwrap_or_else(|| panic!("no point {name}"));
    let probe = Probe::voltage(point(red), point(black));
    let measured: Measured = value.parse().expect("a value");
    case.add(Entry::Read { settings: Vec::new(), probe, measured, symptom: Symptom::Present }).expect("stands");
}

/// Between the first look at the battery and the second lie ten readings and
/// three tenths of a volt: neither is wrong.
#[test]
fn a_battery_that_sags_while_it_is_tested_contradicts_nothing() {
    let mut case = fresh("clinic_van");
    read(&mut case, "B2+", "B2-", "13.25");
    for volts in ["13.20", "13.18", "13.15", "13.11", "13.08", "13.05", "13.03", "13.01", "12.98"] {
        read(&mut case, "DBP", "B2-", volts);
    }
    case.add(Entry::Retake { number: 1, measured: "12.95".parse().expect("a value") }).expect("stands");
    assert_eq!(case.assessment().contradiction, None);
    assert_eq!(case.assessment().next, Next::NothingAmiss);
}

/// The same step from one reading to the next is no sag.
#[test]
fn a_battery_that_jumps_between_two_readings_is_doubted() {
    let mut case = fresh("clinic_van");
    read(&mut case, "B2+", "B2-", "13.25");
    read(&mut case, "B2+", "B2-", "12.85");
    read(&mut case, "DBP", "B2-", "12.84");
    assert_eq!(case.assessment().contradiction.map(|doubt| doubt.reading), Some(0));
}

/// Millivolts across a fuse as amperes: 10 A standard blade, 1 mV is 130 mA;
/// 15 A mini blade, 1.0 mV is 218 mA (two published articles on quiescent
/// draws); a display of nought is no proof of none.
#[test]
fn millivolts_across_a_fuse_are_told_as_amperes() {
    let amps = |fuse: &str, volts: &str| {
        let mut case = fresh("clinic_van");
        read(&mut case, &format!("{fuse}.a"), &format!("{fuse}.b"), volts);
        let reading = case.standing().evidence.readings[0].clone();
        let amps = FuseAmps::of(case.engine().tables(), case.vehicle(), &reading).expect("a fuse").amps;
        [amps.low.0, amps.middle.0, amps.high.0]
    };
    for (fuse, published) in [("FC2", 0.130), ("FC1", 0.218)] {
        let [low, middle, high] = amps(fuse, "1.0mV");
        assert!((middle / published - 1.0).abs() < 0.05, "{fuse}: {middle}");
        assert!(low < published && published < high, "{fuse}: {low} to {high}");
    }
    let [low, _, high] = amps("FC1", "0.0mV");
    assert!(low == 0.0 && high > 0.02, "{low} to {high}");
}

/// A cable that drops more than it should makes one expect more of every
/// other: copper rises 0.393 % with each kelvin (IEC 60028). A switch stays as
/// it is.
#[test]
fn one_warm_cable_speaks_for_a_warm_day() {
    let mut case = fresh("clinic_van");
    let vehicle = case.vehicle().clone();
    let switch = vehicle.find_control("S3").expect("a switch");
    case.add(Entry::Set { settings: vec![(switch, Position::On)] }).expect("a state");
    let model = case.predictor().in_state(&case.standing().state).expect("solvable");
    let across = |name: &str| {
        let (from, to) = vehicle.part(vehicle.find_part(name).expect("a part")).ends();
        Probe::voltage(from, to)
    };
    let theta = case.predictor().uncertainties().clone();
    let sound = |name: &str| {
        let view = model.view(&vehicle, &halfsplit::predict::Hypothesis::Sound);
        view.shown(across(name), MeterKind::Good, 0.0, &theta).mean
    };
    let warm = format!("{:.1}mV", sound("W3a") * 1.15e3);
    let points = vehicle.part(vehicle.find_part("W3a").expect("a cable")).ends();
    let name = |point| vehicle.point(point).name().to_string();
    read(&mut case, &name(points.0), &name(points.1), &warm);
    let belief = &case.assessment().belief;
    let joint = belief.best_at(Site::Nothing).and_then(|weighed| weighed.joint.as_ref()).expect("weighed");
    let expected = |name: &str| {
        let view = model.view(&vehicle, &halfsplit::predict::Hypothesis::Sound);
        let shown = view.shown(across(name), MeterKind::default(), 0.0, &belief.theta);
        joint.forecast(&shown).mean / sound(name)
    };
    let (cable, switch) = (expected("W3r"), expected("S3"));
    assert!((1.02..1.12).contains(&cable), "{cable}");
    // What both share is the current.
    assert!(cable > switch + 0.01, "{cable}, {switch}");
}
