//! What each outcome of a test would mean, before it is taken.

use super::value::{Live, plogp};
use crate::belief::{Sign, Site};
use crate::odds::Probability;
use crate::predict::Scale;
use crate::tables::plan::Planning;

/// Layout: outcomes told apart, at most.
const MOST: usize = 3;
/// Layout: sites named for an outcome, at most.
const MOST_SITES: usize = 4;
/// Layout: how far an outcome reaches beyond what its outermost explanation foretells:
/// V, A, or a third of a resistance.
const WIDEST_EDGE: f64 = 0.3;
/// Layout: an outcome less likely than this is not told.
const LEAST: f64 = 0.02;
/// Layout: V; a meter without contact shows less.
const NO_CONTACT: f64 = 0.05;

/// Numerical: shares are ranked to this part of one, see [`outcome`].
const RANKS: f64 = 1e4;
/// Numerical: an outcome that is next to impossible points somewhere all the same.
const LEAST_PROBABILITY: f64 = 1e-12;

/// From one value to another of a scale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    /// The scale.
    pub scale: Scale,
    /// Lowest.
    pub low: f64,
    /// Highest.
    pub high: f64,
}

impl Range {
    /// Whether a meter without contact would show this too.
    pub fn shows_nothing(self) -> bool {
        self.scale == Scale::Volts && self.low < NO_CONTACT && self.high > -NO_CONTACT
    }
}

/// What would be seen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum OutcomeSeen {
    /// A reading in a range.
    Reads(Range),
    /// A sign.
    Sign(Sign),
    /// The answer at that position of a question.
    Answer(usize),
}

/// One outcome of a test.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    /// What would be seen.
    pub seen: OutcomeSeen,
    /// How likely it is.
    pub probability: Probability,
    /// Where it would point, likeliest first, with probability given it.
    pub points_to: Vec<(Site, f64)>,
}

impl Outcome {
    /// What would be read, if it is a reading.
    pub fn range(&self) -> Option<Range> {
        match self.seen {
            OutcomeSeen::Reads(range) => Some(range),
            OutcomeSeen::Sign(_) | OutcomeSeen::Answer(_) => None,
        }
    }
}

