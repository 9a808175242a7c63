//! Two faults at once: brought in only where no single fault explains all that
//! is known. Of the thousands squared, only pairs are tried in which each part
//! explains something that the other does not.

use super::Site;
use super::evidence::{Evidence, Observation, Reading};
use super::gaussian::log_normal;
use super::halves::{ByKey, by_key};
use super::masked::masked_pairs;
use super::superposed::superposed_pairs;
use super::weigh::{Engine, Entrant, Models};
use crate::fault::{Fault, Size, concerns, sizes, ways};
use crate::predict::{Hypothesis, Sized, Theta};
use crate::vehicle::PartId;
use std::cell::OnceCell;
use std::collections::HashSet;

/// Share of complaints with two faults behind them; common practice, no source.
pub(super) const SHARE_OF_PAIRS: f64 = 0.02;
/// How much likelier two faults are of which the first is noticed by nobody and
/// stays; common practice, no source.
const UNNOTICED: f64 = 10.0;
/// Single faults that pairs are made from on the one side.
const LEADERS: usize = 14;
/// Those taken for each thing that a leader may leave unexplained.
const FOLLOWERS: usize = 5;
/// Pairs whose sizes are searched.
const REFINED: usize = 12;
/// ln of how unlikely a single fault must make what it explains worst.
const UNEXPLAINED: f64 = -1.6;
/// ln of the share of the best one's weight below which a single fault does
/// not count as an explanation.
const COUNTS: f64 = 3.0;
/// The same of what is beside single faults: below it no neighbour of it would
/// count either.
const NEAR: f64 = 15.0;

/// Pairs of faults worth weighing, beside the singles already weighed.
pub(super) fn pairs(desk: &Desk<'_>) -> Vec<Entrant> {
    let masked = masked_pairs(desk);
    let hiding: HashSet<[PartId; 2]> = masked.iter().map(|[a, b]| [a.0.part, b.0.part]).collect();
    let weighed = |first: Sized, second: Sized| {
        let [one, other] = [first.0.part, second.0.part];
        match hiding.contains(&[one, other]) || hiding.contains(&[other, one]) {
            true => desk.weighed_whole(SHARE_OF_PAIRS, first, second),
            false => desk.weighed(first, second),
        }
    };
    let mut pairs: Vec<Entrant> = Vec::new();
    let mut made: HashSet<(Fault, Fault)> = HashSet::new();
    for follower in desk.followers() {
        for leader in &desk.leaders {
            let (Some(a), Some(b)) = (sole(leader), sole(follower)) else { continue };
            let (first, second) = if a.0 <= b.0 { (a, b) } else { (b, a) };
            if !desk.overlap(first.0, second.0) && made.insert((first.0, second.0)) {
                pairs.push(weighed(first, second));
            }
        }
    }
    let leaders: Vec<Fault> = desk.leaders.iter().filter_map(|leader| sole(leader)).map(|(fault, _)| fault).collect();
    for [first, second] in superposed_pairs(desk, &leaders) {
        if !desk.overlap(first.0, second.0) {
            // With other sizes it is another hypothesis than the leaders' own.
            made.insert((first.0, second.0));
            pairs.push(weighed(first, second));
        }
    }
    let masked = masked.iter().filter(|[a, b]| !made.contains(&(a.0, b.0)));
    pairs.extend(masked.map(|&[first, second]| desk.masked(first, second)));
    pairs.sort_by(|a, b| b.log_weight.total_cmp(&a.log_weight));
    let best = pairs.first().map_or(f64::NEG_INFINITY, |best| best.log_weight);
    let refined: Vec<Entrant> = pairs
        .iter()
        .take(REFINED)
        .filter(|pair| desk.could_count(pair.log_weight, best))
        .flat_map(|pair| desk.other_sizes(&pair.hypothesis, weighed))
        .collect();
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

/// What more than single faults are made from.
pub(super) struct Desk<'a> {
    pub engine: &'a Engine,
    pub evidence: &'a Evidence,
    pub models: &'a Models<'a>,
    pub theta: &'a Theta,
    /// Single faults that are there now and were all along.
    pub singles: Vec<&'a Entrant>,
    leaders: Vec<&'a Entrant>,
    by_key: OnceCell<ByKey<'a>>,
    /// That nothing is wrong.
    pub sound: Option<&'a Entrant>,
    /// How often singles are met.
    pub met: Met,
}

