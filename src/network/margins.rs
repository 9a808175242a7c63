//! The margins of a solution: how far voltages may move before any law leaves its
//! operating region, so that what a change does can be known to be all that it
//! does without asking every law.

use super::graph::Branch;
use super::law::{ControllingVoltage, Law, Region};
use super::region::{ANY, Margin, NO, same_side};
use super::solution::{Convergence, Solution};
use crate::vehicle::ContactRest;

impl Solution {
    /// The margins of all laws; none is known where they oscillate.
    pub(super) fn margins(&self) -> Option<&[Margin]> {
        let all = || {
            let laws = self.piecewise.iter().chain(&self.fuses);
            let mut margins = Vec::new();
            laws.for_each(|&law| self.add_margins(law, &mut margins));
            margins.into_boxed_slice()
        };
        (self.convergence() == Convergence::Converged).then(|| &**self.derived.margins.get_or_init(all))
    }

    /// Those of some laws.
    pub fn margins_of(&self, is_wanted: impl Fn(usize) -> bool) -> Option<Vec<Margin>> {
        Some(self.margins()?.iter().copied().filter(|margin| is_wanted(margin.law)).collect())
    }

    /// The relay contacts that are open.
    pub fn open_contacts(&self) -> impl Iterator<Item = usize> {
        let is_contact = |&law: &usize| matches!(self.network.branches[law].law, Law::Contact { .. });
        self.piecewise.iter().copied().filter(is_contact).filter(|&law| self.regions[law] == Region::Off)
    }

    fn add_margins(&self, law: usize, margins: &mut Vec<Margin>) {
        let mut add = |branch: usize, (least, most): (f64, f64)| {
            let Branch { from, to, .. } = self.network.branches[branch];
            margins.push(Margin { law, branch, from, to, least, most });
        };
        let controlling = |branch: usize| self.network.branches[branch].law.controlling(self.across(branch).0);
        // What has no path through it controls nothing, whatever it has.
        let controlling_range = |need: &ControllingVoltage| match self.network.branches[need.branch].law {
            Law::Open => ANY,
            _ => same_side(controlling(need.branch), need.volts.0),
        };
        let region = self.regions[law];
        let own = &self.network.branches[law].law;
        match own {
            Law::Contact { coil, rest, .. } => {
                let is_pulled = (region == Region::On) == (*rest == ContactRest::Make);
                // Neither one that holds and would not pull in.
                let agrees = is_pulled == (controlling(coil.branch).abs() >= coil.volts.0);
                add(coil.branch, if agrees { controlling_range(coil) } else { NO });
            }
            Law::Regulated { needs, .. } => {
                match needs.iter().find(|need| controlling(need.branch).abs() < need.volts.0) {
                    Some(unmet) => add(unmet.branch, controlling_range(unmet)),
                    None => {
                        add(law, own.own_range(region));
                        let lasting = needs.iter().filter(|_| region != Region::Off);
                        lasting.for_each(|need| add(need.branch, controlling_range(need)));
                    }
                }
            }
            Law::Open
            | Law::Resistor(_)
            | Law::Fuse { .. }
            | Law::Battery { .. }
            | Law::ConstantCurrent { .. }
            | Law::Curve(_)
            | Law::Diode { .. } => add(law, own.own_range(region)),
        }
    }
}
