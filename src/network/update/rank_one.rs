//! The answer where one branch changes and nothing else has to: the voltages
//! move along one direction, by as much as the change draws there. Of all sizes
//! of a fault only that amount differs.

use super::alteration::Alteration;
use super::altered::{Altered, Injection};
use super::branch_change::{BranchChange, Effect, LEAST_PIVOT};
use crate::network::law::{Law, Region};
use crate::network::solution::Solution;
use std::rc::Rc;

impl Solution {
    /// This network after an alteration of one branch; none where that cuts or
    /// joins islands or takes another law out of its region.
    pub(super) fn rank_one(self: &Rc<Self>, alteration: &Alteration) -> Option<Altered> {
        let (change, replaced) = match (&alteration.replaced[..], &alteration.added[..]) {
            ([(branch, law)], []) => {
                let companion = law.linear(self.regions[*branch]);
                (BranchChange::of(self, *branch, companion), Some((*branch, law)))
            }
            ([], [branch]) => (BranchChange::by_adding(branch), None),
            _ => return None,
        };
        let margins = self.margins()?;
        let is_felt = |branch: usize| margins.iter().any(|margin| margin.branch == branch && margin.law != branch);
        let is_open = |law: &Law| *law == Law::Open;
        if replaced
            .is_some_and(|(branch, law)| is_open(law) != is_open(&self.network.branches[branch].law) && is_felt(branch))
        {
            return None;
        }
        let (injected, coupling, volts) = match change.effect {
            Effect::Cuts => return None,
            Effect::Joins if self.bridges.island(change.from) != self.bridges.island(change.to) => return None,
            // It carries nothing, however long.
            Effect::Stretches { was, is, .. } => (0.0, was / is * change.conductance, 0.0),
            Effect::Nothing | Effect::Joins => {
                let current_range = self.current_range(change.from, change.to, replaced.map(|(branch, _)| branch))?;
                let pivot = 1.0 + change.conductance * current_range.ohms;
                if pivot < LEAST_PIVOT * pivot.max(1.0) {
                    return None;
                }
                let coupling = change.conductance / pivot;
                let volts = change.across(self);
                let injected = -change.offset - coupling * (volts - current_range.ohms * change.offset);
                if !current_range.contains(injected) {
                    return None;
                }
                (injected, coupling, volts + current_range.ohms * injected)
            }
        };
        if replaced.is_some_and(|(branch, law)| !self.stays(branch, law, volts)) {
            return None;
        }
        Some(Altered {
            injections: vec![Injection { from: change.from, to: change.to, injected, across: Some(volts) }],
            coupling: vec![coupling],
            ..Altered::unchanged(self, alteration)
        })
    }

    /// Whether another law for a branch stays in the same region at a voltage,
    /// all others being on theirs.
    fn stays(&self, branch: usize, law: &Law, volts: f64) -> bool {
        let region = self.regions[branch];
        let controlling = |other: usize| self.network.branches[other].law.controlling(self.across(other).0);
        match law {
            Law::Open | Law::Resistor(_) => true,
            Law::Fuse { conductance, opens_at } => region == Region::Off || conductance.0 * volts.abs() <= opens_at.0,
            Law::Battery { .. }
            | Law::Regulated { .. }
            | Law::ConstantCurrent { .. }
            | Law::Curve(_)
            | Law::Diode { .. }
            | Law::Contact { .. } => law.region(volts, region, controlling) == region,
        }
    }
}
