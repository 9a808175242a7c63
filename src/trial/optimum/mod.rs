//! The best that any choice of tests could do once few places are left, by
//! dynamic programming over what is still possible.
//!
//! Each explanation foretells one outcome of each test; those with a gap between
//! them that a meter and what is known so far can tell are told apart, and
//! nothing is misread. The
//! search ends, as the tool's does, when one place holds enough belief or no
//! test tells the rest apart. Garey 1972: the problem is exponential in
//! general, so there is a limit to the positions looked at.

mod search;

use super::bounds::{entropy, huffman_cost};
use super::likeliest;
use crate::belief::{Belief, Engine, Site, Weighed, appearance_chances};
use crate::fault::Fault;
use crate::network::SolveError;
use crate::plan::{Sense, Situation, Test};
use crate::predict::{Probe, StateModel};
use crate::vehicle::trace::settings_for;
use crate::vehicle::{ControlId, ControlKind, PlaceId, PointId, Position, Vehicle};
use rustc_hash::FxHashSet;
use search::{Goal, Mask, Search, Shares, members};
use std::collections::HashMap;

/// Places that may be left, at most.
const MOST_PLACES: usize = 14;
/// Belief below which a place is not counted as left.
const LEFT: f64 = 0.002;
/// Explanations kept for each way for a part to fail.
const SIZES_EACH: usize = 3;
/// Explanations in all: the bits of a word.
const MOST: usize = 64;
/// Changes of state tried, at most.
const MOST_TOGGLES: usize = 3;
/// Standard deviations between outcomes that a reading tells apart.
const APART: f64 = 3.0;
/// Explanations by whose spread that is judged.
const SAMPLED: usize = 6;

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
    if settled || places.len() < 2 || places.len() > MOST_PLACES {
        return Ok(None);
    }
    let kept = explanations(belief, &places);
    let desk = Desk { engine, belief, situation, kept: &kept, places: &places };
    let choices = desk.choices()?;
    let truth = truth.and_then(|truth| nearest(&kept, truth));
    Ok(Some(Endgame::of(&kept, &places, &choices, truth, engine.tables().plan.enough)))
}

/// Explanations of the places left, neighbouring sizes joined; shares add up to one.
fn explanations<'b>(belief: &'b Belief, places: &[Site]) -> Vec<(&'b Weighed, f64)> {
    let mut groups: HashMap<(Site, Option<Fault>), Vec<&Weighed>> = HashMap::new();
    for weighed in belief.weighed.iter().filter(|weighed| places.contains(&weighed.site)) {
        groups.entry((weighed.site, fault(weighed))).or_default().push(weighed);
    }
    let mut kept: Vec<(&Weighed, f64)> = Vec::new();
    for group in groups.values_mut() {
        group.sort_by(|a, b| size(a).total_cmp(&size(b)));
        let total: f64 = group.iter().map(|weighed| weighed.probability).sum();
        let (mut start, mut share) = (0, 0.0);
        for end in 0..group.len() {
            share += group[end].probability;
            if share >= total / SIZES_EACH as f64 * 0.999 || end + 1 == group.len() {
                let heaviest = group[start..=end].iter().max_by(|a, b| a.probability.total_cmp(&b.probability));
                kept.extend(heaviest.map(|weighed| (*weighed, share)));
                (start, share) = (end + 1, 0.0);
            }
        }
    }
    let name = |weighed: &Weighed| (weighed.site, fault(weighed), size(weighed).to_bits());
    kept.sort_by(|a, b| b.1.total_cmp(&a.1).then_with(|| name(a.0).cmp(&name(b.0))));
    kept.truncate(MOST);
    let total: f64 = kept.iter().map(|(_, share)| share).sum();
    kept.iter_mut().for_each(|(_, share)| *share /= total);
    kept
}

fn fault(weighed: &Weighed) -> Option<Fault> {
    weighed.hypothesis.faults().next().map(|(fault, _)| fault)
}

fn size(weighed: &Weighed) -> f64 {
    weighed.hypothesis.faults().find_map(|(_, size)| size).map_or(0.0, |size| size.value)
}

/// The explanation that comes nearest to a fault of a size.
fn nearest(kept: &[(&Weighed, f64)], (truth, true_size): (Fault, f64)) -> Option<usize> {
    let off = |index: usize| (size(kept[index].0).max(1e-9).ln() - true_size.max(1e-9).ln()).abs();
    let of_it = (0..kept.len()).filter(|&index| fault(kept[index].0) == Some(truth));
    of_it.min_by(|&a, &b| off(a).total_cmp(&off(b)))
}

