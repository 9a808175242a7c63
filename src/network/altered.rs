//! A solved network with something changed, answered from the same factorisation.
//!
//! Each changed branch c has ends a_c, a change of conductance Δg_c and of
//! offset Δi_c. With P = AᵀZA over the changed branches and D = diag(Δg), the
//! new voltages are those of the old network with currents
//! s = −Δi − (I + DP)⁻¹D·Aᵀṽ injected at the ends (ṽ: old voltages with −Δi
//! injected). So any reading under any change costs a few products.
//!
//! Opening a bridge is structural: it carries no current, so nothing changes
//! but that its far side hangs in the air. Changes that cut something off in
//! other ways are solved afresh.

use super::law::{Branch, Law, Linear, Network, Regime};
use super::solution::{MOST_ROUNDS, Settling, Solution, settle};
use super::{Between, SolveError};
use crate::quantity::{Amps, Ohms, Volts};
use std::rc::Rc;

/// Below this a pivot says that something is cut off.
const LEAST_PIVOT: f64 = 1e-8;

/// What is changed in a network.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Alteration {
    /// A branch with another law.
    pub replaced: Option<(usize, Law)>,
    /// A branch that was not there.
    pub added: Option<Branch>,
}

#[derive(Debug, Clone, Copy)]
struct Change {
    from: usize,
    to: usize,
    conductance: f64,
    offset: f64,
    joins: bool,
}

/// A current that stands for a change.
#[derive(Debug, Clone, Copy)]
struct Term {
    from: usize,
    to: usize,
    injected: f64,
}

/// A network after an alteration.
pub struct Altered {
    base: Rc<Solution>,
    terms: Vec<Term>,
    /// (I + DP)⁻¹D, row by row.
    coupling: Vec<f64>,
    cut: Option<usize>,
    joins: Vec<(usize, usize)>,
    overrides: Vec<(usize, Regime)>,
    replaced: Option<(usize, Law)>,
    added: Option<Branch>,
    settling: Settling,
}

impl Solution {
    /// This network after an alteration, with its laws settled again.
    ///
    /// # Errors
    /// As [`super::solve`], where it has to be solved afresh.
    pub fn altered(self: &Rc<Self>, alteration: &Alteration) -> Result<Altered, SolveError> {
        let mut altered = Altered {
            base: Rc::clone(self),
            terms: Vec::new(),
            coupling: Vec::new(),
            cut: None,
            joins: Vec::new(),
            overrides: Vec::new(),
            replaced: alteration.replaced.clone(),
            added: alteration.added.clone(),
            settling: self.settling(),
        };
        if let Some((branch, Law::Open)) = alteration.replaced
            && alteration.added.is_none()
            && self.bridges.is_bridge(branch)
        {
            altered.cut = Some(branch);
            return Ok(altered);
        }
        for round in 0..MOST_ROUNDS {
            if !altered.update(self) {
                return self.afresh(alteration, &altered.overrides);
            }
            let Some(next) = altered.next_overrides(self, round == 0) else {
                altered.settling = Settling::Settled;
                return Ok(altered);
            };
            altered.overrides = next;
        }
        altered.settling = Settling::Restless;
        Ok(altered)
    }

    fn afresh(&self, alteration: &Alteration, overrides: &[(usize, Regime)]) -> Result<Altered, SolveError> {
        let mut network = self.network.clone();
        let mut regimes = self.regimes.clone();
        if let Some((branch, law)) = &alteration.replaced {
            network.branches[*branch].law = law.clone();
        }
        if let Some(branch) = &alteration.added {
            network.branches.push(branch.clone());
            regimes.push(Regime::On);
        }
        overrides.iter().for_each(|&(branch, regime)| regimes[branch] = regime);
        let solution = settle(network, regimes)?;
        Ok(Altered {
            settling: solution.settling(),
            base: Rc::new(solution),
            terms: Vec::new(),
            coupling: Vec::new(),
            cut: None,
            joins: Vec::new(),
            overrides: Vec::new(),
            replaced: None,
            added: None,
        })
    }
}

