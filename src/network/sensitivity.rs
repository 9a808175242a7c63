//! Sensitivity to opening a branch, if every law keeps its region: a cheap first
//! look at what can matter. With z = Z_bb the resistance across branch b, itself
//! in place, opening it amounts to injecting i_b/(1 − g_b·z) at its ends, which
//! moves another voltage by that times the transfer resistance (exact, rank one).

use super::factor::Column;
use super::graph::{Branch, Converter};
use super::solution::Solution;
use crate::quantity::Volts;

impl Solution {
    /// How far the voltage between two points would move if a branch were opened
    /// and every law kept its region.
    pub fn shift_by_opening(&self, branch: usize, red: usize, black: usize) -> Volts {
        let Branch { from, to, .. } = self.network.branches[branch];
        let (up, down) = (self.column(red), self.column(black));
        let transfer = (up[from] - down[from]) - (up[to] - down[to]);
        Volts(self.injected_by_opening(branch) * transfer).abs()
    }

    /// Whether opening a branch would leave one of two points hanging in the air
    /// that are joined now: where nothing flows no voltage moves, and a meter finds
    /// nothing all the same.
    pub fn parts_by_opening(&self, branch: usize, red: usize, black: usize) -> bool {
        let are_joined = self.bridges.island(red) == self.bridges.island(black);
        are_joined && self.bridges.is_beyond(branch, red) != self.bridges.is_beyond(branch, black)
    }

    /// Which of many branches, each opened alone, would move any of those that
    /// are observed further than its `least`.
    pub fn movers(&self, opened: &[usize], observed: &[(usize, Volts)]) -> Vec<bool> {
        let injected: Vec<f64> = opened.iter().map(|&branch| self.injected_by_opening(branch).abs()).collect();
        let mut moves = vec![false; opened.len()];
        let mut look = |opens: usize, (_, least): (usize, Volts), ohms: f64| {
            moves[opens] |= injected[opens] * ohms.abs() > least.0;
        };
        // An ampere across one moves the other as much as the other way round.
        if opened.len() < observed.len() {
            for (opens, &branch) in opened.iter().enumerate() {
                let volts = self.ampere_across(branch);
                observed.iter().for_each(|&seen| look(opens, seen, self.across_in(&volts, seen.0)));
            }
        } else {
            for &seen in observed {
                let volts = self.ampere_across(seen.0);
                (0..opened.len()).for_each(|opens| look(opens, seen, self.across_in(&volts, opened[opens])));
            }
        }
        moves
    }

    /// The outputs of converters that give something, and how far the voltage across
    /// each moves where it gives more or less by a share, every law in its region.
    pub fn converter_outputs(&self, share: f64) -> impl Iterator<Item = (usize, Volts)> {
        self.network.converters.iter().filter_map(move |&Converter { output, .. }| {
            let (volts, amps) = (self.across(output).0, self.current(output).0);
            let of_volts = (amps + volts * self.companion(output).conductance).abs();
            (amps > 0.0).then(|| (output, Volts(share * (volts * amps).abs() / of_volts)))
        })
    }

    /// Voltages at every point for an ampere fed in at the ends of a branch.
    fn ampere_across(&self, branch: usize) -> Column {
        let Branch { from, to, .. } = self.network.branches[branch];
        self.column_between(from, to)
    }

    fn across_in(&self, volts: &[f64], branch: usize) -> f64 {
        let Branch { from, to, .. } = self.network.branches[branch];
        volts[from] - volts[to]
    }

    /// Current across the ends of a branch that opening it amounts to, A.
    fn injected_by_opening(&self, branch: usize) -> f64 {
        let left = (1.0 - self.companion(branch).conductance * self.resistance_across(branch)).max(1e-9);
        self.current(branch).0 / left
    }
}
