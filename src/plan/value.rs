//! How much a test tells about where the fault sits.

use crate::belief::{Belief, Explanation, Site, normal_below};
use crate::fault::Fault;
use crate::predict::Hypothesis;
use crate::tables::plan::Planning;
use crate::vehicle::PointId;

/// Numerical: explanations considered while planning, at most.
const MOST: usize = 400;
/// Numerical: share of belief that the unlikeliest of them may have together and are still
/// left out: it tells about a hundredth of a bit at most.
const NEGLIGIBLE: f64 = 5e-4;
/// Numerical: bins that an outcome is cut into.
const BINS: usize = 40;

/// Numerical: deviations beyond which nothing of a normal distribution is left.
const TAILS: f64 = 5.0;
/// Numerical: deviations at which a quarter of a normal outcome stands each, to
/// cut bins where there is weight.
const QUARTERS: [f64; 4] = [-1.5, -0.5, 0.5, 1.5];

/// An explanation as the planner uses it.
pub struct Live<'a> {
    /// The explanation.
    pub explanation: &'a Explanation,
    /// Its share; shares add up to one.
    pub share: f64,
    /// Number of its site.
    pub class: usize,
}

/// The explanations worth considering, thinned: neighbouring sizes of one
/// fault stand for each other.
pub fn live<'b>(figures: &Planning, belief: &'b Belief) -> (Vec<Live<'b>>, Vec<Site>) {
    // A drawing that is wrong somehow predicts nothing, so no test can be chosen for it.
    let foretells =
        |explanation: &&Explanation| explanation.site != Site::Undrawn || explanation.hypothesis != Hypothesis::Sound;
    let candidates: Vec<&Explanation> = belief
        .explanations
        .iter()
        .filter(|explanation| explanation.probability > figures.weighed_from)
        .filter(foretells)
        .collect();
    let stride = candidates.len().div_ceil(MOST).max(1);
    let mut by_fault: Vec<&Explanation> = candidates;
    by_fault.sort_by(|a, b| key(a).cmp(&key(b)).then(size(a).total_cmp(&size(b))));
    let mut chosen: Vec<(&Explanation, f64)> = Vec::new();
    let mut sites: Vec<Site> = Vec::new();
    let mut index = 0;
    while index < by_fault.len() {
        let same = by_fault[index..]
            .iter()
            .take(stride)
            .take_while(|explanation| key(explanation) == key(by_fault[index]))
            .count();
        let group = &by_fault[index..index + same];
        let share = group.iter().map(|explanation| explanation.probability).sum();
        let heaviest = group.iter().max_by(|a, b| a.probability.total_cmp(&b.probability));
        chosen.extend(heaviest.map(|explanation| (*explanation, share)));
        index += same;
    }
    chosen.sort_by(|a, b| b.1.total_cmp(&a.1));
    chosen.truncate(MOST);
    chosen.truncate(counting(&chosen));
    let total: f64 = chosen.iter().map(|(_, share)| share).sum();
    let live = chosen
        .into_iter()
        .map(|(explanation, share)| {
            let class = sites.iter().position(|site| *site == explanation.site).unwrap_or_else(|| {
                sites.push(explanation.site);
                sites.len() - 1
            });
            Live { explanation, share: share / total, class }
        })
        .collect();
    (live, sites)
}

/// How many of them, likeliest first, make up all that counts.
fn counting(chosen: &[(&Explanation, f64)]) -> usize {
    let mut left = chosen.iter().map(|(_, share)| share).sum::<f64>() * NEGLIGIBLE;
    let negligible = chosen.iter().rev().take_while(|(_, share)| {
        left -= share;
        left > 0.0
    });
    chosen.len() - negligible.count()
}

type Key = (Site, Option<Fault>, Option<Fault>, Option<(PointId, PointId)>);

fn key(explanation: &Explanation) -> Key {
    let mut faults = explanation.hypothesis.faults().map(|(fault, _)| fault);
    let tie = match explanation.hypothesis {
        Hypothesis::UndrawnPath { from, to, .. } => Some((from, to)),
        _ => None,
    };
    (explanation.site, faults.next(), faults.next(), tie)
}

fn size(explanation: &Explanation) -> f64 {
    explanation.hypothesis.faults().find_map(|(_, size)| size).map_or(0.0, |size| size.value)
}

/// The outcome of a test in rough: each explanation's mean falls whole into a
/// bin of some deviations.
pub struct RoughPartition {
    /// Bin, class and number of each explanation, in one number, sorted.
    cells: Vec<u64>,
}

