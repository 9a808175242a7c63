//! Two faults at once: brought in only where no single fault explains all that
//! is known. Of the thousands squared, only pairs are tried in which each part
//! explains something that the other does not.

use super::Site;
use super::answers::Hearing;
use super::evidence::Evidence;
use super::gaussian::log_normal;
use super::phone::as_told;
use super::weigh::{Engine, Entrant, Models};
use crate::fault::{Fault, Size, sizes};
use crate::predict::{Hypothesis, Phase, Sized, Theta};
use std::collections::HashSet;

/// Share of complaints with two faults behind them; common practice, no source.
const SHARE: f64 = 0.02;
/// Single faults that pairs are made from on the one side.
const LEADERS: usize = 14;
/// Those taken for each thing that a leader may leave unexplained.
const FOLLOWERS: usize = 5;
/// Pairs whose sizes are searched.
const REFINED: usize = 12;
/// ln of how unlikely the best single fault must make what it explains worst.
const UNEXPLAINED: f64 = -1.6;

/// Pairs of faults worth weighing, beside the singles already weighed.
pub(super) fn pairs(
    engine: &Engine,
    evidence: &Evidence,
    models: &Models<'_>,
    theta: &Theta,
    hearing: &Hearing<'_>,
    singles: &[Entrant],
) -> Vec<Entrant> {
    let desk = Desk {
        engine,
        evidence,
        models,
        theta,
        hearing,
        total: singles.iter().map(|single| single.log_prior.exp()).sum(),
    };
    let placed: Vec<&Entrant> = singles.iter().filter(|single| single.hypothesis != Hypothesis::Sound).collect();
    let leaders = top(&placed, LEADERS, |single| single.log_weight);
    let Some(best) = leaders.first() else { return Vec::new() };
    if desk.worst_explained(best) > UNEXPLAINED {
        return Vec::new();
    }
    let mut pairs: Vec<Entrant> = Vec::new();
    let mut made: HashSet<(Fault, Fault)> = HashSet::new();
    for follower in desk.followers(&placed) {
        for leader in &leaders {
            let (Some(a), Some(b)) = (sole(leader), sole(follower)) else { continue };
            let (first, second) = if a.0 <= b.0 { (a, b) } else { (b, a) };
            if first.0.part != second.0.part && made.insert((first.0, second.0)) {
                pairs.push(desk.weighed(first, second));
            }
        }
    }
    pairs.sort_by(|a, b| b.log_weight.total_cmp(&a.log_weight));
    let refined: Vec<Entrant> =
        pairs.iter().take(REFINED).flat_map(|pair| desk.other_sizes(&pair.hypothesis)).collect();
    pairs.extend(refined);
    pairs
}

/// The one fault of a single.
fn sole(entrant: &Entrant) -> Option<Sized> {
    entrant.hypothesis.faults().next()
}

/// The best of each fault by a score, best first.
fn top<'e>(entrants: &[&'e Entrant], most: usize, score: impl Fn(&Entrant) -> f64) -> Vec<&'e Entrant> {
    let mut ranked: Vec<(f64, &Entrant)> = entrants.iter().map(|&entrant| (score(entrant), entrant)).collect();
    ranked.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut seen = HashSet::new();
    ranked.retain(|(_, entrant)| sole(entrant).is_some_and(|(fault, _)| seen.insert(fault)));
    ranked.into_iter().take(most).map(|(_, entrant)| entrant).collect()
}

struct Desk<'a> {
    engine: &'a Engine,
    evidence: &'a Evidence,
    models: &'a Models<'a>,
    theta: &'a Theta,
    hearing: &'a Hearing<'a>,
    /// Rates of all singles together.
    total: f64,
}

impl Desk<'_> {
    /// ln of how likely the least likely thing known is under a single fault.
    fn worst_explained(&self, single: &Entrant) -> f64 {
        let seen = (0..self.evidence.observations.len()).map(|index| self.seen(index, single));
        let read = (0..self.evidence.readings.len()).map(|index| match &single.joint {
            Some(joint) if joint.doubts(index) => f64::NEG_INFINITY,
            _ => 0.0,
        });
        seen.chain(read).fold(0.0, f64::min)
    }

    /// ln of the chance of an observation.
    fn seen(&self, index: usize, single: &Entrant) -> f64 {
        let seen = &self.evidence.observations[index];
        let model = &self.models[&seen.state];
        as_told(self.engine.vehicle(), model, &single.hypothesis, seen).ln()
    }

    /// ln of the density of a reading by itself.
    fn read(&self, index: usize, single: &Entrant) -> f64 {
        let shown = single.joint.as_ref().map(|joint| &joint.shown[index]);
        let value = self.evidence.readings[index].on_scale().0;
        shown.map_or(f64::NEG_INFINITY, |shown| log_normal(value - shown.mean, shown.variance()))
    }

    /// The singles that explain each thing best by itself.
    fn followers<'e>(&self, singles: &[&'e Entrant]) -> Vec<&'e Entrant> {
        let mut all = Vec::new();
        for index in 0..self.evidence.observations.len() {
            all.extend(top(singles, FOLLOWERS, |single| single.log_prior + self.seen(index, single)));
        }
        for index in 0..self.evidence.readings.len() {
            all.extend(top(singles, FOLLOWERS, |single| single.log_prior + self.read(index, single)));
        }
        all
    }

    fn weighed(&self, first: Sized, second: Sized) -> Entrant {
        let hypothesis = Hypothesis::Double { first, second };
        let rate =
            |(fault, size): Sized| (self.engine.rate_of(fault) * size.map_or(1.0, |size| size.share)).max(1e-12).ln();
        let site = Site::Both(first.0.part, second.0.part);
        let heard = self.hearing.log_chance(&hypothesis, site);
        let log_prior = SHARE.ln() + rate(first) + rate(second) - self.total.max(1e-9).ln() + heard;
        let mut entrant = Entrant {
            hypothesis,
            site,
            log_prior,
            log_weight: log_prior,
            joint: None,
            phase: Phase::default(),
            shows: hypothesis,
        };
        entrant.log_weight +=
            (0..self.evidence.observations.len()).map(|index| self.seen(index, &entrant)).sum::<f64>();
        self.engine.weigh_readings(&mut entrant, self.evidence, self.models, self.theta);
        entrant
    }

    /// The same pair with sizes near by, one of them at a time and both.
    fn other_sizes(&self, pair: &Hypothesis) -> Vec<Entrant> {
        let Hypothesis::Double { first, second } = *pair else { return Vec::new() };
        let (around_first, around_second) = (around(first), around(second));
        let mut all = Vec::new();
        for &a in &around_first {
            for &b in &around_second {
                if (a, b) != (first.1, second.1) {
                    all.push(self.weighed((first.0, a), (second.0, b)));
                }
            }
        }
        all
    }
}

/// A size and its neighbours on the ladder.
fn around((fault, size): Sized) -> Vec<Option<Size>> {
    let ladder = sizes(fault.mode);
    let at = ladder.iter().position(|other| *other == size).unwrap_or(0);
    ladder[at.saturating_sub(2)..(at + 3).min(ladder.len())].to_vec()
}
