//! Which pairs of faults may explain what no single one does: in a linear
//! circuit two faults move a reading by about as much as both do by themselves,
//! so that thousands of pairs are looked at for the price of a sum.

use super::super::candidate::Candidate;
use super::super::proposer::Proposer;
use super::super::shortlist::{Shortlist, sole};
use super::pairing::{Pairing, in_order};
use crate::fault::Fault;
use crate::odds::LogWeight;
use crate::predict::{Prediction, Sized};
use rustc_hash::FxHashMap;
use std::rc::Rc;

/// A single fault as far as the sum goes.
struct Term {
    fault: Sized,
    log_prior: LogWeight,
    /// How far it moves each reading from a sound one.
    moves: Vec<f64>,
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
    let likelihood = &shortlist.likelihood;
    let figures = &likelihood.engine.tables().belief;
    let readings: Vec<f64> = likelihood.evidence.all_readings().map(|reading| likelihood.value(reading)).collect();
    let term = |single: &&Candidate| -> Option<Term> {
        let joint = single.joint.as_ref()?;
        let moves =
            joint.predictions.iter().zip(&sound.predictions).map(|(shown, sound)| shown.mean - sound.mean).collect();
        Some(Term { fault: single.hypothesis.faults().next()?, log_prior: single.log_prior, moves })
    };
    let terms: Vec<Term> = shortlist.singles.iter().filter_map(term).collect();
    let off: Vec<f64> = readings.iter().zip(&sound.predictions).map(|(value, sound)| value - sound.mean).collect();
    let precise = |(value, shown): (&f64, &Rc<Prediction>)| {
        let rough = figures.superposed_rough[0] + figures.superposed_rough[1] * value.abs();
        1.0 / (shown.variance() + rough * rough)
    };
    let precision: Vec<f64> = readings.iter().zip(&sound.predictions).map(precise).collect();
    let mut best: FxHashMap<(Fault, Fault), (f64, [Sized; 2])> = FxHashMap::default();
    let mut most = f64::NEG_INFINITY;
    for leader in terms.iter().filter(|term| leaders.contains(&term.fault.0)) {
        for other in &terms {
            let prior = (leader.log_prior + other.log_prior).ln();
            if leader.fault.0 == other.fault.0 || prior < most - figures.superposed_kept {
                continue;
            }
            let missed = (0..off.len()).map(|reading| {
                let left = off[reading] - leader.moves[reading] - other.moves[reading];
                (0.5 * left * left * precision[reading]).min(figures.superposed_misread)
            });
            let score = prior - missed.sum::<f64>();
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