/// The ties of the floating islands that changes join to something.
fn untied(solution: &Solution, changes: &[Change]) -> Vec<Change> {
    let island = |point: usize| solution.bridges.island(point);
    let joining = changes.iter().filter(|change| change.joins && island(change.from) != island(change.to));
    let mut joined: Vec<usize> = joining.flat_map(|change| [island(change.from), island(change.to)]).collect();
    joined.sort_unstable();
    joined.dedup();
    todo!()
}

impl Altered {
    /// Whether the laws agree with the voltages.
    pub fn settling(&self) -> Settling {
        self.settling
    }

    fn network(&self) -> &Network {
        self.base.network()
    }

    fn law(&self, branch: usize) -> &Law {
        match &self.replaced {
            Some((replaced, law)) if *replaced == branch => law,
            _ => &self.network().branches[branch].law,
        }
    }

    fn regime(&self, branch: usize) -> Regime {
        let overridden = self.overrides.iter().find(|(index, _)| *index == branch);
        overridden.map_or(self.base.regimes[branch], |(_, regime)| *regime)
    }

    fn line(&self, branch: usize) -> Linear {
        self.law(branch).linear(self.regime(branch))
    }

    fn changes(&self, solution: &Solution) -> Vec<Change> {
        let replaced = self.replaced.as_ref().map(|(branch, _)| *branch);
        let overridden = self.overrides.iter().map(|(branch, _)| *branch).filter(|&branch| Some(branch) != replaced);
        let branches = replaced.into_iter().chain(overridden);
        let of_branch = |branch: usize| {
            let (old, new) = (solution.line(branch), self.line(branch));
            let Branch { from, to, .. } = solution.network.branches[branch];
            Change {
                from,
                to,
                conductance: new.conductance - old.conductance,
                offset: new.offset - old.offset,
                joins: old.conductance == 0.0 && new.conductance > 0.0,
            }
        };
        let mut changes: Vec<Change> = branches.map(of_branch).collect();
        if let Some(Branch { from, to, law }) = &self.added {
            let line = law.linear(Regime::On);
            changes.push(Change {
                from: *from,
                to: *to,
                conductance: line.conductance,
                offset: line.offset,
                joins: true,
            });
        }
        changes.retain(|change| change.conductance != 0.0 || change.offset != 0.0);
        let untied = untied(solution, &changes);
        changes.extend(untied);
        changes
    }

    /// Works out the injected currents; false if something is cut off.
    fn update(&mut self, solution: &Solution) -> bool {
        let changes = self.changes(solution);
        let size = changes.len();
        let mut matrix = vec![0.0; size * size];
        let mut right = vec![0.0; size * size];
        let mut across: Vec<f64> =
            changes.iter().map(|change| solution.voltages[change.from] - solution.voltages[change.to]).collect();
        for (row, change) in changes.iter().enumerate() {
            let (from, to) = (solution.column(change.from), solution.column(change.to));
            for (column, other) in changes.iter().enumerate() {
                let mutual = (from[other.from] - to[other.from]) - (from[other.to] - to[other.to]);
                across[row] -= mutual * other.offset;
                matrix[row * size + column] = change.conductance * mutual + f64::from(u8::from(row == column));
            }
            right[row * size + row] = change.conductance;
        }
        if !solve_small(&mut matrix, &mut right, size) {
            return false;
        }
        self.terms = changes
            .iter()
            .enumerate()
            .map(|(row, change)| {
                let drawn: f64 = (0..size).map(|column| right[row * size + column] * across[column]).sum();
                Term { from: change.from, to: change.to, injected: -change.offset - drawn }
            })
            .collect();
        self.coupling = right;
        self.joins = changes
            .iter()
            .filter(|change| change.joins)
            .map(|change| (solution.bridges.island(change.from), solution.bridges.island(change.to)))
            .filter(|(a, b)| a != b)
            .collect();
        true
    }

