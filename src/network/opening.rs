//! What opening branches would do, if no law changed its piece: a cheap first
//! look at what can matter.

use super::law::Branch;
use super::pushes::Push;
use super::solution::Solution;
use crate::quantity::Volts;

impl Solution {
    /// How far the voltage between two points would move if a branch were opened
    /// and no law changed its piece: a cheap first look at what can matter.
    pub fn shift_by_opening(&self, branch: usize, red: usize, black: usize) -> Volts {
        let Branch { from, to, .. } = self.network.branches[branch];
        let (up, down) = (self.column(red), self.column(black));
        let transfer = (up[from] - down[from]) - (up[to] - down[to]);
        Volts(self.pushed_by_opening(branch) * transfer).abs()
    }

    /// Which of many branches, each opened alone, would move any of those that
    /// are watched further than its `least`.
    pub fn movers(&self, opened: &[usize], watched: &[(usize, Volts)]) -> Vec<bool> {
        let pushed: Vec<f64> = opened.iter().map(|&branch| self.pushed_by_opening(branch).abs()).collect();
        let mut moves = vec![false; opened.len()];
        let mut look = |opens: usize, (_, least): (usize, Volts), ohms: f64| {
            moves[opens] |= pushed[opens] * ohms.abs() > least.0;
        };
        // An ampere across one moves the other as much as the other way round.
        if opened.len() < watched.len() {
            for (opens, &branch) in opened.iter().enumerate() {
                let volts = self.ampere_across(branch);
                watched.iter().for_each(|&seen| look(opens, seen, self.across_in(&volts, seen.0)));
            }
        } else {
            for &seen in watched {
                let volts = self.ampere_across(seen.0);
                (0..opened.len()).for_each(|opens| look(opens, seen, self.across_in(&volts, opened[opens])));
            }
        }
        moves
    }

    /// Voltages at every point for an ampere fed in at the ends of a branch.
    fn ampere_across(&self, branch: usize) -> Push {
        let Branch { from, to, .. } = self.network.branches[branch];
        self.pushed(from, to)
    }

    fn across_in(&self, volts: &[f64], branch: usize) -> f64 {
        let Branch { from, to, .. } = self.network.branches[branch];
        volts[from] - volts[to]
    }

    /// Current across the ends of a branch that opening it amounts to, A.
    fn pushed_by_opening(&self, branch: usize) -> f64 {
        let left = (1.0 - self.line(branch).conductance * self.resistance_across(branch)).max(1e-9);
        self.current(branch).0 / left
    }
}
