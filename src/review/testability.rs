//! How testable a build is: simulated faults of every circuit, played to the answer
//! by somebody who does what the planner advises.

use super::running::RunningLoad;
use crate::case::CaseError;
use crate::quantity::Minutes;
use crate::tables::Tables;
use crate::trial::{Conditions, Mean, Options, PlayedCase, PlayedEnding, Policy, Share, case_seed, in_threads, play};
use crate::vehicle::{PartId, Reach, Vehicle};
use std::collections::BTreeMap;

/// How much is played.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rehearsal {
    /// Faults for each circuit, at most.
    pub cases: usize,
    pub seed: u64,
    pub threads: usize,
}

impl Rehearsal {
    /// Faults that are played of so many circuits, at most.
    pub fn most(self, circuits: usize) -> usize {
        self.cases * circuits
    }
}

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

/// Plays faults of every circuit; `done` is told after each that is played, from any
/// thread.
///
/// # Errors
/// [`CaseError`] if a state cannot be solved.
pub fn testability(
    vehicle: &Vehicle,
    tables: &Tables,
    running: &[RunningLoad],
    rehearsal: Rehearsal,
    done: impl Fn() + Sync,
) -> Result<Testability, CaseError> {
    let circuit_of: BTreeMap<PartId, PartId> = running.iter().map(|one| (one.load, one.circuit())).collect();
    let circuit = |subject: PartId| circuit_of.get(&subject).copied().unwrap_or(subject);
    let mut circuits: Vec<PartId> = circuit_of.values().copied().collect();
    circuits.sort_unstable();
    circuits.dedup();
    let options = Options {
        cases: rehearsal.cases,
        seed: rehearsal.seed,
        conditions: Conditions::usual(&tables.trial),
        policies: vec![Policy::Ours],
        baseline: None,
        threads: rehearsal.threads,
    };
    let draws = rehearsal.most(circuits.len()) * tables.review.draws;
    let seed = |case: usize| case_seed(rehearsal.seed, case);
    let subjects = in_threads(
        vehicle,
        tables,
        rehearsal.threads,
        draws,
        |bench, case| {
            bench.draw(&options.conditions, seed(case)).map(|drawn| drawn.found.map(|(hidden, _)| hidden.subject))
        },
        || (),
    );
    let mut drawn: BTreeMap<PartId, Vec<usize>> = BTreeMap::new();
    for (case, subject) in subjects.into_iter().enumerate() {
        if let Some(subject) = subject? {
            drawn.entry(circuit(subject)).or_default().push(case);
        }
    }
    let chosen: Vec<(PartId, usize)> = drawn
        .iter()
        .flat_map(|(&circuit, cases)| cases.iter().take(rehearsal.cases).map(move |&case| (circuit, case)))
        .collect();
    let outcomes = in_threads(
        vehicle,
        tables,
        rehearsal.threads,
        chosen.len(),
        |bench, at| play(bench, &options, seed(chosen[at].1)),
        done,
    );
    let mut played: BTreeMap<PartId, Vec<PlayedCase>> = BTreeMap::new();
    for (outcome, (circuit, _)) in outcomes.into_iter().zip(&chosen) {
        played.entry(*circuit).or_default().extend(outcome?.played.into_iter().flatten());
    }
    let all: usize = drawn.values().map(Vec::len).sum();
    let weight = |circuit: &PartId| drawn[circuit].len() as f64 / all as f64;
    let mut circuits: Vec<TestedCircuit> =
        played.iter().map(|(circuit, cases)| tested(*circuit, weight(circuit), cases)).collect();
    circuits.sort_by(|a, b| b.minutes.mean.total_cmp(&a.minutes.mean).then(a.circuit.cmp(&b.circuit)));
    Ok(Testability {
        minutes: Minutes(circuits.iter().map(|one| one.weight * one.minutes.mean).sum()),
        circuits,
        inseparable: inseparable(vehicle, played.values().flatten()),
        played: chosen.len(),
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

/// Whether a probe gets to any point at which two of the parts meet.
fn why(vehicle: &Vehicle, parts: &[PartId]) -> Inseparability {
    let ends: Vec<[_; 2]> = parts.iter().map(|&part| <[_; 2]>::from(vehicle.part(part).ends())).collect();
    let meets = |point: &_| ends.iter().filter(|ends| ends.contains(point)).count() > 1;
    let mut between = ends.iter().flatten().copied().filter(meets);
    match between.any(|point| vehicle.reach(point) != Reach::Never) {
        true => Inseparability::AllTheSame,
        false => Inseparability::NoWayIn,
    }
}
