//! Changed branches as rows of I + DP (see [`super::altered`]), and the small
//! system that they make.

use crate::network::companion::Companion;
use crate::network::graph::Branch;
use crate::network::law::Region;
use crate::network::solution::Solution;
/// Numerical: below this a pivot says that something is cut off.
pub(super) const LEAST_PIVOT: f64 = 1e-6;

/// A changed branch.
#[derive(Debug, Clone, Copy)]
pub(super) struct BranchChange {
    pub from: usize,
    pub to: usize,
    /// BranchChange of conductance, S.
    pub conductance: f64,
    /// BranchChange of offset, A.
    pub offset: f64,
    /// Whether the branch conducts no more.
    pub opens: bool,
    /// Which of the network's; none of what was not there.
    pub branch: Option<usize>,
    pub effect: Effect,
}

/// What a change does to the islands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Effect {
    Nothing,
    /// Conducts where nothing did.
    Joins,
    /// Takes away the only path between two halves.
    Cuts,
    /// Only changes the resistance of such a path, which carries nothing.
    Stretches {
        bridge: usize,
        was: f64,
        is: f64,
    },
}

impl BranchChange {
    /// Another line for a branch.
    pub fn of(solution: &Solution, branch: usize, new: Companion) -> Self {
        let old = solution.companion(branch);
        let Branch { from, to, .. } = solution.network.branches[branch];
        let effect = match (old.conductance != 0.0, new.conductance != 0.0) {
            (false, true) => Effect::Joins,
            (true, false) if solution.bridges.is_bridge(branch) => Effect::Cuts,
            (true, true) if solution.bridges.is_bridge(branch) && old.offset == 0.0 && new.offset == 0.0 => {
                Effect::Stretches { bridge: branch, was: old.conductance, is: new.conductance }
            }
            _ => Effect::Nothing,
        };
        Self {
            from,
            to,
            conductance: new.conductance - old.conductance,
            offset: new.offset - old.offset,
            opens: old.conductance != 0.0 && new.conductance == 0.0,
            branch: Some(branch),
            effect,
        }
    }

    /// A branch that was not there.
    pub fn by_adding(branch: &Branch) -> Self {
        let companion = branch.law.linear(Region::On);
        Self {
            from: branch.from,
            to: branch.to,
            conductance: companion.conductance,
            offset: companion.offset,
            opens: false,
            branch: None,
            effect: Effect::Joins,
        }
    }

    /// Whether it leaves the islands as they are.
    pub fn keeps_islands(&self, solution: &Solution) -> bool {
        match self.effect {
            Effect::Cuts => false,
            Effect::Joins => solution.bridges.island(self.from) == solution.bridges.island(self.to),
            Effect::Nothing | Effect::Stretches { .. } => true,
        }
    }

    /// Voltage across its ends before.
    pub fn across(&self, solution: &Solution) -> f64 {
        match self.effect {
            Effect::Stretches { .. } => 0.0,
            _ => solution.voltages[self.from] - solution.voltages[self.to],
        }
    }

    /// The current that it amounts to where nothing else changes, with this resistance
    /// between its ends, A; none where it is all but cut off.
    pub fn pushed(&self, solution: &Solution, ohms: f64) -> Option<f64> {
        let pivot = 1.0 + self.conductance * ohms;
        if pivot < LEAST_PIVOT * pivot.max(1.0) {
            return None;
        }
        let drawn = self.conductance / pivot * (self.across(solution) - ohms * self.offset);
        Some(-self.offset - drawn)
    }

    /// Voltage across its ends for an ampere between those of each of several.
    /// Through a bridge goes all of it or nothing, which needs no subtraction.
    pub fn mutuals(&self, changes: &[Self], solution: &Solution) -> Vec<f64> {
        let is_stretched = matches!(self.effect, Effect::Stretches { .. });
        let column = (!is_stretched).then(|| solution.entries(self.from, self.to));
        let mutual = |other: &Self| match (self.effect, other.effect, &column) {
            (Effect::Stretches { bridge, was, .. }, ..) | (_, Effect::Stretches { bridge, was, .. }, _) => {
                let beyond = |point: usize| f64::from(u8::from(solution.bridges.is_beyond(bridge, point)));
                (beyond(self.from) - beyond(self.to)) * (beyond(other.from) - beyond(other.to)) / was
            }
            (.., column) => column.as_ref().map_or(0.0, |column| column.across(other.from, other.to)),
        };
        changes.iter().map(mutual).collect()
    }

    /// Its row of I + DP and of D, the latter on the diagonal only. A bridge
    /// that becomes nearly open would have next to nothing on the diagonal,
    /// with few digits; its row is multiplied to have one there.
    pub fn row(&self, row: usize, mutuals: &[f64]) -> (Vec<f64>, f64) {
        let (scale, diagonal) = match self.effect {
            Effect::Stretches { was, is, .. } => (was / is, 1.0),
            _ => (1.0, 1.0 + self.conductance * mutuals[row]),
        };
        let mut entries: Vec<f64> = mutuals.iter().map(|mutual| scale * self.conductance * mutual).collect();
        entries[row] = diagonal;
        (entries, scale * self.conductance)
    }
}

/// How a small system came out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Determinant {
    /// Its determinant is above zero.
    Positive,
    /// It is below zero: with these changes the network is not definite.
    Negative,
    /// A pivot vanishes.
    Not,
}

/// Solves `matrix`·x = `right` for several right sides in place, rows scaled.
pub(super) fn solve_small(matrix: &mut [f64], right: &mut [f64], size: usize) -> Determinant {
    let mut is_negative = false;
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
            return Determinant::Not;
        }
        is_negative ^= (pivot_row != step) ^ (matrix[pivot_row * size + step] < 0.0);
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
    if is_negative { Determinant::Negative } else { Determinant::Positive }
}
