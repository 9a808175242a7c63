//! What stands beyond diodes that carry nothing: as solved it hangs in the air, or
//! is held on the edge of conducting. The little that a meter draws decides it.

use super::altered::Altered;
use crate::network::graph::Branch;
use crate::network::law::{Law, Region};
use crate::network::solution::Solution;
use crate::quantity::Volts;
use petgraph::unionfind::UnionFind;

/// Diodes that carry nothing, and the islands that are left without them.
pub struct IdleDiodes {
    /// Branch, forward voltage and the islands at its ends.
    diodes: Vec<(usize, Volts, [usize; 2])>,
    /// Island of each point.
    islands: Vec<usize>,
}

impl Altered {
    /// Whether something that conducts only above a voltage has lost its feed: only
    /// a solve from rest shows what then hangs in the air.
    pub(super) fn has_lost_a_feed(&self, solution: &Solution) -> bool {
        let mut conducting = solution
            .piecewise
            .iter()
            .copied()
            .filter(|&branch| matches!(self.law(branch), Law::Diode { .. }) && self.region(branch) == Region::On);
        conducting.any(|branch| {
            let was_idle =
                solution.network.branches[branch].law.is_idle(solution.regions[branch], solution.across(branch).0);
            !was_idle && self.law(branch).is_idle(Region::On, self.across(branch).0)
        })
    }

    /// The diodes that carry nothing; none where there is no such.
    pub fn idle_diodes(&self) -> Option<IdleDiodes> {
        let is_idle = |branch: usize| {
            let region = self.region(branch);
            region == Region::Off || self.law(branch).is_idle(region, self.across(branch).0)
        };
        let forward = |branch: usize| match self.law(branch) {
            Law::Diode { forward, .. } => Some((branch, *forward)),
            _ => None,
        };
        let idle: Vec<(usize, Volts)> =
            self.base.piecewise.iter().copied().filter_map(forward).filter(|&(branch, _)| is_idle(branch)).collect();
        if idle.is_empty() {
            return None;
        }
        let network = self.network();
        let mut islands = UnionFind::new(network.points);
        for (index, branch) in network.branches.iter().enumerate() {
            if self.slope(index) != 0.0 && idle.iter().all(|(idle, _)| *idle != index) {
                islands.union(branch.from, branch.to);
            }
        }
        self.alteration.added.iter().for_each(|branch| {
            islands.union(branch.from, branch.to);
        });
        let islands = islands.into_labeling();
        let ends = |branch: usize| {
            let Branch { from, to, .. } = network.branches[branch];
            [islands[from], islands[to]]
        };
        let parting = idle.into_iter().map(|(branch, forward)| (branch, forward, ends(branch)));
        Some(IdleDiodes { diodes: parting.filter(|(_, _, [one, other])| one != other).collect(), islands })
    }
}

impl IdleDiodes {
    /// Those by which a meter between two points would draw its current: none where
    /// something else joins these.
    pub fn between(&self, red: usize, black: usize) -> Vec<(usize, Volts)> {
        let (from, to) = (self.islands[red], self.islands[black]);
        if from == to {
            return Vec::new();
        }
        // From what has fewer diodes round it, as what hangs in the air has.
        let round = |island: usize| self.diodes.iter().filter(|(_, _, ends)| ends.contains(&island)).count();
        if round(from) == 0 || round(to) == 0 {
            return Vec::new();
        }
        let (start, end) = if round(from) <= round(to) { (from, to) } else { (to, from) };
        let (mut reached, mut found) = (vec![start], Vec::new());
        while let Some(island) = reached.pop().filter(|island| *island != end) {
            for &(branch, forward, ends) in self.diodes.iter().filter(|(_, _, ends)| ends.contains(&island)) {
                if found.iter().all(|(one, _)| *one != branch) {
                    found.push((branch, forward));
                    reached.extend(ends.into_iter().filter(|other| *other != island));
                }
            }
        }
        found
    }
}
