//! The smallest set of parts that holds nearly all the belief, the points that
//! fence it in, and how big the fault is.

use super::estimate::{Estimate, quantile};
use super::failure::Failure;
use super::posterior::Belief;
use super::site::Site;
use crate::predict::{Prediction, StateModel};
use crate::quantity::Amps;
use crate::tables::belief::Weighing;
use crate::vehicle::{PartId, PartKind, PointId, Vehicle};

/// Numerical: a current that is known for certain has a spread all the same.
const LEAST_VARIANCE: f64 = 1e-12;

/// Adjoining parts with their fence.
#[derive(Debug, Clone, PartialEq)]
pub struct Stretch {
    /// Parts, likeliest first, with their probability.
    pub parts: Vec<(PartId, f64)>,
    /// The points that fence them in, in current-flow order; `None` where the
    /// parts branch.
    pub fence: Option<(PointId, PointId)>,
}

/// Two parts at fault at once, with their probability.
pub type Pair = ([PartId; 2], f64);

/// Where the trouble is.
#[derive(Debug, Clone, PartialEq)]
pub struct Segment {
    /// Stretches of adjoining parts, likeliest first.
    pub stretches: Vec<Stretch>,
    /// Parts at fault two at once, likeliest first.
    pub pairs: Vec<Pair>,
    /// Belief that all these hold.
    pub held: f64,
    /// What is likeliest: one part at fault, or two in the order in which to
    /// repair them.
    pub failures: Vec<Failure>,
}

impl Segment {
    /// Every part in it: with what it holds by itself and in pairs.
    pub fn parts(&self) -> impl Iterator<Item = (PartId, f64)> + use<> {
        let mut parts: Vec<(PartId, f64)> =
            self.stretches.iter().flat_map(|stretch| stretch.parts.iter().copied()).collect();
        let paired = self.pairs.iter().flat_map(|&(pair, probability)| pair.map(|part| (part, probability)));
        for (part, probability) in paired {
            match parts.iter_mut().find(|(known, _)| *known == part) {
                Some((_, held)) => *held += probability,
                None => parts.push((part, probability)),
            }
        }
        parts.into_iter()
    }

    /// Probability of the likeliest place: a part, or two at once.
    pub fn likeliest(&self) -> f64 {
        let single =
            self.stretches.iter().flat_map(|stretch| stretch.parts.iter().map(|(_, probability)| *probability));
        single.chain(self.pairs.iter().map(|(_, probability)| *probability)).fold(0.0, f64::max)
    }
}

impl Belief {
    /// The segment that holds 95 % of what the parts hold between them.
    pub fn segment(&self, figures: &Weighing, vehicle: &Vehicle, model: &StateModel) -> Option<Segment> {
        // No fault and a wrong drawing have no place; they are told beside it.
        let placed = 1.0 - self.probability(Site::Nothing) - self.probability(Site::Undrawn);
        let (mut parts, mut pairs) = (Vec::new(), Vec::new());
        let mut held = 0.0;
        let mut lead = None;
        for suspect in &self.suspects {
            if held >= figures.held * placed {
                break;
            }
            let probability = suspect.probability.value();
            match suspect.site {
                Site::Part(part) => parts.push((part, probability)),
                Site::Both(first, second) => pairs.push(([first, second], probability)),
                Site::Nothing | Site::Undrawn => continue,
            }
            lead = lead.or(Some(suspect.site));
            held += probability;
        }
        let failures = self.failures(figures, vehicle, model, lead?, &parts);
        (!failures.is_empty()).then(|| Segment { stretches: stretches(vehicle, &parts), pairs, held, failures })
    }

    /// The current through a part in a state, by everything known; what the
    /// readings have told of a hypothesis counts for it.
    pub fn current_of(
        &self,
        figures: &Weighing,
        vehicle: &Vehicle,
        model: &StateModel,
        part: PartId,
    ) -> Option<Estimate<Amps>> {
        let mut pieces = Vec::new();
        let mut held = 0.0;
        for explanation in &self.explanations {
            let Some(joint) = &explanation.joint else { continue };
            let view = model.view_in(vehicle, &explanation.hypothesis, explanation.phase);
            // Of a current that is to be known, not read, the clamp's own error
            // is no part.
            let current = view.current_itself(part, 0.0, &self.theta);
            let known = joint.forecast(&Prediction { own_variance: 0.0, ..current });
            pieces.push((known.mean, known.variance.max(LEAST_VARIANCE).sqrt(), explanation.probability.value()));
            held += explanation.probability;
            if held > figures.held_of_current {
                break;
            }
        }
        let at = |share| Amps(quantile(&pieces, share));
        (!pieces.is_empty()).then(|| Estimate::of(at))
    }
}

/// Sorts parts into stretches that adjoin, likeliest stretch first.
fn stretches(vehicle: &Vehicle, parts: &[(PartId, f64)]) -> Vec<Stretch> {
    let mut waiting: Vec<(PartId, f64)> = parts.to_vec();
    let mut stretches: Vec<Stretch> = Vec::new();
    while !waiting.is_empty() {
        let mut group = vec![waiting.remove(0)];
        let mut next = 0;
        while next < group.len() {
            let (from, to) = vehicle.part(group[next].0).ends();
            next += 1;
            let touches = |part: PartId| {
                let ends = vehicle.part(part).ends();
                [ends.0, ends.1].iter().any(|&point| point == from || point == to)
            };
            let (joining, rest): (Vec<_>, Vec<_>) = waiting.into_iter().partition(|(part, _)| touches(*part));
            group.extend(joining);
            waiting = rest;
        }
        group.sort_by(|a, b| b.1.total_cmp(&a.1));
        stretches.push(Stretch { fence: fence(vehicle, &group), parts: group });
    }
    let weight = |stretch: &Stretch| -> f64 { stretch.parts.iter().map(|(_, probability)| probability).sum() };
    stretches.sort_by(|a, b| weight(b).total_cmp(&weight(a)));
    stretches
}

/// The two loose ends of a chain of parts, upstream first.
fn fence(vehicle: &Vehicle, group: &[(PartId, f64)]) -> Option<(PointId, PointId)> {
    // Through a supply a chain closes on itself, and has no two ends.
    let is_supply = |&(part, _): &(PartId, f64)| matches!(vehicle.part(part).kind, PartKind::Supply(_));
    if group.len() > 1 && group.iter().any(is_supply) {
        return None;
    }
    let ends = || group.iter().map(|(part, _)| vehicle.part(*part).ends());
    let loose = |point: PointId| ends().filter(|&(from, to)| from == point || to == point).count() == 1;
    let starts: Vec<PointId> = ends().map(|(from, _)| from).filter(|&point| loose(point)).collect();
    let stops: Vec<PointId> = ends().map(|(_, to)| to).filter(|&point| loose(point)).collect();
    match (&starts[..], &stops[..]) {
        ([start], [stop]) => Some((*start, *stop)),
        ([a, b], []) | ([], [a, b]) => Some((*a, *b)),
        _ => None,
    }
}
