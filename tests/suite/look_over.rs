//! A look over a vehicle of which nobody complains: what is suspect, and when.

use crate::played::fresh;
use halfsplit::belief::{LookOver, Site};
use halfsplit::case::{Case, Entry};
use halfsplit::meter::MeterKind;
use halfsplit::plan::Next;
use halfsplit::predict::Probe;
use halfsplit::vehicle::Position;

/// With the brake lamps of the board on: across the switch, 29 mV by its drawing,
/// real ones within about one to e^0.5.
fn read(case: &mut Case, value: &str, kind: MeterKind) {
    let vehicle = case.vehicle().clone();
    let switch = vehicle.find_control("SK").expect("a switch");
    let point = |name: &str| vehicle.find_point(name).unwrap_or_else(|| panic!("no point {name}"));
    let probe = Probe::voltage(point("TD1"), point("SK.out"));
    let measured = value.parse().expect("a value");
    case.add(Entry::TakeMeter { kind }).expect("stands");
    let settings = vec![(switch, Position::On)];
    case.add(Entry::Read { settings, probe, measured, symptom: Default::default() }).expect("stands");
}

fn look(case: &Case) -> Option<LookOver> {
    case.assessment().belief.look
}

/// By hand: of ten vehicles that are looked over one has something wrong. A reading
/// as it should be moves no fault, so P(well) : P(fault) stays 0.9 : 0.1.
#[test]
fn nothing_wrong_has_the_prior_that_it_has_in_life() {
    let mut case = fresh("bench_board");
    read(&mut case, "28.9mV", MeterKind::Cheap);
    let belief = &case.assessment().belief;
    let well = belief.probability(Site::Nothing);
    let faults = 1.0 - well - belief.probability(Site::Undrawn);
    assert!((well / faults - 0.9 / 0.1).abs() < 1e-6, "{well} : {faults}");
}

/// A contact of three times its resistance is still one of a sound vehicle: ln 3 is
/// 2.2 deviations of 0.5. A hundred times its volts, as by a slip of the pen, is not: it
/// is read again, and nothing else is asked for and nothing suspect until another meter
/// says the same.
#[test]
fn nothing_is_suspect_before_it_is_confirmed() {
    let mut case = fresh("bench_board");
    read(&mut case, "87.0mV", MeterKind::Cheap);
    assert_eq!(look(&case), Some(LookOver::Well));
    assert_eq!(case.assessment().contradiction, None);

    let mut case = fresh("bench_board");
    read(&mut case, "2.90", MeterKind::Cheap);
    assert_eq!(case.assessment().contradiction.map(|doubt| doubt.reading), Some(0));
    assert_eq!(case.assessment().next, Next::ReadAgain { reading: 0 });
    assert!(case.assessment().others.is_empty() && case.assessment().segment.is_none());
    read(&mut case, "2.89", MeterKind::Good);
    assert_eq!(look(&case), Some(LookOver::Amiss));
    assert_ne!(case.assessment().next, Next::NothingAmiss);
    assert!(case.assessment().belief.probability(Site::Nothing) < 0.5);
}

/// Five times the volts, ln 5 or 3.2 deviations: hardly ever of a sound contact. Shown
/// twice it was no slip, and one sound vehicle in some dozen has such a contact: no more
/// is said.
#[test]
fn what_a_sound_vehicle_may_show_is_let_be_once_it_stands() {
    let mut case = fresh("bench_board");
    read(&mut case, "145mV", MeterKind::Cheap);
    assert_eq!(case.assessment().next, Next::ReadAgain { reading: 0 });
    case.add(Entry::Retake { number: 1, measured: "144mV".parse().expect("a value") }).expect("stands");
    assert_eq!(look(&case), Some(LookOver::Well));
    assert_eq!(case.assessment().next, Next::NothingAmiss);
}

/// What another meter does not find was a misread, and no more is said of it.
#[test]
fn another_meter_clears_a_misread() {
    let mut case = fresh("bench_board");
    read(&mut case, "2.90", MeterKind::Cheap);
    read(&mut case, "29.1mV", MeterKind::Good);
    assert_eq!(look(&case), Some(LookOver::Well));
    assert_eq!(case.assessment().next, Next::NothingAmiss);
}
