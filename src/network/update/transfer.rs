//! What one ampere between two points does elsewhere in an altered network.

use super::altered::Altered;
use crate::network::entries::Entries;
use crate::network::graph::Branch;
use crate::quantity::Ohms;
use std::rc::Rc;

/// Some branches of an altered network, and what its changes do at them: worked
/// out once for many readings.
pub struct Outputs {
    ends: Vec<(usize, usize)>,
    /// Current through each, A.
    pub amps: Vec<f64>,
    /// Transfer resistances from each change to each branch, change by change, Ω.
    from_changes: Vec<f64>,
}

impl Altered {
    /// Some branches to watch; at `None` nothing happens.
    pub fn outputs(&self, branches: impl Iterator<Item = Option<usize>>) -> Outputs {
        let volts = self.level(0.0);
        let (ends, amps): (Vec<(usize, usize)>, Vec<f64>) = branches
            .map(|branch| match branch {
                Some(index) => {
                    let Branch { from, to, .. } = self.network().branches[index];
                    ((from, to), self.current_at(index, volts[from] - volts[to]))
                }
                None => ((0, 0), 0.0),
            })
            .unzip();
        let mut from_changes = Vec::with_capacity(self.injections.len() * ends.len());
        for injection in &self.injections {
            let column = self.base.entries(injection.from, injection.to);
            from_changes.extend(ends.iter().map(|&(from, to)| column.across(from, to)));
        }
        Outputs { ends, amps, from_changes }
    }

    /// What one ampere between two points does elsewhere.
    pub fn transfer(&self, red: usize, black: usize) -> Transfer {
        let base = &self.base;
        let ground = self.network().points;
        let (up, down) = (base.entries(red, ground), base.entries(black, ground));
        let size = self.injections.len();
        let seen: Vec<f64> = self
            .injections
            .iter()
            .map(|injection| {
                (up.at(injection.from) - down.at(injection.from)) - (up.at(injection.to) - down.at(injection.to))
            })
            .collect();
        let columns = self.injections.iter().map(|injection| base.entries(injection.from, injection.to)).collect();
        let weights =
            (0..size).map(|column| (0..size).map(|row| seen[row] * self.coupling[row * size + column]).sum()).collect();
        Transfer { up, down, columns, weights, red, black }
    }
}

/// Effect at every branch of a current between two points (and, by
/// reciprocity, of every branch on the voltage between them).
pub struct Transfer {
    up: Rc<Entries>,
    down: Rc<Entries>,
    /// For each change, what an ampere between its ends does.
    columns: Vec<Rc<Entries>>,
    weights: Vec<f64>,
    red: usize,
    black: usize,
}

impl Transfer {
    /// Transfer resistance to a pair of points, Ω.
    pub fn to(&self, from: usize, to: usize) -> f64 {
        let direct = (self.up.at(from) - self.down.at(from)) - (self.up.at(to) - self.down.at(to));
        let through = self.columns.iter().zip(&self.weights).map(|(column, weight)| weight * column.across(from, to));
        direct - through.sum::<f64>()
    }

    /// Transfer resistances to the outputs, Ω.
    pub fn to_all(&self, outputs: &Outputs) -> Vec<f64> {
        let direct = |&(from, to): &(usize, usize)| {
            (self.up.at(from) - self.down.at(from)) - (self.up.at(to) - self.down.at(to))
        };
        let mut all: Vec<f64> = outputs.ends.iter().map(direct).collect();
        for (weight, through) in self.weights.iter().zip(outputs.from_changes.chunks(all.len().max(1))) {
            all.iter_mut().zip(through).for_each(|(sum, one)| *sum -= weight * one);
        }
        all
    }

    /// Resistance seen between the two points themselves.
    pub fn resistance(&self) -> Ohms {
        Ohms(self.to(self.red, self.black))
    }
}
