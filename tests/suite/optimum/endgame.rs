//! Optimal decision tree: the best that any choice of tests could do once few
//! places are left, by dynamic programming over what is still possible.
//!
//! Each explanation foretells one outcome of each test; those with a gap between
//! them that a meter and what is known so far can tell are told apart, and
//! nothing is misread. The search ends, as the tool's does, when one place holds
//! enough belief or no test tells the rest apart. Garey 1972: the problem is exponential in
//! general, so there is a limit to the positions looked at.

use super::at_hand::TestsAtHand;
use super::bounds::{entropy, huffman_cost};
use super::choice::{Choice, Mask, all, members};
use super::search::{Goal, OptimalSearch, ShareSums};
use halfsplit::belief::{Belief, Engine, Explanation, Site};
use halfsplit::fault::Fault;
use halfsplit::network::SolveError;
use halfsplit::plan::Situation;
use std::collections::HashMap;

/// Format: explanations in all, the bits of a word.
const MOST: usize = 64;
/// Places from which on the rest is worked out; a bound of time.
const PLACES: usize = 14;
/// A place less likely than this is none; a bound of time.
const LEFT: f64 = 0.002;
/// Sizes of each fault; a bound of time.
const SIZES_EACH: f64 = 3.0;
/// Numerical: a sum that lacks no more than this of a share has it.
const ALL_BUT_ROUNDING: f64 = 0.999;
/// Numerical: what has no size has a logarithm all the same.
const LEAST_SIZE: f64 = 1e-9;

/// Where the true fault is told, what the best way takes to it; without, the
/// mean over what is possible.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Optimum {
    /// Fewest tests.
    pub tests: f64,
    /// Fewest minutes.
    pub minutes: f64,
    /// Tests that the way of fewest minutes takes.
    pub tests_of_quickest: f64,
}

/// The last stretch of a case, from where few places are left.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Endgame {
    /// Places left.
    pub places: usize,
    /// Entropy over places that some test tells apart, as tests of as many
    /// outcomes as any has.
    pub entropy_tests: f64,
    /// Mean length of their Huffman code of that many symbols.
    pub huffman_tests: Option<f64>,
    /// The bound on minutes by the cheapest tests.
    pub huffman_minutes: Option<f64>,
    /// The optimum; none where the search was given up.
    pub optimum: Option<Optimum>,
}

/// The best that can be done from here, for the fault that is there if that is
/// told; none if too many places are left, or nothing is left to do.
///
/// # Errors
/// [`SolveError`] if a state has no solution.
pub fn endgame(
    engine: &Engine,
    belief: &Belief,
    situation: &Situation<'_>,
    truth: Option<(Fault, f64)>,
) -> Result<Option<Endgame>, SolveError> {
    let left = belief.suspects.iter().filter(|suspect| suspect.probability > LEFT && suspect.site != Site::Undrawn);
    let places: Vec<Site> = left.map(|suspect| suspect.site).collect();
    let settled = belief.suspects.first().is_none_or(|first| first.probability >= engine.tables().plan.enough);
    if settled || places.len() < 2 || places.len() > PLACES {
        return Ok(None);
    }
    let kept = explanations(belief, &places);
    let at_hand = TestsAtHand { engine, belief, situation, kept: &kept, places: &places };
    let choices = at_hand.choices()?;
    let truth = truth.and_then(|truth| nearest(&kept, truth));
    Ok(Some(Endgame::of(&kept, &places, &choices, truth, engine.tables().plan.enough)))
}

/// Explanations of the places left, neighbouring sizes joined; shares add up to one.
fn explanations<'b>(belief: &'b Belief, places: &[Site]) -> Vec<(&'b Explanation, f64)> {
    let mut groups: HashMap<(Site, Option<Fault>), Vec<&Explanation>> = HashMap::new();
    for explanation in belief.explanations.iter().filter(|explanation| places.contains(&explanation.site)) {
        groups.entry((explanation.site, fault(explanation))).or_default().push(explanation);
    }
    let mut kept: Vec<(&Explanation, f64)> = Vec::new();
    for group in groups.values_mut() {
        group.sort_by(|a, b| size(a).total_cmp(&size(b)));
        let total: f64 = group.iter().map(|explanation| explanation.probability).sum();
        let (mut start, mut share) = (0, 0.0);
        for end in 0..group.len() {
            share += group[end].probability;
            if share >= total / SIZES_EACH * ALL_BUT_ROUNDING || end + 1 == group.len() {
                let heaviest = group[start..=end].iter().max_by(|a, b| a.probability.total_cmp(&b.probability));
                kept.extend(heaviest.map(|explanation| (*explanation, share)));
                (start, share) = (end + 1, 0.0);
            }
        }
    }
    let name = |explanation: &Explanation| (explanation.site, fault(explanation), size(explanation).to_bits());
    kept.sort_by(|a, b| b.1.total_cmp(&a.1).then_with(|| name(a.0).cmp(&name(b.0))));
    kept.truncate(MOST);
    let total: f64 = kept.iter().map(|(_, share)| share).sum();
    kept.iter_mut().for_each(|(_, share)| *share /= total);
    kept
}