impl RoughPartition {
    /// From what each explanation foretells.
    pub fn new(live: &[Live<'_>], means: &[f64], width: f64) -> Self {
        let cell = |(index, (live, mean)): (usize, (&Live<'_>, &f64))| {
            // In the order of the numbers, negative ones first.
            let bin = ((mean / width).round() as i32).cast_unsigned() ^ (1 << 31);
            (u64::from(bin) << 32) | ((live.class as u64) << 16) | index as u64
        };
        let mut cells: Vec<u64> = live.iter().zip(means).enumerate().map(cell).collect();
        cells.sort_unstable();
        Self { cells }
    }

    /// Information in bits when the explanations have these shares.
    pub fn bits(&self, shares: &[f64], site_entropy: f64) -> f64 {
        let mut bits = site_entropy;
        let (mut in_bin, mut in_class) = (0.0, 0.0);
        for (position, &cell) in self.cells.iter().enumerate() {
            in_class += shares[(cell & 0xFFFF) as usize];
            let next = self.cells.get(position + 1);
            if next.is_none_or(|next| next >> 16 != cell >> 16) {
                bits += plogp(in_class);
                in_bin += in_class;
                in_class = 0.0;
            }
            if next.is_none_or(|next| next >> 32 != cell >> 32) {
                bits -= plogp(in_bin);
                in_bin = 0.0;
            }
        }
        bits.max(0.0)
    }
}

/// Entropy over sites in bits when the explanations have these shares.
pub fn site_entropy(live: &[Live<'_>], shares: &[f64], classes: usize) -> f64 {
    let mut totals = vec![0.0; classes];
    live.iter().zip(shares).for_each(|(live, share)| totals[live.class] += share);
    -totals.into_iter().map(plogp).sum::<f64>()
}

/// What is read, with that chance, whatever the explanation: where a tip makes no
/// contact. Mean and deviation are those of a meter that is on nothing.
#[derive(Debug, Clone, Copy)]
pub struct Blank {
    pub chance: f64,
    pub deviation: f64,
}

/// Mutual information in bits between site and outcome, each explanation
/// foretelling a normal outcome (mean, deviation), or nothing at all.
pub fn exact_bits(live: &[Live<'_>], forecasts: &[(f64, f64)], blank: Option<Blank>, classes: usize) -> f64 {
    let edges = edges(live, forecasts);
    let bins = edges.len() + 1;
    let mut mass = vec![0.0; bins * classes];
    let nothing = blank.map(|blank| (spread_over(&edges, (0.0, blank.deviation)), blank.chance));
    for (live, &forecast) in live.iter().zip(forecasts) {
        let row = &mut mass[live.class * bins..(live.class + 1) * bins];
        let chance = nothing.as_ref().map_or(0.0, |(_, chance)| *chance);
        for (bin, part) in spread_over(&edges, forecast) {
            row[bin] += live.share * (1.0 - chance) * part;
        }
        for &(bin, part) in nothing.iter().flat_map(|(parts, _)| parts) {
            row[bin] += live.share * chance * part;
        }
    }
    let mut per_bin = vec![0.0; bins];
    let mut bits = 0.0;
    for class in mass.chunks(bins) {
        bits -= plogp(class.iter().sum());
        for (total, part) in per_bin.iter_mut().zip(class) {
            *total += part;
            bits += plogp(*part);
        }
    }
    bits -= per_bin.iter().map(|&total| plogp(total)).sum::<f64>();
    bits.max(0.0)
}

/// What a normal outcome puts into the bins between these edges.
fn spread_over(edges: &[f64], (mean, deviation): (f64, f64)) -> Vec<(usize, f64)> {
    let first = edges.partition_point(|&edge| edge < mean - TAILS * deviation);
    let mut parts = Vec::new();
    let mut below = 0.0;
    for bin in first..=edges.len() {
        let up_to = match edges.get(bin) {
            Some(&edge) if edge < mean + TAILS * deviation => normal_below((edge - mean) / deviation),
            _ => 1.0,
        };
        parts.push((bin, up_to - below));
        below = up_to;
        if up_to >= 1.0 {
            break;
        }
    }
    parts
}

/// Mutual information for a few named outcomes; `chances[i]` are those of
/// explanation i.
pub fn discrete_bits(live: &[Live<'_>], chances: &[Vec<f64>], classes: usize) -> f64 {
    let outcomes = chances.first().map_or(1, Vec::len);
    let mut mass = vec![0.0; outcomes * classes];
    for (live, chances) in live.iter().zip(chances) {
        for (outcome, chance) in chances.iter().enumerate() {
            mass[live.class * outcomes + outcome] += live.share * chance;
        }
    }
    let mut per_outcome = vec![0.0; outcomes];
    let mut bits = 0.0;
    for class in mass.chunks(outcomes) {
        bits -= plogp(class.iter().sum());
        for (total, part) in per_outcome.iter_mut().zip(class) {
            *total += part;
            bits += plogp(*part);
        }
    }
    (bits - per_outcome.iter().map(|&total| plogp(total)).sum::<f64>()).max(0.0)
}

/// Cuts between outcomes, close where there is weight.
fn edges(live: &[Live<'_>], forecasts: &[(f64, f64)]) -> Vec<f64> {
    let mut marks: Vec<(f64, f64)> = live
        .iter()
        .zip(forecasts)
        .flat_map(|(live, &(mean, deviation))| {
            QUARTERS.map(|step| (mean + step * deviation, live.share / QUARTERS.len() as f64))
        })
        .collect();
    marks.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut edges: Vec<f64> = Vec::with_capacity(BINS);
    let mut since = 0.0;
    for (value, share) in marks {
        since += share;
        if since >= 1.0 / BINS as f64 {
            edges.push(value);
            since = 0.0;
        }
    }
    edges.dedup();
    edges
}

/// p·log2 p, 0 at 0.
pub fn plogp(p: f64) -> f64 {
    if p > 0.0 { p * p.log2() } else { 0.0 }
}