    /// Regimes that differ from the solution's, if they are not those assumed.
    fn next_overrides(&self, solution: &Solution, from_rest: bool) -> Option<Vec<(usize, Regime)>> {
        let mut next = Vec::new();
        let across = |branch: usize| self.across(branch).0;
        let felt = |branch: usize| self.law(branch).felt(across(branch));
        for &branch in &solution.piecewise {
            let law = self.law(branch);
            // With the fault there all along, a relay had to pull in from rest.
            let relay = matches!(law, Law::Contact { .. });
            let before = if from_rest && relay { law.at_rest() } else { self.regime(branch) };
            let regime = law.regime(across(branch), before, felt);
            if regime != solution.regimes[branch] {
                next.push((branch, regime));
            }
        }
        let piecewise_count = next.len();
        for &branch in &solution.fuses {
            if self.regime(branch) == Regime::Off && solution.regimes[branch] != Regime::Off {
                next.push((branch, Regime::Off));
            }
        }
        let assumed = self.overrides.iter().filter(|(branch, _)| solution.piecewise.contains(branch)).count();
        let settled = assumed == piecewise_count && next.iter().all(|entry| self.overrides.contains(entry));
        if !settled {
            return Some(next);
        }
        let blown = self.most_overloaded(solution)?;
        next.push((blown, Regime::Off));
        Some(next)
    }

    fn most_overloaded(&self, solution: &Solution) -> Option<usize> {
        let overload = |branch: usize| match self.law(branch) {
            Law::Fuse { opens_at, .. } => self.current(branch).0.abs() / opens_at.0,
            _ => 0.0,
        };
        let worst = solution.fuses.iter().copied().max_by(|&a, &b| overload(a).total_cmp(&overload(b)))?;
        (overload(worst) > 1.0).then_some(worst)
    }

    fn shift(&self, from: usize, to: usize) -> f64 {
        let base = &self.base;
        self.terms
            .iter()
            .map(|term| {
                let (up, down) = (base.column(term.from), base.column(term.to));
                term.injected * ((up[from] - down[from]) - (up[to] - down[to]))
            })
            .sum()
    }

    /// What stands between two points.
    pub fn between(&self, red: usize, black: usize) -> Between {
        if let Some(cut) = self.cut {
            let base = &self.base;
            if base.bridges.is_beyond(cut, red) != base.bridges.is_beyond(cut, black) {
                return Between::Floating;
            }
        }
        match self.base.between(red, black) {
            Between::Volts(volts) => Between::Volts(volts + Volts(self.shift(red, black))),
            Between::Floating if self.are_joined(red, black) => {
                let base = &self.base.voltages;
                Between::Volts(Volts(base[red] - base[black] + self.shift(red, black)))
            }
            Between::Floating => Between::Floating,
        }
    }

    fn are_joined(&self, red: usize, black: usize) -> bool {
        let bridges = &self.base.bridges;
        let goal = bridges.island(black);
        let mut reached = vec![bridges.island(red)];
        let mut next = 0;
        while next < reached.len() {
            let here = reached[next];
            next += 1;
            for &(a, b) in &self.joins {
                let far = if a == here { b } else { a };
                if (a == here || b == here) && !reached.contains(&far) {
                    reached.push(far);
                }
            }
        }
        reached.contains(&goal)
    }

    /// Voltage across a branch, first end positive.
    pub fn across(&self, branch: usize) -> Volts {
        let Branch { from, to, .. } = self.network().branches[branch];
        Volts(self.base.across(branch).0 + self.shift(from, to))
    }

    /// Current through a branch, first end to second.
    pub fn current(&self, branch: usize) -> Amps {
        if self.cut == Some(branch) {
            return Amps(0.0);
        }
        let line = self.line(branch);
        Amps(line.conductance * self.across(branch).0 + line.offset)
    }

