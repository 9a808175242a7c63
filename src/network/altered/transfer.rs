//! What one ampere between two points does elsewhere in an altered network.

use super::Altered;
use crate::network::law::Branch;
use crate::network::pushes::Push;
use crate::quantity::Ohms;

/// Some branches of an altered network, and what its changes do at them: worked
/// out once for many readings.
pub struct Watched {
    ends: Vec<(usize, usize)>,
    /// Current through each, A.
    pub amps: Vec<f64>,
    /// Transfer resistances from each change to each branch, change by change, Ω.
    from_changes: Vec<f64>,
}

impl Altered {
    /// Some branches to watch; at `None` nothing happens.
    pub fn watch(&self, branches: impl Iterator<Item = Option<usize>>) -> Watched {
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
        let mut from_changes = Vec::with_capacity(self.terms.len() * ends.len());
        for term in &self.terms {
            let push = self.base.pushed(term.from, term.to);
            from_changes.extend(ends.iter().map(|&(from, to)| push[from] - push[to]));
        }
        Watched { ends, amps, from_changes }
    }

    /// What one ampere between two points does elsewhere.
    pub fn transfer(&self, red: usize, black: usize) -> Transfer {
        let base = &self.base;
        let (up, down) = (base.column(red), base.column(black));
        let size = self.terms.len();
        let seen: Vec<f64> =
            self.terms.iter().map(|term| (up[term.from] - down[term.from]) - (up[term.to] - down[term.to])).collect();
        let pushes = self.terms.iter().map(|term| base.pushed(term.from, term.to)).collect();
        let weights =
            (0..size).map(|column| (0..size).map(|row| seen[row] * self.coupling[row * size + column]).sum()).collect();
        Transfer { up, down, pushes, weights, red, black }
    }
}

/// Effect at every branch of a current between two points (and, by
/// reciprocity, of every branch on the voltage between them).
pub struct Transfer {
    up: Push,
    down: Push,
    /// For each change, what an ampere between its ends does.
    pushes: Vec<Push>,
    weights: Vec<f64>,
    red: usize,
    black: usize,
}

impl Transfer {
    /// Transfer resistance to a pair of points, Ω.
    pub fn to(&self, from: usize, to: usize) -> f64 {
        let direct = (self.up[from] - self.down[from]) - (self.up[to] - self.down[to]);
        let through = self.pushes.iter().zip(&self.weights).map(|(push, weight)| weight * (push[from] - push[to]));
        direct - through.sum::<f64>()
    }

    /// Transfer resistances to watched branches, Ω.
    pub fn to_all(&self, watched: &Watched) -> Vec<f64> {
        let direct = |&(from, to): &(usize, usize)| (self.up[from] - self.down[from]) - (self.up[to] - self.down[to]);
        let mut all: Vec<f64> = watched.ends.iter().map(direct).collect();
        for (weight, through) in self.weights.iter().zip(watched.from_changes.chunks(all.len().max(1))) {
            all.iter_mut().zip(through).for_each(|(sum, one)| *sum -= weight * one);
        }
        all
    }

    /// Resistance seen between the two points themselves.
    pub fn resistance(&self) -> Ohms {
        Ohms(self.to(self.red, self.black))
    }
}