/// Numbers of outcomes, the same for values between which there is no gap that
/// can be told.
fn told_apart(values: &[f64], gap: f64) -> impl Iterator<Item = i64> {
    let mut order: Vec<usize> = (0..values.len()).collect();
    order.sort_by(|&a, &b| values[a].total_cmp(&values[b]));
    let mut outcomes = vec![0; values.len()];
    for step in order.windows(2) {
        outcomes[step[1]] = outcomes[step[0]] + i64::from(values[step[1]] - values[step[0]] > gap);
    }
    outcomes.into_iter()
}

/// A test as the search sees it: which explanations give the same outcome.
struct Choice {
    groups: Vec<Mask>,
    /// Minutes with everything open, and for each place not open yet, more.
    minutes: f64,
    opens: Vec<(PlaceId, f64)>,
}

struct Desk<'a> {
    engine: &'a Engine,
    belief: &'a Belief,
    situation: &'a Situation<'a>,
    kept: &'a [(&'a Weighed, f64)],
    places: &'a [Site],
}

impl Desk<'_> {
    fn vehicle(&self) -> &Vehicle {
        self.engine.vehicle()
    }

    /// Every test at hand that tells any two explanations apart, cheapest of
    /// those that tell the same.
    fn choices(&self) -> Result<Vec<Choice>, SolveError> {
        let mut choices = self.looks()?;
        let pairs = self.pairs();
        for settings in std::iter::once(Vec::new()).chain(self.toggles()) {
            let model = self.engine.predictor().in_state(&self.situation.state.with_all(&settings))?;
            let means: Vec<_> =
                self.kept.iter().map(|(weighed, _)| model.view(self.vehicle(), &weighed.hypothesis)).collect();
            for &(red, black) in &pairs {
                let values: Vec<f64> = means.iter().map(|view| view.volts(red, black)).collect();
                let (low, high) = values.iter().fold((f64::MAX, f64::MIN), |(l, h), &v| (l.min(v), h.max(v)));
                if high - low < 1e-3 {
                    continue;
                }
                let apart = APART * self.deviation(&model, red, black);
                if high - low > apart {
                    let test = Test::Measure(Probe::voltage(red, black));
                    choices.extend(self.choice(test, &settings, told_apart(&values, apart)));
                }
            }
        }
        choices.sort_by(|a, b| a.minutes.total_cmp(&b.minutes));
        let mut seen = FxHashSet::default();
        choices.retain(|choice| {
            let places: Vec<PlaceId> = choice.opens.iter().map(|&(place, _)| place).collect();
            seen.insert((choice.groups.clone(), places))
        });
        Ok(choices)
    }

    fn choice(
        &self,
        test: Test,
        settings: &[(ControlId, Position)],
        outcomes: impl Iterator<Item = i64>,
    ) -> Option<Choice> {
        let mut groups: Vec<(i64, u64)> = Vec::new();
        for (index, outcome) in outcomes.enumerate() {
            match groups.iter_mut().find(|(known, _)| *known == outcome) {
                Some((_, mask)) => *mask |= 1 << index,
                None => groups.push((outcome, 1 << index)),
            }
        }
        if groups.len() < 2 {
            return None;
        }
        let mut groups: Vec<u64> = groups.into_iter().map(|(_, mask)| mask).collect();
        groups.sort_unstable();
        let now = self.situation.effort(self.vehicle(), test, settings);
        let with_open = |closed: Option<PlaceId>| {
            let mut opened = self.situation.opened.to_vec();
            opened.extend(now.opens.iter().copied().filter(|&place| Some(place) != closed));
            let then = Situation { opened: &opened, ..*self.situation };
            then.effort(self.vehicle(), test, settings).minutes.0
        };
        let minutes = with_open(None);
        let opens = now.opens.iter().map(|&place| (place, with_open(Some(place)) - minutes)).collect();
        Some(Choice { groups, minutes, opens })
    }

    /// What a reading cannot tell apart, given what was read.
    fn deviation(&self, model: &StateModel, red: PointId, black: PointId) -> f64 {
        let variance = |weighed: &Weighed| {
            let view = model.view(self.vehicle(), &weighed.hypothesis);
            let shown = view.shown(Probe::voltage(red, black), self.situation.meter, 0.0, &self.belief.theta);
            weighed.joint.as_ref().map_or(shown.variance(), |joint| joint.forecast(&shown).variance)
        };
        let sampled = &self.kept[..self.kept.len().min(SAMPLED)];
        (sampled.iter().map(|(weighed, _)| variance(weighed)).sum::<f64>() / sampled.len() as f64).sqrt()
    }

    fn pairs(&self) -> Vec<(PointId, PointId)> {
        let parts = self.places.iter().flat_map(|site| site.parts()).map(|part| self.vehicle().part(part).ends());
        let mut points: Vec<PointId> = parts.flat_map(|(from, to)| [from, to]).chain([self.situation.black]).collect();
        points.retain(|&point| self.situation.can_reach(self.vehicle(), point));
        points.sort_unstable();
        points.dedup();
        let from = |index: usize| points[index + 1..].iter().map(move |&other| (other, index));
        (0..points.len()).flat_map(from).map(|(other, index)| (other, points[index])).collect()
    }

    fn looks(&self) -> Result<Vec<Choice>, SolveError> {
        let vehicle = self.vehicle();
        let mut choices = Vec::new();
        for load in vehicle.loads() {
            let Some(kind) = vehicle.part(load).kind.load().map(|load| load.kind) else { continue };
            let settings = settings_for(vehicle, self.situation.state, load);
            let by_hand = settings.len() <= 2 && settings.iter().all(|&(control, _)| self.is_by_hand(control));
            if !by_hand || self.situation.evidence.observations.iter().any(|seen| seen.subject == load) {
                continue;
            }
            let model = self.engine.predictor().in_state(&self.situation.state.with_all(&settings))?;
            let look = |weighed: &Weighed| {
                let chances = appearance_chances(
                    &self.engine.tables().signs,
                    kind,
                    model.performance(vehicle, &weighed.hypothesis, load),
                );
                likeliest(&chances).index() as i64
            };
            let outcomes = self.kept.iter().map(|(weighed, _)| look(weighed));
            choices.extend(self.choice(Test::Sense { subject: load, sense: Sense::Look }, &settings, outcomes));
        }
        Ok(choices)
    }

    fn is_by_hand(&self, control: ControlId) -> bool {
        !matches!(self.vehicle().control(control).kind, ControlKind::Sensed | ControlKind::Calling)
    }

    fn toggles(&self) -> Vec<Vec<(ControlId, Position)>> {
        let parts = self.places.iter().flat_map(|site| site.parts()).map(|part| self.vehicle().part(part));
        let mut controls: Vec<ControlId> =
            parts.flat_map(|part| part.gates.iter().map(|&(control, _)| control)).collect();
        controls.retain(|&control| self.is_by_hand(control));
        controls.sort_unstable();
        controls.dedup();
        controls.truncate(MOST_TOGGLES);
        controls.into_iter().map(|control| vec![(control, self.situation.state.position(control).opposite())]).collect()
    }
}