/// How often all single faults together are met.
#[derive(Clone, Copy)]
pub(super) struct Met {
    /// At all.
    faults: f64,
    /// With the complaint that was made.
    pub named: f64,
}

impl Met {
    /// Before anything is answered: how often faults are met does not hang on that.
    pub fn of(entrants: &[Entrant]) -> Self {
        let singles = || entrants.iter().filter(|entrant| entrant.is_single());
        let sum = |rates: f64| rates.max(1e-9);
        Self {
            faults: sum(singles().map(|single| (single.log_prior - single.log_named).exp()).sum()),
            named: sum(singles().map(|single| single.log_prior.exp()).sum()),
        }
    }
}

impl<'a> Desk<'a> {
    pub fn new(
        engine: &'a Engine,
        evidence: &'a Evidence,
        models: &'a Models<'a>,
        theta: &'a Theta,
        met: Met,
        entrants: &'a [Entrant],
    ) -> Self {
        let singles: Vec<&Entrant> = entrants.iter().filter(|entrant| entrant.is_single()).collect();
        let leaders = top(&singles, LEADERS, |single| single.log_weight);
        let sound = entrants.iter().find(|entrant| entrant.site == Site::Nothing);
        Self { engine, evidence, models, theta, singles, leaders, sound, met, by_key: OnceCell::new() }
    }

    /// Whether every single fault that counts makes something that is known
    /// unlikely.
    pub fn leaves_something_unexplained(&self) -> bool {
        let best = self.leaders.first().map_or(0.0, |best| best.log_weight);
        let mut counting = self.leaders.iter().take_while(|leader| leader.log_weight > best - COUNTS);
        counting.all(|leader| self.worst_explained(leader) <= UNEXPLAINED)
    }

    /// Whether something of this weight, or much like it, may count beside the
    /// best single fault and the best of its own kind.
    pub fn could_count(&self, log_weight: f64, best_of_kind: f64) -> bool {
        let best = self.leaders.first().map_or(best_of_kind, |best| best.log_weight.max(best_of_kind));
        log_weight > best - NEAR
    }

    /// Fuses that may be open, likeliest first.
    pub fn open_fuses(&self, most: usize) -> Vec<PartId> {
        let vehicle = self.engine.vehicle();
        let suspect = self.leaders.iter().flat_map(|leader| leader.site.parts());
        let mut fuses: Vec<PartId> = Vec::new();
        for fuse in self.evidence.repaired_in_vain().chain(suspect).filter(|&part| vehicle.part(part).kind.is_fuse()) {
            if !fuses.contains(&fuse) {
                fuses.push(fuse);
            }
        }
        fuses.truncate(most);
        fuses
    }

    /// ln of how likely the least likely thing known is under a single fault.
    fn worst_explained(&self, single: &Entrant) -> f64 {
        let seen = self.evidence.all_observations().map(|seen| self.seen(seen, &single.hypothesis));
        let read = self.evidence.all_readings().enumerate().map(|(index, _)| match &single.joint {
            Some(joint) if joint.doubts(index) => f64::NEG_INFINITY,
            _ => 0.0,
        });
        seen.chain(read).fold(0.0, f64::min)
    }

    /// ln of the chance of an observation.
    pub fn seen(&self, seen: &Observation, hypothesis: &Hypothesis) -> f64 {
        self.engine.seen(&[seen], hypothesis, self.models)
    }

    fn named(&self, hypothesis: &Hypothesis) -> f64 {
        let complaint = self.evidence.all_observations().find(|seen| seen.is_complaint());
        self.engine.named(self.evidence, complaint, hypothesis, self.models)
    }

    /// ln of the density of a reading by itself.
    fn read(&self, index: usize, reading: &Reading, single: &Entrant) -> f64 {
        let shown = single.joint.as_ref().map(|joint| &joint.shown[index]);
        let value = reading.on_scale().0;
        shown.map_or(f64::NEG_INFINITY, |shown| log_normal(value - shown.mean, shown.variance()))
    }

