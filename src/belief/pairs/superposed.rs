//! Which pairs of faults may explain what no single one does: in a linear
//! circuit two faults move a reading by about as much as both do by themselves,
//! so that thousands of pairs are looked at for the price of a sum.

use super::super::candidate::Candidate;
use super::super::gaussian::Joint;
use super::super::proposer::Proposer;
use super::super::shortlist::{Shortlist, sole};
use super::pairing::{Pairing, in_order};
use crate::fault::Fault;
use crate::odds::LogWeight;
use crate::predict::Sized;
use rustc_hash::FxHashMap;
use std::rc::Rc;

/// A single fault as far as the sum goes.
struct Term {
    fault: Sized,
    log_prior: LogWeight,
    /// Which of the moves are its own.
    shows: usize,
}

/// How far singles move each reading from a sound one: those that show the same
/// once.
type Moves = Vec<Vec<f64>>;

/// How badly two together miss the readings, as far as anybody asked.
#[derive(Clone, Copy, Default)]
struct Missed {
    readings: usize,
    sum: f64,
}

/// Proposes them. With other sizes than the leaders' own, one of theirs is
/// another hypothesis.
pub(super) struct SuperposedPairs<'p, 'a>(pub &'p Pairing<'p, 'a>);

impl Proposer for SuperposedPairs<'_, '_> {
    fn batches(&self) -> impl Iterator<Item = Vec<Candidate>> {
        let shortlist = self.0.shortlist;
        let leaders: Vec<Fault> = shortlist.leaders.iter().filter_map(|leader| sole(leader)).map(|one| one.0).collect();
        let pairs = superposed_pairs(shortlist, &leaders).into_iter();
        let apart = pairs.filter(|[first, second]| !self.0.overlap(first.0, second.0));
        std::iter::once(apart.map(|[first, second]| self.0.weighed(first, second)).collect())
    }
}

/// Pairs worth weighing, each once.
fn superposed_pairs(shortlist: &Shortlist<'_>, leaders: &[Fault]) -> Vec<[Sized; 2]> {
    let Some(sound) = shortlist.sound.and_then(|sound| sound.joint.as_ref()) else { return Vec::new() };
    let figures = &shortlist.likelihood.engine.tables().belief;
    let (terms, moves) = terms(shortlist, sound);
    let precise = |&reading: &usize| {
        let (value, shown) = (shortlist.likelihood.readings.taken[reading].value, &sound.predictions[reading]);
        let rough = figures.superposed_rough[0] + figures.superposed_rough[1] * value.abs();
        (value - shown.mean, 1.0 / (shown.variance() + rough * rough))
    };
    let off: Vec<(f64, f64)> = shortlist.telling.iter().map(precise).collect();
    let mut best: FxHashMap<(Fault, Fault), (f64, [Sized; 2])> = FxHashMap::default();
    let mut most = f64::NEG_INFINITY;
    let mut known: FxHashMap<usize, Vec<Missed>> = FxHashMap::default();
    for leader in terms.iter().filter(|term| leaders.contains(&term.fault.0)) {
        let known = known.entry(leader.shows).or_insert_with(|| vec![Missed::default(); moves.len()]);
        for other in &terms {
            let prior = (leader.log_prior + other.log_prior).ln();
            if leader.fault.0 == other.fault.0 || prior < most - figures.superposed_kept {
                continue;
            }
            // What is missed only grows: no further than where the pair is out.
            let missed = &mut known[other.shows];
            let moved = moves[leader.shows].iter().zip(&moves[other.shows]);
            for (&(off, precision), (mine, others)) in off.iter().zip(moved).skip(missed.readings) {
                if prior - missed.sum < most - figures.superposed_kept {
                    break;
                }
                let left = off - mine - others;
                missed.sum += (0.5 * left * left * precision).min(figures.superposed_misread);
                missed.readings += 1;
            }
            let score = prior - missed.sum;
            if score < most - figures.superposed_kept {
                continue;
            }
            most = most.max(score);
            let pair = in_order(leader.fault, other.fault);
            let known = best.entry((pair[0].0, pair[1].0)).or_insert((score, pair));
            if score > known.0 {
                *known = (score, pair);
            }
        }
    }
    let mut pairs: Vec<(f64, [Sized; 2])> = best.into_values().collect();
    pairs.sort_by(|a, b| b.0.total_cmp(&a.0).then((a.1[0].0, a.1[1].0).cmp(&(b.1[0].0, b.1[1].0))));
    pairs.into_iter().take(figures.superposed_pairs).map(|(_, pair)| pair).collect()
}

/// The singles, and what they move.
fn terms(shortlist: &Shortlist<'_>, sound: &Joint) -> (Vec<Term>, Moves) {
    let (mut numbers, mut moves) = (FxHashMap::<*const Joint, usize>::default(), Moves::new());
    let term = |single: &&Candidate| -> Option<Term> {
        let joint = single.joint.as_ref()?;
        let shows = *numbers.entry(Rc::as_ptr(joint)).or_insert_with(|| {
            let moved = |&reading: &usize| joint.alone[reading].mean - sound.alone[reading].mean;
            moves.push(shortlist.telling.iter().map(moved).collect());
            moves.len() - 1
        });
        Some(Term { fault: single.hypothesis.faults().next()?, log_prior: single.log_prior, shows })
    };
    let terms = shortlist.singles.iter().filter_map(term).collect();
    (terms, moves)
}
