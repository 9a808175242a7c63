//! Cheap looks: what a change could do at one place of a network, asked of single
//! entries of the inverse and of the laws that matter there. What all other laws
//! do is not asked, so a look costs no more in a larger network.

use super::alteration::Alteration;
use super::altered::{Altered, Injection};
use super::branch_change::BranchChange;
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

/// Currents injected, each with what an ampere of it does.
struct PushedCurrents(Vec<(f64, Rc<Entries>)>);

impl PushedCurrents {
    /// By how much they move the voltage between two points, V.
    fn across(&self, from: usize, to: usize) -> f64 {
        self.0.iter().map(|(amps, ampere)| amps * ampere.across(from, to)).sum()
    }
}

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
        let moved = |branch: usize| {
            let Branch { from, to, .. } = self.network.branches[branch];
            pushed.across(from, to)
        };
        let is_left = |margin: &Margin| {
            let volts = self.voltages[margin.from] - self.voltages[margin.to] + pushed.across(margin.from, margin.to);
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
    ) -> Option<PushedCurrents> {
        let sole = match (&alteration.replaced[..], &alteration.added[..]) {
            ([(branch, law)], []) => Some(BranchChange::of(self, *branch, law.linear(region(*branch, law)))),
            ([], [branch]) => Some(BranchChange::by_adding(branch)),
            _ => None,
        };
        // Of one change, which most are, no system is to be solved.
        if let Some(change) = sole {
            let ampere = self.entries(change.from, change.to);
            let pushed = change.pushed(self, ampere.across(change.from, change.to));
            let pushed = pushed.filter(|_| change.keeps_islands(self))?;
            return Some(PushedCurrents(vec![(pushed, ampere)]));
        }
        let overrides = alteration.replaced.iter().map(|(branch, law)| (*branch, region(*branch, law))).collect();
        let mut altered = Altered { overrides, ..Altered::unchanged(self, alteration) };
        let ampere = |&Injection { from, to, injected }: &Injection| (injected, self.entries(from, to));
        altered.update(self).then(|| PushedCurrents(altered.injections.iter().map(ampere).collect()))
    }

    /// The region of another law for a branch at a voltage, all others being on
    /// theirs.
    fn region_of(&self, branch: usize, law: &Law, volts: f64) -> Region {
        let before = self.regions[branch];
        let controlling = |other: usize| self.network.branches[other].law.controlling(self.across(other).0);
        match law {
            Law::Fuse { conductance, opens_at } if conductance.0 * volts.abs() > opens_at.0 => Region::Off,
            Law::Open | Law::Resistor(_) | Law::Fuse { .. } => before,
            Law::Battery { .. }
            | Law::Regulated { .. }
            | Law::ConstantCurrent { .. }
            | Law::Curve(_)
            | Law::Diode { .. }
            | Law::Contact { .. } => law.region(volts, before, controlling),
        }
    }

    /// Which of some fuses a path that is added opens, and thereby loses its current:
    /// before any other that is guarded opens.
    pub fn ended_by(self: &Rc<Self>, path: &Branch, fuses: &[usize], guards: &[Margin]) -> Option<usize> {
        let alteration = Alteration { replaced: Vec::new(), added: vec![path.clone()] };
        let pushed = self.pushed_by(&alteration, |branch, _| self.regions[branch])?;
        let overload = |fuse: usize| match self.network.branches[fuse] {
            Branch { from, to, law: Law::Fuse { conductance, opens_at } } if self.regions[fuse] != Region::Off => {
                let volts = self.across(fuse).0 + pushed.across(from, to);
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
