//! Every reading that a walk can have: in each of a few states, each point of
//! the circuits that run.

use crate::network::Convergence;
use crate::predict::{Predictor, Probe};
use crate::vehicle::trace::{settings_for, stops};
use crate::vehicle::{ControlId, PartId, PointId, Position, Reach, State, Vehicle};

/// All of them.
pub fn all(predictor: &Predictor) -> Vec<(State, Probe)> {
    let mut wanted: Vec<(State, Probe)> = Vec::new();
    for (state, loads) in groups(predictor) {
        let circuits: Vec<Circuit> =
            loads.into_iter().filter_map(|load| circuit(predictor.vehicle(), &state, load)).collect();
        // The supply is another one in each state.
        for circuit in &circuits {
            if !wanted.iter().any(|(before, other)| *before == state && other.is_same(circuit.supply)) {
                wanted.push((state.clone(), circuit.supply));
            }
        }
        for probe in circuits.into_iter().flat_map(|circuit| circuit.drops) {
            if !wanted.iter().any(|(_, other)| other.is_same(probe)) {
                wanted.push((state.clone(), probe));
            }
        }
    }
    wanted
}

/// Those of one load, in the state in which the walk has it run.
pub fn of_load(predictor: &Predictor, load: PartId) -> Vec<(State, Probe)> {
    let vehicle = predictor.vehicle();
    let Some((state, _)) = groups(predictor).into_iter().find(|(_, loads)| loads.contains(&load)) else {
        return Vec::new();
    };
    let probes = circuit(vehicle, &state, load).map(|circuit| [vec![circuit.supply], circuit.drops].concat());
    probes.into_iter().flatten().map(|probe| (state.clone(), probe)).collect()
}

/// What is lost from the supply to each point on the way of a load, and from each
/// point on the way back, in the state in which the walk has it run.
pub struct Losses {
    /// Whose.
    pub load: PartId,
    /// The state.
    pub state: State,
    /// From the supply on, the whole way there last.
    pub there: Vec<Probe>,
    /// To the supply, the whole way back first.
    pub back: Vec<Probe>,
}

/// Those of every load that the walk can run.
pub fn losses(predictor: &Predictor) -> Vec<Losses> {
    let vehicle = predictor.vehicle();
    let lost = |state: &State, load: PartId| {
        let stops = stops(vehicle, state, load);
        let (first, last) = (stops.first()?.point, stops.last()?.point);
        let feed_ends = stops.iter().position(|stop| stop.point == vehicle.part(load).from)?;
        let there = stops[1..=feed_ends].iter().map(|stop| Probe::voltage(first, stop.point));
        let back = stops[feed_ends + 1..stops.len() - 1].iter().map(|stop| Probe::voltage(stop.point, last));
        Some(Losses { load, state: state.clone(), there: there.collect(), back: back.collect() })
    };
    let groups = groups(predictor);
    groups.iter().flat_map(|(state, loads)| loads.iter().filter_map(|&load| lost(state, load))).collect()
}

/// What there is to read of the circuit of a load.
struct Circuit {
    supply: Probe,
    drops: Vec<Probe>,
}

fn circuit(vehicle: &Vehicle, state: &State, load: PartId) -> Option<Circuit> {
    let stops = stops(vehicle, state, load);
    let supply = Probe::voltage(stops.first()?.point, stops.last()?.point);
    let feed_ends = stops.iter().position(|stop| stop.point == vehicle.part(load).from).unwrap_or(0);
    let (feed, back): (Vec<_>, Vec<_>) = stops.iter().enumerate().partition(|(at, _)| *at <= feed_ends);
    let feed = drops(vehicle, feed.into_iter().map(|(_, stop)| stop.point));
    let back = drops(vehicle, back.into_iter().rev().map(|(_, stop)| stop.point));
    let back = back.into_iter().map(|(after, before)| (before, after));
    Some(Circuit {
        supply,
        drops: feed.into_iter().chain(back).map(|(red, black)| Probe::voltage(red, black)).collect(),
    })
}

/// From point to point that a probe gets at: from the one before where both
/// are at hand at once, otherwise from the supply at the start.
fn drops(vehicle: &Vehicle, points: impl Iterator<Item = PointId>) -> Vec<(PointId, PointId)> {
    let points: Vec<PointId> = points.filter(|&point| vehicle.reach(point) != Reach::Never).collect();
    let Some(&supply) = points.first() else { return Vec::new() };
    let is_beside = |a: PointId, b: PointId| vehicle.reach(a) == vehicle.reach(b);
    let from = |pair: &[PointId]| if is_beside(pair[0], pair[1]) { pair[0] } else { supply };
    points.windows(2).map(|pair| (from(pair), pair[1])).filter(|(from, to)| from != to).collect()
}

/// States in which loads run together, with those loads.
fn groups(predictor: &Predictor) -> Vec<(State, Vec<PartId>)> {
    let vehicle = predictor.vehicle();
    let rest = State::rest(vehicle);
    let mut groups: Vec<(State, Vec<PartId>)> = Vec::new();
    for load in vehicle.loads() {
        let settings = settings_for(vehicle, &rest, load);
        let alone = rest.with_all(&settings);
        if !all_run(predictor, &alone, &[load]) {
            continue;
        }
        let mut joined = false;
        for (state, loads) in &mut groups {
            let is_set = |&(control, position): &(ControlId, Position)| {
                state.position(control) == position || state.position(control) == vehicle.control(control).rest
            };
            if loads.len() >= predictor.tables().plan.walk_together {
                continue;
            }
            let together = state.with_all(&settings);
            let all: Vec<PartId> = loads.iter().copied().chain([load]).collect();
            let stays = |&load: &PartId| {
                volts(predictor, &together, load)
                    > predictor.tables().plan.walk_unstrained * volts(predictor, state, load)
            };
            let is_strained = !loads.iter().all(stays)
                || volts(predictor, &together, load)
                    <= predictor.tables().plan.walk_unstrained * volts(predictor, &alone, load);
            if settings.iter().all(is_set) && all_run(predictor, &together, &all) && !is_strained {
                (*state, *loads) = (together, all);
                joined = true;
                break;
            }
        }
        if !joined {
            groups.push((alone, vec![load]));
        }
    }
    groups
}

/// Voltage that a load gets in a state; none where the state has no solution.
fn volts(predictor: &Predictor, state: &State, load: PartId) -> f64 {
    predictor.in_state(state).map_or(0.0, |model| model.solution().across(load.index()).0.abs())
}

/// Whether loads run in a state without anything giving way.
fn all_run(predictor: &Predictor, state: &State, loads: &[PartId]) -> bool {
    let vehicle = predictor.vehicle();
    let Ok(model) = predictor.in_state(state) else { return false };
    let solution = model.solution();
    let is_calm = solution.convergence() == Convergence::Converged;
    let is_whole = vehicle.part_ids().all(|part| !solution.is_blown(part.index()));
    is_calm && is_whole && loads.iter().all(|&load| model.is_served(vehicle, load))
}
