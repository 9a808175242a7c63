//! Following the tool's own tests leads to the part.

use crate::outside::meter;
use crate::played::*;
use crate::random_sessions::SAMPLES;
use halfsplit::case::Case;
use halfsplit::fault::{FailureMode, Fault};
use halfsplit::vehicle::trace::way_there_and_back;
use halfsplit::vehicle::{PartId, PartKind, Vehicle};

/// Most tests that a hunt may take. The fridge switches itself off when its
/// voltage is low, and then everything reads perfect whatever is wrong.
const MOST_TESTS: usize = 14;

/// The way of a load with its switches on, the load itself last.
fn circuit_of(case: &Case, load: PartId) -> Vec<PartId> {
    let vehicle = case.vehicle();
    let settings = case.settings_for_sign(load, DEAD);
    let state = case.standing().state.with_all(&settings);
    let mut parts = way_there_and_back(vehicle, &state, load);
    parts.push(load);
    parts
}

/// The faults that every part is given; a load can only be dead.
fn faults_of(vehicle: &Vehicle, part: PartId) -> Vec<(FailureMode, f64)> {
    match vehicle.part(part).kind {
        PartKind::Load { .. } => vec![(FailureMode::OpenCircuit, 0.0)],
        _ => vec![
            (FailureMode::OpenCircuit, 0.0),
            (FailureMode::HighResistance, 0.3),
            (FailureMode::HighResistance, 2.0),
        ],
    }
}

#[derive(Default)]
struct Tally {
    cases: usize,
    right: usize,
    most: usize,
    longest: String,
    unnoticed: usize,
    misses: Vec<String>,
    cleared: Vec<String>,
}

/// Every part of a circuit with every fault, hunted.
fn hunt_all(sample: &str, load: &str, tally: &mut Tally) {
    let case = fresh(sample);
    let vehicle = case.vehicle().clone();
    let load = vehicle.find_part(load).expect("a load");
    let mut simulator = meter();
    for part in circuit_of(&case, load) {
        for (mode, size) in faults_of(&vehicle, part) {
            let hidden = Hidden::one(&vehicle, Fault::new(part, mode), size);
            let mut case = fresh(sample);
            let Some(hunt) = hunt(&mut case, &hidden, &mut simulator, load) else {
                tally.unnoticed += 1;
                continue;
            };
            let story = format!("{} {mode:?} {size}: {}", vehicle.part(part).name, hunt.log);
            tally.cases += 1;
            if hunt.tests > tally.most {
                tally.most = hunt.tests;
                tally.longest = story.clone();
            }
            if hunt.named.contains(&part) {
                tally.right += 1;
            } else {
                tally.misses.push(story.clone());
            }
            if hunt.cleared {
                tally.cleared.push(story);
            }
        }
    }
}

/// Issue: open, 0.3 Ω and 2 Ω at every part of three van circuits, readings
/// from the outside simulator rounded as a meter shows them.
#[test]
fn every_part_of_three_van_circuits_is_found() {
    let mut tally = Tally::default();
    for load in ["fridge", "pump", "lamp"] {
        hunt_all("clinic_van", load, &mut tally);
    }
    println!(
        "{} of {} right, at most {} tests, {} faults that nobody would notice",
        tally.right, tally.cases, tally.most, tally.unnoticed
    );
    assert!(tally.cases >= 200, "only {} cases", tally.cases);
    assert!(tally.right as f64 >= 0.98 * tally.cases as f64, "missed: {:#?}", tally.misses);
    assert!(tally.most <= MOST_TESTS, "{} tests: {}", tally.most, tally.longest);
    assert!(tally.cleared.is_empty(), "true part cleared: {:#?}", tally.cleared);
}

/// The same on vehicles that the figures were not tuned on.
#[test]
fn parts_of_the_truck_and_the_board_are_found() {
    let mut tally = Tally::default();
    hunt_all("sprayer_truck", "agit", &mut tally);
    hunt_all("bench_board", "lampA", &mut tally);
    println!("{} of {} right, at most {} tests", tally.right, tally.cases, tally.most);
    assert!(tally.right as f64 >= 0.95 * tally.cases as f64, "missed: {:#?}", tally.misses);
    assert!(tally.cleared.is_empty(), "true part cleared: {:#?}", tally.cleared);
}

