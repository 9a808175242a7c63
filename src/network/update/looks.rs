//! Cheap looks: what a change could do at one place of a network, asked of single
//! entries of the inverse and of the laws that matter there. What all other laws
//! do is not asked, so a look costs no more in a larger network.

use super::alteration::Alteration;
use super::altered::{Altered, Injection};
use super::branch_change::{BranchChange, Pushed};
use crate::network::between::Between;
use crate::network::entries::Entries;
use crate::network::graph::Branch;
use crate::network::law::{Law, Region};
use crate::network::region::Margin;
use crate::network::solution::Solution;
use crate::quantity::{Amps, Volts};
use std::rc::Rc;

/// Numerical: voltage by which the output of a converter moves where it gives more, V.
const GIVES_MORE: f64 = 1e-5;

/// Numerical: current that opens no fuse, A.
const OPENS_NOTHING: Amps = Amps(1e-2);

impl Solution {
    /// Whether an alteration could move the voltage across a branch by more than
    /// `least`, or exceed one of the margins that guard it.
    pub fn could_disturb(
        self: &Rc<Self>,
        alteration: &Alteration,
        branch: usize,
        least: Volts,
        guards: &[Margin],
    ) -> bool {
        if alteration.replaced.is_empty() && alteration.added.is_empty() {
            return false;
        }
        // One that is closed now was so before its coil pulled in.
        let is_closed = |&(branch, _): &(usize, Law)| self.regions[branch] == Region::On;
        if self.welds_contact(alteration) && alteration.replaced.iter().any(is_closed) {
            return true;
        }
        let at_once = |branch: usize, law: &Law| self.region_of(branch, law, self.across(branch).0);
        let Some(pushed) = self.pushed_by(alteration, at_once) else { return true };
        let ampere = |&Injection { from, to, injected, .. }: &Injection| (injected, self.entries(from, to));
        let amperes: Vec<(f64, Rc<Entries>)> = pushed.iter().map(ampere).collect();
        let moves =
            |from: usize, to: usize| amperes.iter().map(|(amps, ampere)| amps * ampere.across(from, to)).sum::<f64>();
        let moved = |branch: usize| {
            let Branch { from, to, .. } = self.network.branches[branch];
            moves(from, to)
        };
        let is_left = |margin: &Margin| {
            let volts = self.voltages[margin.from] - self.voltages[margin.to] + moves(margin.from, margin.to);
            !(margin.least..=margin.most).contains(&volts)
        };
        let leaves = |&(branch, ref law): &(usize, Law)| {
            self.region_of(branch, law, self.across(branch).0 + moved(branch)) != at_once(branch, law)
        };
        moved(branch).abs() > least.0
            // What a converter gives it also takes.
            || self.network.converters.iter().any(|converter| moved(converter.output).abs() > GIVES_MORE)
            || alteration.replaced.iter().any(leaves)
            || guards.iter().any(is_left)
    }

    /// The currents that an alteration amounts to, what it replaces being in these
    /// regions and all else as it was; none where a small solve does not tell.
    fn pushed_by(
        self: &Rc<Self>,
        alteration: &Alteration,
        region: impl Fn(usize, &Law) -> Region,
    ) -> Option<Vec<Injection>> {
        if alteration.replaced.len() + alteration.added.len() == 1 {
            let (change, _) = self.only_change(alteration, region)?;
            let BranchChange { from, to, .. } = change;
            let Pushed { injected, .. } = change.pushed(self, self.entries(from, to).across(from, to))?;
            return Some(vec![Injection { from, to, injected, across: None }]);
        }
        let overrides = alteration.replaced.iter().map(|(branch, law)| (*branch, region(*branch, law))).collect();
        let mut altered = Altered { overrides, ..Altered::unchanged(self, alteration) };
        altered.update(self).then_some(altered.injections)
    }

    /// Which of some fuses a path that is added opens, and thereby loses its current:
    /// before any other that is guarded opens.
    pub fn ended_by(self: &Rc<Self>, path: &Branch, fuses: &[usize], guards: &[Margin]) -> Option<usize> {
        if self.bridges.island(path.from) != self.bridges.island(path.to) {
            return None;
        }
        let change = BranchChange::by_adding(path);
        let ampere = self.entries(path.from, path.to);
        let Pushed { injected, .. } = change.pushed(self, ampere.across(path.from, path.to))?;
        let overload = |fuse: usize| match self.network.branches[fuse] {
            Branch { from, to, law: Law::Fuse { conductance, opens_at } } if self.regions[fuse] != Region::Off => {
                let volts = self.across(fuse).0 + injected * ampere.across(from, to);
                (conductance.0 * volts).abs() / opens_at.0
            }
            _ => 0.0,
        };
        let (fuse, most) =
            fuses.iter().map(|&fuse| (fuse, overload(fuse))).max_by(|one, other| one.1.total_cmp(&other.1))?;
        let opens_first = most > 1.0 && guards.iter().all(|margin| overload(margin.law) <= most);
        (opens_first && self.is_left_without(path, fuse)).then_some(fuse)
    }

    /// Whether a path that is added carries nothing to speak of once a fuse is open.
    fn is_left_without(self: &Rc<Self>, path: &Branch, fuse: usize) -> bool {
        let is_beyond = |point: usize| self.bridges.is_beyond(fuse, point);
        if self.bridges.is_bridge(fuse) && is_beyond(path.from) != is_beyond(path.to) {
            return true;
        }
        let alteration = Alteration { replaced: vec![(fuse, Law::Open)], added: vec![path.clone()] };
        let mut altered = Altered::unchanged(self, &alteration);
        let amps = |volts: Volts| path.law.linear(Region::On).conductance * volts.0.abs();
        altered.update(self)
            && match altered.between(path.from, path.to) {
                Between::Volts(volts) => amps(volts) < OPENS_NOTHING.0,
                Between::Floating => true,
            }
    }
}