impl Endgame {
    fn of(kept: &[(&Weighed, f64)], places: &[Site], choices: &[Choice], truth: Option<usize>, enough: f64) -> Self {
        let shares: Vec<f64> = kept.iter().map(|(_, share)| *share).collect();
        let every = all(kept.len());
        let of_place: Vec<Mask> =
            places.iter().map(|site| mask(kept, |weighed| weighed.site == *site)).filter(|mask| *mask != 0).collect();
        let apart_from = |index: usize| {
            let groups = choices.iter().flat_map(|choice| &choice.groups);
            groups.filter(|&&group| group & (1 << index) != 0).fold(0, |apart, group| apart | !group) & every
        };
        let apart: Vec<Mask> = (0..kept.len()).map(apart_from).collect();
        let outcomes = choices.iter().map(|choice| choice.groups.len()).max().unwrap_or(2);
        let classes = classes(&shares, &of_place, &apart);
        let minutes: Vec<f64> = choices.iter().map(|choice| choice.minutes).collect();
        let sums = Shares::new(&shares);
        let least = |goal: Goal| {
            let mut search = Search::new(choices, &sums, &of_place, &apart, goal, enough);
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

fn mask(kept: &[(&Weighed, f64)], holds: impl Fn(&Weighed) -> bool) -> Mask {
    kept.iter().enumerate().filter(|(_, (weighed, _))| holds(weighed)).fold(0, |mask, (index, _)| mask | 1 << index)
}

fn all(count: usize) -> Mask {
    if count >= 64 { Mask::MAX } else { (1 << count) - 1 }
}

/// Shares of what tests can tell apart: places joined where nothing does.
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
