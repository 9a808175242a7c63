//! What one ampere between two points does elsewhere in an altered network.

use crate::network::entries::Entries;
use crate::quantity::Ohms;
use std::rc::Rc;

/// Some branches of an altered network, and what its changes do at them: worked
/// out once for many readings.
pub struct Outputs {
    pub(super) ends: Vec<(usize, usize)>,
    /// Current through each, A.
    pub amps: Vec<f64>,
    /// Transfer resistances from each change to each branch, change by change, Ω.
    pub(super) from_changes: Vec<f64>,
    /// What an ampere pushed through each does to each converter's power, W.
    pub(super) to_converters: Vec<Vec<f64>>,
}

/// A converter at work: what its input draws hangs on what its output gives.
pub(super) struct Feeding {
    pub(super) input: usize,
    /// Of the output.
    pub(super) ends: (usize, usize),
    /// Current into the input for a watt at the output, A/W.
    pub(super) gain: f64,
    /// Power of the output for a volt across it, and for an ampere through itself.
    pub(super) of_volts: f64,
    pub(super) of_itself: f64,
    /// From the output.
    pub(super) through: Transfer,
    /// What a watt at the output of each converter does to this one's, W.
    pub(super) onto: Vec<f64>,
}

impl Feeding {
    /// Power at the output for an ampere pushed through what lies between two
    /// points, W.
    pub(super) fn moved(&self, from: usize, to: usize) -> f64 {
        let own = if self.ends == (from, to) { self.of_itself } else { 0.0 };
        self.of_volts * self.through.to(from, to) + own
    }
}

/// Effect at every branch of a current between two points (and, by
/// reciprocity, of every branch on the voltage between them).
pub struct Transfer {
    pub(super) up: Rc<Entries>,
    pub(super) down: Rc<Entries>,
    /// For each change, what an ampere between its ends does.
    pub(super) columns: Vec<Rc<Entries>>,
    pub(super) weights: Vec<f64>,
    pub(super) feeding: Rc<[Feeding]>,
    /// For each converter at work, what a watt at its output does here, V/W.
    pub(super) converted: Vec<f64>,
    pub(super) red: usize,
    pub(super) black: usize,
}

impl Transfer {
    /// Transfer resistance to a pair of points, Ω.
    pub fn to(&self, from: usize, to: usize) -> f64 {
        let direct = (self.up.at(from) - self.down.at(from)) - (self.up.at(to) - self.down.at(to));
        let through = self.columns.iter().zip(&self.weights).map(|(column, weight)| weight * column.across(from, to));
        let converted = self.feeding.iter().zip(&self.converted).map(|(one, weight)| weight * one.moved(from, to));
        direct - through.sum::<f64>() + converted.sum::<f64>()
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
        for (weight, moved) in self.converted.iter().zip(&outputs.to_converters) {
            all.iter_mut().zip(moved).for_each(|(sum, one)| *sum += weight * one);
        }
        all
    }

    /// Resistance seen between the two points themselves.
    pub fn resistance(&self) -> Ohms {
        Ohms(self.to(self.red, self.black))
    }
}