/// Fewer tests than reading every point from the supply on until one is wrong.
#[test]
fn a_hunt_takes_fewer_tests_than_walking_from_the_source() {
    for (sample, load, part, size) in [
        ("clinic_van", "fridge", "FC1/out", 0.28),
        ("sprayer_truck", "agit", "K1.contact", 0.8),
        ("bench_board", "lampA", "JA.1", 2.2),
    ] {
        let case = fresh(sample);
        let vehicle = case.vehicle().clone();
        let (load, part) = (vehicle.find_part(load).expect(load), vehicle.find_part(part).expect(part));
        let walked = circuit_of(&case, load).iter().position(|&step| step == part).expect("on the way") + 1;
        let hidden = Hidden::one(&vehicle, Fault::new(part, FailureMode::HighResistance), size);
        let mut case = fresh(sample);
        let hunt = hunt(&mut case, &hidden, &mut meter(), load).expect("noticed");
        assert!(hunt.named.contains(&part), "{sample}: {}", hunt.log);
        assert!(hunt.tests < walked, "{sample}: {} tests, walking takes {walked}: {}", hunt.tests, hunt.log);
    }
}

/// Every kind of fault on every part of the board: the true part is never
/// announced as proved good.
#[test]
fn the_true_fault_is_never_ruled_out() {
    let case = fresh("bench_board");
    let vehicle = case.vehicle().clone();
    let mut hunts = 0;
    for load in vehicle.loads() {
        for part in vehicle.part_ids() {
            for (mode, size) in [
                (FailureMode::OpenCircuit, 0.0),
                (FailureMode::HighResistance, 1.0),
                (FailureMode::HighResistance, 20.0),
            ] {
                if matches!(vehicle.part(part).kind, PartKind::Load { .. } | PartKind::Supply(_))
                    && mode != FailureMode::OpenCircuit
                {
                    continue;
                }
                let hidden = Hidden::one(&vehicle, Fault::new(part, mode), size);
                let mut case = fresh("bench_board");
                if let Some(hunt) = hunt(&mut case, &hidden, &mut Resolve, load) {
                    hunts += 1;
                    assert!(!hunt.cleared, "{} {mode:?} {size}: {}", vehicle.part(part).name, hunt.log);
                }
            }
        }
    }
    assert!(hunts > 100, "only {hunts} hunts");
}

/// A return that was run round twice as far as drawn lifts all that stands on it
/// together: no reason to lay a silent relay to anything but its coil.
#[test]
fn a_return_longer_than_drawn_hides_no_open_coil() {
    let mut missed = Vec::new();
    let mut tried = 0;
    for sample in SAMPLES {
        let case = fresh(sample);
        let vehicle = case.vehicle().clone();
        let mut coils = Vec::new();
        for load in vehicle.loads() {
            let way = circuit_of(&case, load);
            let Some(coil) = way.iter().find_map(|&part| vehicle.part(part).kind.contact()).map(|own| own.coil) else {
                continue;
            };
            let longer = way.iter().rev().find(|&&part| vehicle.part(part).kind.is_cable());
            let Some(&longer) = longer.filter(|_| !coils.contains(&coil)) else { continue };
            coils.push(coil);
            let faults = vec![
                (Fault::new(coil, FailureMode::OpenCircuit), 0.0),
                (Fault::new(longer, FailureMode::Undersized), 2.0),
            ];
            let hidden = Hidden { vehicle: &vehicle, faults };
            let Some(hunt) = hunt(&mut fresh(sample), &hidden, &mut Resolve, load) else { continue };
            tried += 1;
            if !hunt.named.contains(&coil) || hunt.cleared {
                let named: Vec<&str> = hunt.named.iter().map(|&part| vehicle.part(part).name.as_str()).collect();
                missed.push(format!(
                    "{} {}: {named:?} {}",
                    vehicle.part(coil).name,
                    vehicle.part(longer).name,
                    hunt.log
                ));
            }
        }
    }
    assert!(tried >= 8, "{tried}");
    assert!(missed.is_empty(), "{} of {tried}:\n{}", missed.len(), missed.join("\n"));
}
