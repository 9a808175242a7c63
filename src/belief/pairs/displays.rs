//! Pairs of a leader and a wrong instrument: no complaint of a circuit is
//! explained by what an instrument shows, so that those faults are no singles.

use super::super::candidate::Candidate;
use super::super::proposer::Proposer;
use super::super::shortlist::sole;
use super::pairing::{Pairing, in_order};
use crate::fault::sizes;
use crate::vehicle::PartId;

/// Proposes them.
pub(super) struct WrongDisplays<'p, 'a>(pub &'p Pairing<'p, 'a>);

impl Proposer for WrongDisplays<'_, '_> {
    fn batches(&self) -> impl Iterator<Item = Vec<Candidate>> {
        let shortlist = self.0.shortlist;
        let (engine, evidence) = (shortlist.likelihood.engine, shortlist.likelihood.evidence);
        let mut read: Vec<PartId> = evidence.all_readings().filter_map(|reading| reading.probe.instrument()).collect();
        read.sort_unstable();
        read.dedup();
        let wrong = engine.catalogue().iter().map(|likely| likely.fault).filter(|fault| read.contains(&fault.part));
        let sized = wrong
            .flat_map(|fault| sizes(&engine.tables().faults, fault.mode).into_iter().map(move |size| (fault, size)));
        let mut pairs = Vec::new();
        for wrong in sized {
            for leader in shortlist.leaders.iter().filter_map(|leader| sole(leader)) {
                if !self.0.overlap(leader.0, wrong.0) && !leader.0.mode.is_of_display() {
                    let [first, second] = in_order(leader, wrong);
                    pairs.push(self.0.weighed(first, second));
                }
            }
        }
        std::iter::once(pairs)
    }
}
