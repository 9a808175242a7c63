//! What each outcome of a test would mean, before it is taken.

use super::value::Live;
use crate::belief::{Sign, Site};
use crate::odds::Probability;
use crate::predict::Scale;
use crate::tables::plan::Planning;

/// Layout: outcomes told apart, at most.
const MOST: usize = 4;
/// Layout: sites named for an outcome, at most.
const MOST_SITES: usize = 4;
/// Layout: how far an outcome reaches beyond what its outermost explanation foretells:
/// V, A, or a third of a resistance.
const WIDEST_EDGE: f64 = 0.3;
/// Layout: an outcome less likely than this is not told.
const LEAST: f64 = 0.02;

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

/// Groups explanations by what they foretell: below, in and above the band of
/// a sound vehicle, and outside it by gaps. Numbers of explanations, lowest
/// outcome first.
fn groups(figures: &Planning, live: &[Live<'_>], forecasts: &[(f64, f64)], sound: Range) -> Vec<Vec<usize>> {
    let band = |mean: f64| match mean {
        mean if mean < sound.low => 0,
        mean if mean > sound.high => 2,
        _ => 1,
    };
    let mut order: Vec<usize> = (0..live.len()).filter(|&index| live[index].share > figures.shown_from).collect();
    order.sort_by(|&a, &b| forecasts[a].0.total_cmp(&forecasts[b].0));
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for index in order {
        let (mean, deviation) = forecasts[index];
        let joins = groups.last().and_then(|group| group.last()).is_some_and(|&before: &usize| {
            let (last, spread) = forecasts[before];
            band(mean) == band(last) && mean - last < figures.outcome_gap * deviation.max(spread)
        });
        match groups.last_mut() {
            Some(group) if joins => group.push(index),
            _ => groups.push(vec![index]),
        }
    }
    groups.dedup_by(|upper, lower| {
        let same = sole_site(figures, live, lower).is_some()
            && sole_site(figures, live, lower) == sole_site(figures, live, upper);
        if same {
            lower.append(upper);
        }
        same
    });
    while groups.len() > MOST {
        merge_lightest(&mut groups, live, forecasts);
    }
    groups
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
    let groups = groups(figures, live, forecasts, sound);
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

/// Merges the least likely group into its nearer neighbour.
fn merge_lightest(groups: &mut Vec<Vec<usize>>, live: &[Live<'_>], forecasts: &[(f64, f64)]) {
    let weight = |group: &Vec<usize>| group.iter().map(|&index| live[index].share).sum::<f64>();
    let lightest = (0..groups.len()).min_by(|&a, &b| weight(&groups[a]).total_cmp(&weight(&groups[b])));
    let Some(lightest) = lightest else { return };
    let gap = |upper: usize| {
        let last = groups[upper - 1].last().map_or(0.0, |&index| forecasts[index].0);
        groups[upper].first().map_or(0.0, |&index| forecasts[index].0) - last
    };
    let below = if lightest > 0 { gap(lightest) } else { f64::INFINITY };
    let above = if lightest + 1 < groups.len() { gap(lightest + 1) } else { f64::INFINITY };
    let upper = if below <= above { lightest } else { lightest + 1 };
    let moved = groups.remove(upper);
    groups[upper - 1].extend(moved);
}

fn likely_first(mut outcomes: Vec<Outcome>) -> Vec<Outcome> {
    outcomes.retain(|outcome| outcome.probability > LEAST);
    outcomes.sort_by(|a, b| b.probability.total_cmp(&a.probability));
    outcomes
}