fn fault(explanation: &Explanation) -> Option<Fault> {
    explanation.hypothesis.faults().next().map(|(fault, _)| fault)
}

fn size(explanation: &Explanation) -> f64 {
    explanation.hypothesis.faults().find_map(|(_, size)| size).map_or(0.0, |size| size.value)
}

/// The explanation that comes nearest to a fault of a size.
fn nearest(kept: &[(&Explanation, f64)], (truth, true_size): (Fault, f64)) -> Option<usize> {
    let off = |index: usize| (size(kept[index].0).max(LEAST_SIZE).ln() - true_size.max(LEAST_SIZE).ln()).abs();
    let of_it = (0..kept.len()).filter(|&index| fault(kept[index].0) == Some(truth));
    of_it.min_by(|&a, &b| off(a).total_cmp(&off(b)))
}

impl Endgame {
    fn of(
        kept: &[(&Explanation, f64)],
        places: &[Site],
        choices: &[Choice],
        truth: Option<usize>,
        enough: f64,
    ) -> Self {
        let shares: Vec<f64> = kept.iter().map(|(_, share)| *share).collect();
        let every = all(kept.len());
        let of_place: Vec<Mask> = places
            .iter()
            .map(|site| mask(kept, |explanation| explanation.site == *site))
            .filter(|mask| *mask != 0)
            .collect();
        let apart_from = |index: usize| {
            let groups = choices.iter().flat_map(|choice| &choice.groups);
            groups.filter(|&&group| group & (1 << index) != 0).fold(0, |apart, group| apart | !group) & every
        };
        let apart: Vec<Mask> = (0..kept.len()).map(apart_from).collect();
        let outcomes = choices.iter().map(|choice| choice.groups.len()).max().unwrap_or(2);
        let classes = classes(&shares, &of_place, &apart);
        let minutes: Vec<f64> = choices.iter().map(|choice| choice.minutes).collect();
        let sums = ShareSums::new(&shares);
        let least = |goal: Goal| {
            let mut search = OptimalSearch::new(choices, &sums, &of_place, &apart, goal, enough);
            search.cost(every)?;
            let truths = (0..kept.len()).filter(|&index| truth.is_none_or(|truth| truth == index));
            let ways = truths.map(|index| (truth.map_or(shares[index], |_| 1.0), search.way_to(every, index)));
            Some(ways.fold((0.0, 0.0), |sum, (share, way)| (sum.0 + share * way.0, sum.1 + share * way.1)))
        };
        let optimum = least(Goal::Tests).zip(least(Goal::Minutes));
        let optimum =
            optimum.map(|((tests, _), (minutes, tests_of_quickest))| Optimum { tests, minutes, tests_of_quickest });
        Self {
            places: places.len(),
            entropy_tests: entropy(&classes) / (outcomes as f64).log2(),
            huffman_tests: huffman_cost(&classes, outcomes, &vec![1.0; choices.len()]),
            huffman_minutes: huffman_cost(&classes, outcomes, &minutes),
            optimum,
        }
    }
}

fn mask(kept: &[(&Explanation, f64)], holds: impl Fn(&Explanation) -> bool) -> Mask {
    kept.iter()
        .enumerate()
        .filter(|(_, (explanation, _))| holds(explanation))
        .fold(0, |mask, (index, _)| mask | 1 << index)
}

/// ShareSums of what tests can tell apart: places joined where nothing does.
fn classes(shares: &[f64], places: &[Mask], apart: &[Mask]) -> Vec<f64> {
    let every = all(shares.len());
    let place_of = |index: usize| places.iter().find(|place| *place & (1 << index) != 0).copied().unwrap_or(0);
    let mut left = every;
    let mut classes = Vec::new();
    while left != 0 {
        let mut class = 1 << left.trailing_zeros();
        loop {
            let wider = members(class).fold(class, |wide, index| wide | place_of(index) | (!apart[index] & every));
            if wider == class {
                break;
            }
            class = wider;
        }
        left &= !class;
        classes.push(members(class).map(|index| shares[index]).sum());
    }
    classes
}
