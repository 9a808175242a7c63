//! The search for two faults: what each proposer proposes, and then the best of
//! it in sizes near by.

use super::super::candidate::Candidate;
use super::super::proposer::pruned;
use super::super::shortlist::Shortlist;
use super::displays::WrongDisplays;
use super::followers::Followers;
use super::hidden::{HiddenPairs, hidden_pairs};
use super::pairing::Pairing;
use super::superposed::SuperposedPairs;
use crate::odds::LogWeight;
use crate::predict::{Hypothesis, Sized};
use std::collections::HashSet;

/// Pairs of faults worth weighing, beside the singles already weighed.
pub fn pairs(shortlist: &Shortlist<'_>) -> Vec<Candidate> {
    let hidden = hidden_pairs(shortlist);
    let pairing = Pairing::new(shortlist, &hidden);
    let mut pairs = pruned(shortlist, &Followers(&pairing));
    pairs.extend(pruned(shortlist, &SuperposedPairs(&pairing)));
    pairs.extend(pruned(shortlist, &WrongDisplays(&pairing)));
    let made: HashSet<_> = pairs.iter().filter_map(faults).map(|[first, second]| (first.0, second.0)).collect();
    let hidden = hidden.into_iter().filter(|[a, b]| !made.contains(&(a.0, b.0))).collect();
    pairs.extend(pruned(shortlist, &HiddenPairs { pairing: &pairing, pairs: hidden }));
    pairs.sort_by(|a, b| b.log_weight.total_cmp(&a.log_weight));
    let best = pairs.first().map_or(LogWeight::NEVER, |best| best.log_weight);
    let refined: Vec<Candidate> = pairs
        .iter()
        .take(shortlist.likelihood.engine.tables().belief.refined)
        .filter(|pair| shortlist.could_count(pair.log_weight, best))
        .flat_map(|pair| pairing.other_sizes(&pair.hypothesis))
        .collect();
    pairs.extend(refined);
    pairs
}

fn faults(pair: &Candidate) -> Option<[Sized; 2]> {
    match pair.hypothesis {
        Hypothesis::Double { first, second } => Some([first, second]),
        Hypothesis::Sound | Hypothesis::Faulty { .. } | Hypothesis::UndrawnPath { .. } => None,
    }
}
