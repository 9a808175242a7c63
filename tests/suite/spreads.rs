//! The spread of a reading against re-solved networks: with the resistance of a part
//! one deviation off, what a meter shows across it moves by no more than its foretold
//! deviation allows. Finite differences of whole solves, which know nothing of
//! sensitivities; of every kind of fault, and of parts that carry current only under it.

use crate::played::{Hidden, engine};
use crate::random_sessions::{SAMPLES, how_many};
use halfsplit::fault::{Fault, catalogue, sizes};
use halfsplit::meter::MeterKind;
use halfsplit::network::{Between, Convergence, Solution, network_of, solve};
use halfsplit::predict::{Hypothesis, Probe};
use halfsplit::vehicle::{ControlKind, Part, PartId, Position, State, Vehicle};
use rand::seq::IndexedRandom;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// Of the move by re-solving, what the foretold deviation is at least: it is of first
/// order, and an own part of it is left out on purpose.
const AT_LEAST: f64 = 0.7;
/// Moves that no meter shows, V.
const UNSEEN: f64 = 5e-4;
/// Chance that a control is moved from rest.
const MOVED: f64 = 0.3;

#[test]
fn a_part_that_is_off_moves_a_reading_across_it_as_foretold() {
    let (mut narrow, mut tried, mut faulty_only) = (Vec::new(), 0, 0);
    for sample in SAMPLES {
        let engine = engine(sample);
        let vehicle = engine.vehicle();
        let faults: Vec<Fault> = catalogue(vehicle, engine.tables()).iter().map(|likely| likely.fault).collect();
        let parts: Vec<PartId> = vehicle.part_ids().filter(|&part| is_plain(vehicle.part(part))).collect();
        for seed in 0..how_many(60) {
            let mut random = ChaCha8Rng::seed_from_u64(seed);
            let state = some_state(vehicle, &mut random);
            let fault = *faults.choose(&mut random).expect("a fault");
            let size = sizes(&engine.tables().faults, fault.mode).choose(&mut random).copied().flatten();
            let Ok(model) = engine.predictor().in_state(&state) else { continue };
            let sound = solve(network_of(vehicle, &state)).expect("the engine has solved it");
            let hypothesis = Hypothesis::Faulty { fault, size };
            let theta = engine.predictor().uncertainties().clone();
            let view = model.view(vehicle, &hypothesis);
            let solved = |vehicle: &Vehicle| {
                let size = size.map_or(0.0, |size| size.value);
                solve(Hidden::one(vehicle, fault, size).network(&state)).ok()
            };
            let Some(before) = solved(vehicle).filter(|solution| solution.convergence() == Convergence::Converged)
            else {
                continue;
            };
            for &part in &parts {
                if fault.involves(part) || before.current(part.index()).0.abs() < 1e-6 {
                    continue;
                }
                let mut off = (**vehicle).clone();
                off.parts[part.index()].resistance.value.0 *= off.parts[part.index()].spread.exp();
                let Some(after) = solved(&off).filter(|after| is_alike(&before, after)) else { continue };
                let (red, black) = vehicle.part(part).ends();
                let across = |solution: &Solution| match solution.between(red.index(), black.index()) {
                    Between::Volts(volts) => volts.0,
                    Between::Floating => 0.0,
                };
                let moved = (across(&after) - across(&before)).abs();
                if moved < UNSEEN {
                    continue;
                }
                tried += 1;
                faulty_only += usize::from(sound.current(part.index()).0.abs() < 1e-6);
                let foretold = view.shown(Probe::voltage(red, black), MeterKind::default(), 0.0, &theta);
                let deviation = foretold.variance().sqrt();
                if deviation < AT_LEAST * moved {
                    narrow.push(format!(
                        "{sample} {seed}: {} with {} {:?} {:?}: moves {moved:.4} V, foretold ±{deviation:.4} V",
                        vehicle.part(part).name,
                        vehicle.part(fault.part).name,
                        fault.mode,
                        size.map(|size| size.value)
                    ));
                }
            }
        }
    }
    assert!(tried > 300 && faulty_only > 5, "too few tried: {tried}, of them {faulty_only} only under the fault");
    assert!(narrow.is_empty(), "{} of {tried} are too narrow:\n{}", narrow.len(), narrow.join("\n"));
}

/// Whether all of a part is its resistance.
fn is_plain(part: &Part) -> bool {
    let is_wire = part.kind.is_wiring() && part.kind.forward().is_none();
    is_wire && part.kind.contact().is_none() && part.spread > 0.0
}

fn some_state(vehicle: &Vehicle, random: &mut ChaCha8Rng) -> State {
    let mut settings = Vec::new();
    for control in vehicle.control_ids() {
        let is_free = !matches!(vehicle.control(control).kind, ControlKind::Fuse);
        if is_free && random.random_bool(MOVED) {
            settings.push((control, Position::On));
        }
    }
    State::rest(vehicle).with_all(&settings)
}

/// Whether the same fuses hold: one that blows is another circuit.
fn is_alike(before: &Solution, after: &Solution) -> bool {
    let fuses = |solution: &Solution| {
        (0..solution.network().branches.len()).filter(|&branch| solution.is_blown(branch)).collect::<Vec<_>>()
    };
    after.convergence() == Convergence::Converged && fuses(before) == fuses(after)
}
