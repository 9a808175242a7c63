//! How testable a build is: simulated faults of every circuit, played to the answer
//! by somebody who does what the planner advises.

use super::rehearsal::Faults;
use crate::case::CaseError;
use crate::quantity::Minutes;
use crate::trial::{Mean, PlayedCase, PlayedEnding, Share};
use crate::vehicle::{PartId, Reach, Vehicle};
use std::collections::BTreeMap;

/// What it takes to find a fault of a circuit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TestedCircuit {
    /// What protects it, or the load or supply itself.
    pub circuit: PartId,
    /// Share of all faults that people complain of here.
    pub weight: f64,
    /// Minutes of the faults played.
    pub minutes: Mean,
    pub worst: Minutes,
    /// Faults that end in one part.
    pub one_part: Share,
    /// Faults that end in the right part, or in a set with it.
    pub right: Share,
}

/// Why no test tells parts apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Inseparability {
    /// They are on the mains side, where nobody probes who has no licence for it.
    OnMains,
    /// No probe gets in between.
    NoWayIn,
    /// A probe gets in, and all that is left to read or see shows the same.
    AllTheSame,
}

/// Parts that no test left told apart.
#[derive(Debug, Clone, PartialEq)]
pub struct InseparableSet {
    /// In part order.
    pub parts: Vec<PartId>,
    /// How often it was met.
    pub met: usize,
    pub why: Inseparability,
}

/// How testable a build is.
#[derive(Debug, Clone, PartialEq)]
pub struct Testability {
    /// Circuits of which a fault was played, those that take longest first.
    pub circuits: Vec<TestedCircuit>,
    /// Minutes of a fault, each circuit by how often one is complained of there.
    pub minutes: Minutes,
    /// The sets met, those met most first.
    pub inseparable: Vec<InseparableSet>,
    pub played: usize,
}

/// Plays faults of every circuit; `done` is told after each, from any thread.
///
/// # Errors
/// [`CaseError`] if a state cannot be solved.
pub fn testability(faults: &Faults<'_>, done: impl Fn() + Sync) -> Result<Testability, CaseError> {
    let of_circuits: Vec<(PartId, f64)> = faults.circuits().collect();
    let chosen: Vec<(PartId, u64)> = of_circuits
        .iter()
        .flat_map(|&(circuit, _)| faults.of(circuit).0.iter().map(move |&seed| (circuit, seed)))
        .collect();
    let seeds: Vec<u64> = chosen.iter().map(|&(_, seed)| seed).collect();
    let mut played: BTreeMap<PartId, Vec<PlayedCase>> = BTreeMap::new();
    for (outcome, (circuit, _)) in faults.play(faults.vehicle(), &seeds, done)?.into_iter().zip(&chosen) {
        played.entry(*circuit).or_default().extend(outcome.played.into_iter().flatten());
    }
    let mut circuits: Vec<TestedCircuit> = of_circuits
        .iter()
        .filter_map(|&(circuit, weight)| Some(tested(circuit, weight, played.get(&circuit)?)))
        .collect();
    circuits.sort_by(|a, b| b.minutes.mean.total_cmp(&a.minutes.mean).then(a.circuit.cmp(&b.circuit)));
    Ok(Testability {
        minutes: Minutes(circuits.iter().map(|one| one.weight * one.minutes.mean).sum()),
        circuits,
        inseparable: inseparable(faults.vehicle(), played.values().flatten()),
        played: seeds.len(),
    })
}

fn tested(circuit: PartId, weight: f64, cases: &[PlayedCase]) -> TestedCircuit {
    let minutes: Vec<f64> = cases.iter().map(|case| case.minutes).collect();
    TestedCircuit {
        circuit,
        weight,
        minutes: Mean::of(&minutes),
        worst: Minutes(minutes.iter().copied().fold(0.0, f64::max)),
        one_part: Share::count(cases.iter().map(|case| case.named.len() == 1)),
        right: Share::count(cases.iter().map(|case| case.is_right)),
    }
}

fn inseparable<'a>(vehicle: &Vehicle, cases: impl Iterator<Item = &'a PlayedCase>) -> Vec<InseparableSet> {
    let mut met: BTreeMap<Vec<PartId>, usize> = BTreeMap::new();
    for case in cases.filter(|case| case.ending == PlayedEnding::Inseparable && case.named.len() > 1) {
        let mut parts = case.named.clone();
        parts.sort_unstable();
        *met.entry(parts).or_default() += 1;
    }
    let set = |(parts, met): (Vec<PartId>, usize)| InseparableSet { why: why(vehicle, &parts), parts, met };
    let mut sets: Vec<InseparableSet> = met.into_iter().map(set).collect();
    sets.sort_by(|a, b| b.met.cmp(&a.met).then(a.parts.cmp(&b.parts)));
    sets
}

/// Whether a probe gets, and may get, to any point at which two of the parts meet.
fn why(vehicle: &Vehicle, parts: &[PartId]) -> Inseparability {
    if parts.iter().all(|&part| vehicle.is_on_mains(part)) {
        return Inseparability::OnMains;
    }
    let ends: Vec<[_; 2]> = parts.iter().map(|&part| <[_; 2]>::from(vehicle.part(part).ends())).collect();
    let meets = |point: &_| ends.iter().filter(|ends| ends.contains(point)).count() > 1;
    let mut between = ends.iter().flatten().copied().filter(meets);
    match between.any(|point| vehicle.reach(point) != Reach::Never) {
        true => Inseparability::AllTheSame,
        false => Inseparability::NoWayIn,
    }
}
