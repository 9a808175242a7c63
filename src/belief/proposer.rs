//! Proposers of hypotheses beyond single faults, and the search through what
//! they propose: best first, bounded (branch and bound, Land and Doig 1960).

use super::candidate::Candidate;
use super::shortlist::Shortlist;
use crate::odds::LogWeight;

/// Proposes hypotheses beyond single faults.
pub(super) trait Proposer {
    /// What is proposed, weighed in batches as they are asked for, likeliest
    /// first.
    fn batches(&self) -> impl Iterator<Item = Vec<Candidate>>;
}

/// What a proposer proposes, up to the first batch in which nothing could count.
pub(super) fn pruned(shortlist: &Shortlist<'_>, proposer: &impl Proposer) -> Vec<Candidate> {
    let mut all: Vec<Candidate> = Vec::new();
    let mut best = LogWeight::NEVER;
    for batch in proposer.batches() {
        best = batch.iter().map(|candidate| candidate.log_weight).fold(best, LogWeight::max);
        let could_count = batch.iter().any(|candidate| shortlist.could_count(candidate.log_weight, best));
        all.extend(batch);
        if !could_count {
            break;
        }
    }
    all
}
