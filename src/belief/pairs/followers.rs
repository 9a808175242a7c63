//! Pairs of a leader, which explains most by itself, and a follower, which
//! explains best one thing that a leader may leave unexplained.

use super::super::candidate::Candidate;
use super::super::proposer::Proposer;
use super::super::shortlist::{Shortlist, sole, top};
use super::pairing::{Pairing, in_order};
use std::collections::HashSet;

/// Proposes them.
pub(super) struct Followers<'p, 'a>(pub &'p Pairing<'p, 'a>);

impl Proposer for Followers<'_, '_> {
    fn batches(&self) -> impl Iterator<Item = Vec<Candidate>> {
        let shortlist = self.0.shortlist;
        let mut made = HashSet::new();
        let mut pairs = Vec::new();
        for follower in followers(shortlist) {
            for leader in &shortlist.leaders {
                let (Some(a), Some(b)) = (sole(leader), sole(follower)) else { continue };
                let [first, second] = in_order(a, b);
                if !self.0.overlap(first.0, second.0) && made.insert((first.0, second.0)) {
                    pairs.push(self.0.weighed(first, second));
                }
            }
        }
        std::iter::once(pairs)
    }
}

/// The singles that explain each thing best by itself.
fn followers<'a>(shortlist: &Shortlist<'a>) -> Vec<&'a Candidate> {
    let (singles, evidence) = (&shortlist.singles, shortlist.likelihood.evidence);
    let most = shortlist.likelihood.engine.tables().belief.followers;
    let mut all = Vec::new();
    for seen in evidence.all_observations() {
        let explains = |single: &Candidate| single.log_prior + shortlist.seen(seen, &single.hypothesis);
        all.extend(top(singles, most, explains));
    }
    for (index, reading) in evidence.all_readings().enumerate() {
        let explains = |single: &Candidate| single.log_prior + shortlist.read(index, reading, single);
        all.extend(top(singles, most, explains));
    }
    all
}