    /// The singles that explain each thing best by itself.
    fn followers(&self) -> Vec<&'a Entrant> {
        let mut all = Vec::new();
        for seen in self.evidence.all_observations() {
            all.extend(top(&self.singles, FOLLOWERS, |single| single.log_prior + self.seen(seen, &single.hypothesis)));
        }
        for (index, reading) in self.evidence.all_readings().enumerate() {
            all.extend(top(&self.singles, FOLLOWERS, |single| single.log_prior + self.read(index, reading, single)));
        }
        all
    }

    /// Whether two faults have a part in common.
    fn overlap(&self, one: Fault, other: Fault) -> bool {
        let vehicle = self.engine.vehicle();
        ways(vehicle, one).any(|way| concerns(vehicle, other, way))
    }

    /// A pair of which each hides the other, so that the first may be there for
    /// years before anybody notices.
    fn masked(&self, first: Sized, second: Sized) -> Entrant {
        self.weighed_whole(SHARE_OF_PAIRS * UNNOTICED, first, second)
    }

    /// A pair of which each shows by itself.
    fn weighed(&self, first: Sized, second: Sized) -> Entrant {
        let seen = self.evidence.all_observations().map(|seen| self.seen_of_two(seen, first, second)).sum();
        let (hypothesis, site) = two(first, second);
        let mut entrant = Entrant::new(hypothesis, site, self.prior_of_two(SHARE_OF_PAIRS, first, second), seen);
        entrant.name(self.named(&hypothesis));
        entrant.halves = self.halves(first, second);
        self.engine.weigh_readings(&mut entrant, self.evidence, self.models, self.theta);
        entrant
    }

    /// A pair by what both show together.
    fn weighed_whole(&self, share: f64, first: Sized, second: Sized) -> Entrant {
        let (hypothesis, site) = two(first, second);
        self.entrant(hypothesis, site, self.prior_of_two(share, first, second))
    }

    fn prior_of_two(&self, share: f64, first: Sized, second: Sized) -> f64 {
        let rate =
            |(fault, size): Sized| (self.engine.rate_of(fault) * size.map_or(1.0, |size| size.share)).max(1e-12).ln();
        share.ln() + rate(first) + rate(second) - self.met.faults.ln()
    }

    /// The singles by what they are.
    pub fn singles_by_key(&self) -> &ByKey<'a> {
        self.by_key.get_or_init(|| by_key(&self.singles))
    }

    /// A hypothesis with a prior, weighed by all that is known.
    pub fn entrant(&self, hypothesis: Hypothesis, site: Site, log_prior: f64) -> Entrant {
        let seen: f64 = self.evidence.all_observations().map(|seen| self.seen(seen, &hypothesis)).sum();
        let mut entrant = Entrant::new(hypothesis, site, log_prior, seen);
        entrant.name(self.named(&hypothesis));
        self.engine.weigh_readings(&mut entrant, self.evidence, self.models, self.theta);
        entrant
    }

    /// The same pair with sizes near by, one of them at a time and both.
    fn other_sizes(&self, pair: &Hypothesis, weighed: impl Fn(Sized, Sized) -> Entrant) -> Vec<Entrant> {
        let Hypothesis::Double { first, second } = *pair else { return Vec::new() };
        let (around_first, around_second) = (around(first), around(second));
        let mut all = Vec::new();
        for &a in &around_first {
            for &b in &around_second {
                if (a, b) != (first.1, second.1) {
                    all.push(weighed((first.0, a), (second.0, b)));
                }
            }
        }
        all
    }
}

fn two(first: Sized, second: Sized) -> (Hypothesis, Site) {
    (Hypothesis::Double { first, second }, Site::Both(first.0.part, second.0.part))
}

/// A size and its neighbours on the ladder.
fn around((fault, size): Sized) -> Vec<Option<Size>> {
    let ladder = sizes(fault.mode);
    let at = ladder.iter().position(|other| *other == size).unwrap_or(0);
    ladder[at.saturating_sub(2)..(at + 3).min(ladder.len())].to_vec()
}
