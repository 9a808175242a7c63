//! Simulated faults of a vehicle, sorted by the circuit that is complained of, to be
//! played on it and on what it may become.

use super::running::RunningLoad;
use crate::case::CaseError;
use crate::tables::Tables;
use crate::trial::{CaseOutcome, Conditions, Options, Policy, case_seed, in_threads, play};
use crate::vehicle::{PartId, Vehicle};
use std::cell::RefCell;
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

/// Faults of a vehicle.
pub struct Faults<'a> {
    vehicle: &'a Vehicle,
    tables: &'a Tables,
    options: Options,
    /// For each circuit the seeds of the faults that are complained of there.
    drawn: BTreeMap<PartId, Vec<u64>>,
    /// Minutes on the vehicle as it is, of each fault played.
    minutes: RefCell<BTreeMap<u64, f64>>,
}

impl<'a> Faults<'a> {
    /// Draws them, each as often as it is.
    ///
    /// # Errors
    /// [`CaseError`] if a state cannot be solved.
    pub fn draw(
        vehicle: &'a Vehicle,
        tables: &'a Tables,
        running: &[RunningLoad],
        rehearsal: Rehearsal,
    ) -> Result<Self, CaseError> {
        let circuit_of: BTreeMap<PartId, PartId> = running.iter().map(|one| (one.load, one.circuit())).collect();
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
        let conditions = options.conditions;
        let subjects = in_threads(
            vehicle,
            tables,
            rehearsal.threads,
            draws,
            |bench, case| {
                bench.draw(&conditions, seed(case)).map(|drawn| drawn.found.map(|(hidden, _)| hidden.subject))
            },
            || (),
        );
        let mut drawn: BTreeMap<PartId, Vec<u64>> = BTreeMap::new();
        for (case, subject) in subjects.into_iter().enumerate() {
            if let Some(subject) = subject? {
                let circuit = circuit_of.get(&subject).copied().unwrap_or(subject);
                drawn.entry(circuit).or_default().push(seed(case));
            }
        }
        Ok(Self { vehicle, tables, options, drawn, minutes: RefCell::default() })
    }

    /// The vehicle as it is.
    pub fn vehicle(&self) -> &Vehicle {
        self.vehicle
    }

    /// Every circuit that a fault was drawn of, with its share of all.
    pub fn circuits(&self) -> impl Iterator<Item = (PartId, f64)> + '_ {
        let all: usize = self.drawn.values().map(Vec::len).sum();
        self.drawn.iter().map(move |(&circuit, seeds)| (circuit, seeds.len() as f64 / all as f64))
    }

    /// The faults of a circuit that are played of it, and as many again as there are
    /// beyond, up to four times those.
    pub fn of(&self, circuit: PartId) -> (&[u64], &[u64]) {
        let seeds = self.drawn.get(&circuit).map_or(&[][..], Vec::as_slice);
        let (known, fresh) = seeds.split_at(self.options.cases.min(seeds.len()));
        // Numerical: enough for a mean that hardly depends on one fault.
        (known, &fresh[..fresh.len().min(4 * self.options.cases)])
    }

    /// Plays faults on a vehicle with the same parts.
    ///
    /// # Errors
    /// As [`Self::draw`].
    pub fn play(
        &self,
        vehicle: &Vehicle,
        seeds: &[u64],
        done: impl Fn() + Sync,
    ) -> Result<Vec<CaseOutcome>, CaseError> {
        let (options, threads) = (&self.options, self.options.threads);
        let outcomes =
            in_threads(vehicle, self.tables, threads, seeds.len(), |bench, at| play(bench, options, seeds[at]), done);
        outcomes.into_iter().collect()
    }

    /// Minutes of each fault on the vehicle as it is, and on another with the same
    /// parts.
    ///
    /// # Errors
    /// As [`Self::draw`].
    pub fn paired(&self, changed: &Vehicle, seeds: &[u64]) -> Result<Vec<(f64, f64)>, CaseError> {
        let known = |seed: &u64| self.minutes.borrow().contains_key(seed);
        let unknown: Vec<u64> = seeds.iter().copied().filter(|seed| !known(seed)).collect();
        for outcome in self.play(self.vehicle, &unknown, || ())? {
            self.minutes.borrow_mut().insert(outcome.seed, minutes(&outcome));
        }
        let before = self.minutes.borrow();
        let after = self.play(changed, seeds, || ())?;
        Ok(after.iter().map(|outcome| (before[&outcome.seed], minutes(outcome))).collect())
    }
}

/// Minutes that the tool took.
fn minutes(outcome: &CaseOutcome) -> f64 {
    outcome.played.iter().flatten().map(|case| case.minutes).sum()
}
