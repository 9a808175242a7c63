//! Sizes of one fault do more and more of the same: what lies between two that
//! do alike does so too, and need not be solved.

use super::value::Live;
use crate::fault::Fault;
use crate::predict::Hypothesis;
use rustc_hash::FxHashMap;

/// Numerical: chances that are as good as the same.
const ALIKE: f64 = 0.002;

/// The chances of some outcomes under each explanation; `under` works them out.
pub fn chances(live: &[Live<'_>], under: impl Fn(&Hypothesis) -> Vec<f64>) -> Vec<Vec<f64>> {
    let mut ladders: FxHashMap<Fault, Vec<(f64, usize)>> = FxHashMap::default();
    let mut known: Vec<Vec<f64>> = vec![Vec::new(); live.len()];
    for (index, live) in live.iter().enumerate() {
        match live.explanation.hypothesis {
            Hypothesis::Faulty { fault, size: Some(size) } => {
                ladders.entry(fault).or_default().push((size.value, index));
            }
            hypothesis => known[index] = under(&hypothesis),
        }
    }
    for ladder in ladders.values_mut() {
        ladder.sort_by(|a, b| a.0.total_cmp(&b.0));
        let rungs: Vec<usize> = ladder.iter().map(|(_, index)| *index).collect();
        // The middle too: the hardest may open a fuse and then do no more than
        // the mildest.
        let marks = [0, rungs.len() / 2, rungs.len() - 1];
        let of = |index: usize| under(&live[index].explanation.hypothesis);
        marks.iter().map(|&mark| rungs[mark]).for_each(|rung| known[rung] = of(rung));
        fill(&rungs[..=marks[1]], &mut known, &of);
        fill(&rungs[marks[1]..], &mut known, &of);
    }
    known
}

/// Fills in what lies between the first and the last, which are known.
fn fill(rungs: &[usize], known: &mut [Vec<f64>], under: &impl Fn(usize) -> Vec<f64>) {
    let (&[low, .., high], true) = (rungs, rungs.len() > 2) else { return };
    let last = (rungs.len() - 1) as f64;
    if known[low].iter().zip(&known[high]).all(|(a, b)| (a - b).abs() < ALIKE) {
        for (at, &rung) in rungs.iter().enumerate().take(rungs.len() - 1).skip(1) {
            let up = at as f64 / last;
            known[rung] = known[low].iter().zip(&known[high]).map(|(a, b)| a + up * (b - a)).collect();
        }
        return;
    }
    let middle = rungs.len() / 2;
    known[rungs[middle]] = under(rungs[middle]);
    fill(&rungs[..=middle], known, under);
    fill(&rungs[middle..], known, under);
}
