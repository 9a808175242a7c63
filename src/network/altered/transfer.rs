//! What one ampere between two points does elsewhere in an altered network.

use super::Altered;
use crate::quantity::Ohms;

impl Altered {
    /// What one ampere between two points does elsewhere.
    pub fn transfer(&self, red: usize, black: usize) -> Transfer<'_> {
        let base = &self.base;
        let (up, down) = (base.column(red), base.column(black));
        let size = self.terms.len();
        let seen: Vec<f64> =
            self.terms.iter().map(|term| (up[term.from] - down[term.from]) - (up[term.to] - down[term.to])).collect();
        let weights =
            (0..size).map(|column| (0..size).map(|row| seen[row] * self.coupling[row * size + column]).sum()).collect();
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
