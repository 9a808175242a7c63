//! The answer where one branch changes and nothing else has to: the voltages
//! move along one direction, by as much as the change draws there. Of all sizes
//! of a fault only that amount differs.

use super::alteration::Alteration;
use super::altered::{Altered, Injection};
use super::branch_change::{BranchChange, Effect, Pushed};
use crate::network::law::{Law, Region};
use crate::network::solution::Solution;
use std::rc::Rc;

impl Solution {
    /// This network after an alteration of one branch; none where that cuts or
    /// joins islands or takes another law out of its region.
    pub(super) fn rank_one(self: &Rc<Self>, alteration: &Alteration) -> Option<Altered> {
        let (change, replaced) = self.only_change(alteration, |branch, _| self.regions[branch])?;
        let branch = replaced.map(|(branch, _)| branch);
        let margins = self.margins()?;
        let is_felt = |branch: usize| margins.iter().any(|margin| margin.branch == branch && margin.law != branch);
        let is_open = |law: &Law| *law == Law::Open;
        if replaced
            .is_some_and(|(branch, law)| is_open(law) != is_open(&self.network.branches[branch].law) && is_felt(branch))
        {
            return None;
        }
        let Pushed { injected, coupling, volts } = match change.effect {
            // It carries nothing, however long.
            Effect::Stretches { was, is, .. } => {
                Pushed { injected: 0.0, coupling: was / is * change.conductance, volts: 0.0 }
            }
            _ => {
                let current_range = self.current_range(change.from, change.to, branch)?;
                let pushed = change.pushed(self, current_range.ohms)?;
                if !current_range.contains(pushed.injected) {
                    return None;
                }
                pushed
            }
        };
        if replaced.is_some_and(|(branch, law)| self.region_of(branch, law, volts) != self.regions[branch]) {
            return None;
        }
        Some(Altered {
            injections: vec![Injection { from: change.from, to: change.to, injected, across: Some(volts) }],
            coupling: vec![coupling],
            ..Altered::unchanged(self, alteration)
        })
    }

    /// The one branch that an alteration changes, with its law, which is in that region,
    /// if it was there; none where it cuts or joins islands, or changes several.
    pub(super) fn only_change<'a>(
        &self,
        alteration: &'a Alteration,
        region: impl Fn(usize, &Law) -> Region,
    ) -> Option<(BranchChange, Option<(usize, &'a Law)>)> {
        let (change, replaced) = match (&alteration.replaced[..], &alteration.added[..]) {
            ([(branch, law)], []) => {
                let companion = law.linear(region(*branch, law));
                (BranchChange::of(self, *branch, companion), Some((*branch, law)))
            }
            ([], [branch]) => (BranchChange::by_adding(branch), None),
            _ => return None,
        };
        let is_plain = match change.effect {
            Effect::Cuts => false,
            Effect::Joins => self.bridges.island(change.from) == self.bridges.island(change.to),
            Effect::Nothing | Effect::Stretches { .. } => true,
        };
        is_plain.then_some((change, replaced))
    }

    /// The region of another law for a branch at a voltage, all others being on
    /// theirs.
    pub(super) fn region_of(&self, branch: usize, law: &Law, volts: f64) -> Region {
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
}
