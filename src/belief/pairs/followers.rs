//! Pairs of a leader, which explains most by itself, and a follower, which
//! explains best one thing that a leader may leave unexplained.

use super::super::candidate::Candidate;
use super::super::proposer::Proposer;
use super::super::shortlist::{Shortlist, Top, sole};
use super::pairing::{Pairing, in_order};
use crate::odds::LogWeight;
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
    let mut seen: Vec<Top<'_>> = evidence.all_observations().map(|_| Top::of(most)).collect();
    let mut read: Vec<Top<'_>> = shortlist.telling.iter().map(|_| Top::of(most)).collect();
    for &single in singles {
        for (top, seen) in seen.iter_mut().zip(evidence.all_observations()) {
            top.offer(single.log_prior + shortlist.seen(seen, &single.hypothesis), single);
        }
        let Some(joint) = &single.joint else { continue };
        for (top, &reading) in read.iter_mut().zip(&shortlist.telling) {
            top.offer(single.log_prior + LogWeight::from_ln(joint.alone[reading].log_density), single);
        }
    }
    seen.into_iter().chain(read).flat_map(Top::into_candidates).collect()
}