    /// Conductance behind which a source holds its voltage; 0 where it holds none.
    pub fn source_conductance(&self, branch: usize) -> f64 {
        match (self.law(branch), self.regime(branch)) {
            (Law::Battery { charging, .. }, Regime::Limited) => 1.0 / charging.0,
            (Law::Battery { ohms, .. }, _) | (Law::Regulated { ohms, .. }, Regime::On) => 1.0 / ohms.0,
            _ => 0.0,
        }
    }

    /// Whether the fuse on a branch has opened.
    pub fn is_blown(&self, branch: usize) -> bool {
        matches!(self.law(branch), Law::Fuse { .. }) && self.regime(branch) == Regime::Off
    }

    /// The fuses that have opened.
    pub fn blown(&self) -> Vec<usize> {
        self.base.fuses.iter().copied().filter(|&branch| self.is_blown(branch)).collect()
    }

    /// What one ampere between two points does elsewhere.
    pub fn transfer(&self, red: usize, black: usize) -> Transfer<'_> {
        let base = &self.base;
        let (up, down) = (base.column(red), base.column(black));
        let size = self.terms.len();
        let seen: Vec<f64> = self
            .terms
            .iter()
            .map(|term| (up[term.from] - down[term.from]) - (up[term.to] - down[term.to]))
            .collect();
        let weights = (0..size)
            .map(|column| (0..size).map(|row| seen[row] * self.coupling[row * size + column]).sum())
            .collect();
        Transfer { altered: self, up, down, weights, red, black }
    }
}

/// Effect at every branch of a current between two points (and, by
/// reciprocity, of every branch on the voltage between them).
pub struct Transfer<'a> {
    altered: &'a Altered,
    up: &'a [f64],
    down: &'a [f64],
    weights: Vec<f64>,
    red: usize,
    black: usize,
}

impl Transfer<'_> {
    /// Transfer resistance to a pair of points, Ω.
    pub fn to(&self, from: usize, to: usize) -> f64 {
        let base = &self.altered.base;
        let direct = (self.up[from] - self.down[from]) - (self.up[to] - self.down[to]);
        let through: f64 = self
            .altered
            .terms
            .iter()
            .zip(&self.weights)
            .map(|(term, weight)| {
                let (up, down) = (base.column(term.from), base.column(term.to));
                weight * ((up[from] - down[from]) - (up[to] - down[to]))
            })
            .sum();
        direct - through
    }

    /// Resistance seen between the two points themselves.
    pub fn resistance(&self) -> Ohms {
        Ohms(self.to(self.red, self.black))
    }
}

/// Solves `matrix`·x = `right` for several right sides in place, rows scaled;
/// false if a pivot vanishes.
fn solve_small(matrix: &mut [f64], right: &mut [f64], size: usize) -> bool {
    for row in 0..size {
        let largest = matrix[row * size..(row + 1) * size].iter().fold(1.0f64, |most, value| most.max(value.abs()));
        matrix[row * size..(row + 1) * size].iter_mut().for_each(|value| *value /= largest);
        right[row * size..(row + 1) * size].iter_mut().for_each(|value| *value /= largest);
    }
    for step in 0..size {
        let pivot_row = (step..size)
            .max_by(|&a, &b| matrix[a * size + step].abs().total_cmp(&matrix[b * size + step].abs()))
            .unwrap_or(step);
        if matrix[pivot_row * size + step].abs() < LEAST_PIVOT || !matrix[pivot_row * size + step].is_finite() {
            return false;
        }
        for column in 0..size {
            matrix.swap(step * size + column, pivot_row * size + column);
            right.swap(step * size + column, pivot_row * size + column);
        }
        let pivot = matrix[step * size + step];
        for row in 0..size {
            if row == step {
                continue;
            }
            let factor = matrix[row * size + step] / pivot;
            if factor != 0.0 {
                for column in 0..size {
                    matrix[row * size + column] -= factor * matrix[step * size + column];
                    right[row * size + column] -= factor * right[step * size + column];
                }
            }
        }
    }
    for row in 0..size {
        let pivot = matrix[row * size + row];
        right[row * size..(row + 1) * size].iter_mut().for_each(|value| *value /= pivot);
    }
    true
}