/// Groups explanations by what they foretell, cut where that tells most of where
/// the fault is and few foretell a value too close to the cut. Numbers of
/// explanations, lowest outcome first.
fn groups(figures: &Planning, live: &[Live<'_>], forecasts: &[(f64, f64)]) -> Vec<Vec<usize>> {
    let mut order: Vec<usize> = (0..live.len()).filter(|&index| live[index].share > figures.shown_from).collect();
    order.sort_by(|&a, &b| forecasts[a].0.total_cmp(&forecasts[b].0));
    let mut groups = vec![order];
    while groups.len() < MOST {
        let best = |group: &Vec<usize>| best_cut(figures, live, forecasts, group);
        let cuts = groups.iter().enumerate().filter_map(|(at, group)| best(group).map(|cut| (at, cut)));
        let Some((at, cut)) = cuts.max_by(|a, b| a.1.bits.total_cmp(&b.1.bits)) else { break };
        let upper = groups[at].split_off(cut.from);
        groups.insert(at + 1, upper);
    }
    groups.dedup_by(|upper, lower| {
        let same = sole_site(figures, live, lower).is_some()
            && sole_site(figures, live, lower) == sole_site(figures, live, upper);
        if same {
            lower.append(upper);
        }
        same
    });
    groups
}

/// Where to cut a group, and what that tells of where the fault is.
#[derive(Clone, Copy)]
struct Cut {
    /// The first that lies above it.
    from: usize,
    bits: f64,
}

/// The cut that tells most of those that few explanations lie too close to.
fn best_cut(figures: &Planning, live: &[Live<'_>], forecasts: &[(f64, f64)], group: &[usize]) -> Option<Cut> {
    let share = |at: usize| live[group[at]].share;
    let total: f64 = group.iter().map(|&index| live[index].share).sum();
    let span = forecasts[*group.last()?].0 - forecasts[*group.first()?].0;
    let limits: Vec<f64> = group.windows(2).map(|pair| 0.5 * (forecasts[pair[0]].0 + forecasts[pair[1]].0)).collect();
    // What lies too close to each limit, by what comes and goes from one to the next.
    let mut unclear = vec![0.0; limits.len() + 1];
    for &index in group {
        let (mean, deviation) = forecasts[index];
        let reach = (figures.apart * deviation).max(figures.round * span);
        unclear[limits.partition_point(|&limit| limit < mean - reach)] += live[index].share;
        unclear[limits.partition_point(|&limit| limit <= mean + reach)] -= live[index].share;
    }
    let classes = group.iter().map(|&index| live[index].class + 1).max()?;
    let (mut lower, mut upper) = (vec![0.0; classes], vec![0.0; classes]);
    group.iter().for_each(|&index| upper[live[index].class] += live[index].share);
    let (mut below, mut near, mut of_lower) = (0.0, 0.0, 0.0);
    let mut of_upper: f64 = upper.iter().copied().map(plogp).sum();
    let whole = of_upper - plogp(total);
    let mut best: Option<Cut> = None;
    for at in 0..limits.len() {
        let class = live[group[at]].class;
        of_lower += plogp(lower[class] + share(at)) - plogp(lower[class]);
        of_upper += plogp((upper[class] - share(at)).max(0.0)) - plogp(upper[class]);
        lower[class] += share(at);
        upper[class] = (upper[class] - share(at)).max(0.0);
        below += share(at);
        near += unclear[at];
        let above = (total - below).max(0.0);
        let bits = (of_lower - plogp(below) + of_upper - plogp(above)) - whole;
        let is_clear = near < figures.unclear * below.min(above);
        if is_clear && bits > figures.worth_a_cut && best.is_none_or(|best| bits > best.bits) {
            best = Some(Cut { from: at + 1, bits });
        }
    }
    best
}

/// The site that a group all but proves, if there is one.
fn sole_site(figures: &Planning, live: &[Live<'_>], group: &[usize]) -> Option<usize> {
    let total: f64 = group.iter().map(|&index| live[index].share).sum();
    let heaviest = group.iter().max_by(|&&a, &&b| live[a].share.total_cmp(&live[b].share))?;
    let class = live[*heaviest].class;
    let share: f64 = group.iter().filter(|&&index| live[index].class == class).map(|&index| live[index].share).sum();
    (share > figures.proves * total).then_some(class)
}

/// The outcomes of a measurement.
pub fn of_measurement(
    figures: &Planning,
    live: &[Live<'_>],
    sites: &[Site],
    forecasts: &[(f64, f64)],
    sound: Range,
) -> Vec<Outcome> {
    let groups = groups(figures, live, forecasts);
    let mean = |index: Option<&usize>| index.map_or(0.0, |&index| forecasts[index].0);
    // Where neighbours overlap, the line is drawn half-way between them.
    let border = |upper: usize| 0.5 * (mean(groups[upper - 1].last()) + mean(groups[upper].first()));
    let outcomes = groups.iter().enumerate().map(|(number, group)| {
        // A stretch of sizes is wide, but its neighbours fill the range anyway.
        let reach = |index: usize| (2.0 * forecasts[index].1).min(WIDEST_EDGE);
        let ends = |sign: f64| group.iter().map(move |&index| forecasts[index].0 + sign * reach(index));
        let mut low = ends(-1.0).fold(f64::INFINITY, f64::min);
        let mut high = ends(1.0).fold(f64::NEG_INFINITY, f64::max);
        if number > 0 {
            low = low.max(border(number));
        }
        if number + 1 < groups.len() {
            high = high.min(border(number + 1));
        }
        let weights = group.iter().map(|&index| (live[index].class, live[index].share));
        outcome(figures, OutcomeSeen::Reads(Range { scale: sound.scale, low, high }), sites, weights)
    });
    likely_first(outcomes.collect())
}

/// The outcomes of a look or the like; `chances` has a row for each explanation
/// and a column for each sign.
pub fn of_signs(
    figures: &Planning,
    live: &[Live<'_>],
    sites: &[Site],
    signs: &[Sign],
    chances: &[Vec<f64>],
) -> Vec<Outcome> {
    of_several(figures, live, sites, signs.iter().map(|&sign| OutcomeSeen::Sign(sign)), chances)
}

/// The outcomes of whatever has a few; `chances` has a column for each.
pub fn of_several(
    figures: &Planning,
    live: &[Live<'_>],
    sites: &[Site],
    outcomes: impl Iterator<Item = OutcomeSeen>,
    chances: &[Vec<f64>],
) -> Vec<Outcome> {
    let outcomes = outcomes.enumerate().map(|(column, seen)| {
        let weights = live.iter().zip(chances).map(|(live, chances)| (live.class, live.share * chances[column]));
        outcome(figures, seen, sites, weights)
    });
    likely_first(outcomes.collect())
}

fn outcome(
    figures: &Planning,
    seen: OutcomeSeen,
    sites: &[Site],
    weights: impl Iterator<Item = (usize, f64)>,
) -> Outcome {
    let mut by_site = vec![0.0; sites.len()];
    weights.for_each(|(class, weight)| by_site[class] += weight);
    let probability: f64 = by_site.iter().sum();
    let mut points_to: Vec<(Site, f64)> =
        sites.iter().zip(by_site).map(|(&site, weight)| (site, weight / probability.max(LEAST_PROBABILITY))).collect();
    // Rounded, so that twins stand in drawing order on every machine.
    let rank = |weight: f64| (weight * RANKS).round() as i64;
    points_to.sort_by(|a, b| rank(b.1).cmp(&rank(a.1)).then(a.0.cmp(&b.0)));
    points_to.retain(|(_, weight)| *weight > figures.points_to);
    points_to.truncate(MOST_SITES);
    Outcome { seen, probability: Probability::of(probability), points_to }
}

fn likely_first(mut outcomes: Vec<Outcome>) -> Vec<Outcome> {
    outcomes.retain(|outcome| outcome.probability > LEAST);
    outcomes.sort_by(|a, b| b.probability.total_cmp(&a.probability));
    outcomes
}
