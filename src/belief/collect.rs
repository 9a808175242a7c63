//! Weighed hypotheses to a belief: probabilities by site and by part.

use super::weigh::{Entrant, Weighed};
use super::{Belief, PartBelief, Site, Suspect};
use crate::fault::ways;
use crate::predict::Theta;
use crate::vehicle::{PartId, Vehicle};
use rustc_hash::FxHashMap;

/// Explanations kept after each weighing, at most.
const MOST_KEPT: usize = 4000;
/// ln of the weight, relative to the best, below which one is dropped.
const LEAST_LOG_WEIGHT: f64 = -30.0;

/// Probabilities summed by site and by part; a part also answers for what its
/// own fault has done elsewhere.
#[derive(Default)]
pub(super) struct Shares {
    sites: FxHashMap<Site, f64>,
    parts: FxHashMap<PartId, f64>,
    /// ln of the best evidence for each part.
    evidence: FxHashMap<PartId, f64>,
}

impl Shares {
    pub fn of<'e>(vehicle: &Vehicle, entrants: impl Iterator<Item = &'e Entrant> + Clone) -> Self {
        let best = entrants.clone().map(|entrant| entrant.log_weight).fold(f64::NEG_INFINITY, f64::max);
        let total: f64 = entrants.clone().map(|entrant| (entrant.log_weight - best).exp()).sum();
        let mut shares = Self::default();
        for entrant in entrants {
            let probability = (entrant.log_weight - best).exp() / total;
            *shares.sites.entry(entrant.site).or_insert(0.0) += probability;
            let mut parts: Vec<PartId> = entrant.site.parts().collect();
            parts.extend(entrant.hypothesis.faults().flat_map(|(fault, _)| ways(vehicle, fault)));
            parts.sort_unstable();
            parts.dedup();
            for part in parts {
                *shares.parts.entry(part).or_insert(0.0) += probability;
                let evidence = shares.evidence.entry(part).or_insert(f64::NEG_INFINITY);
                *evidence = evidence.max(entrant.log_weight - entrant.log_prior);
            }
        }
        shares
    }
}

/// A belief from weighed hypotheses; `before` is what was believed before the
/// readings.
pub(super) fn collect(
    vehicle: &Vehicle,
    mut entrants: Vec<Entrant>,
    before: &Shares,
    readings: usize,
    theta: Theta,
) -> Belief {
    // A fixed order, so that sums do not depend on how the list came about; of
    // references, since entrants are large.
    let mut order: Vec<&mut Entrant> = entrants.iter_mut().collect();
    order.sort_by(|a, b| b.log_weight.total_cmp(&a.log_weight));
    let now = Shares::of(vehicle, order.iter().map(|entrant| &**entrant));
    let best = order.first().map_or(0.0, |entrant| entrant.log_weight);
    let total: f64 = order.iter().map(|entrant| (entrant.log_weight - best).exp()).sum();
    let mut misread = vec![0.0; readings];
    let mut weighed = Vec::new();
    for entrant in order {
        let probability = (entrant.log_weight - best).exp() / total;
        if let Some(joint) = &entrant.joint {
            (0..readings).filter(|&index| joint.doubts(index)).for_each(|index| misread[index] += probability);
        }
        if entrant.log_weight - best > LEAST_LOG_WEIGHT && weighed.len() < MOST_KEPT {
            weighed.push(Weighed {
                hypothesis: entrant.hypothesis,
                site: entrant.site,
                probability,
                joint: entrant.joint.take(),
                phase: entrant.phase,
            });
        }
    }
    let mut suspects: Vec<Suspect> = now
        .sites
        .iter()
        .map(|(&site, &probability)| Suspect {
            site,
            probability,
            before: before.sites.get(&site).copied().unwrap_or(0.0),
        })
        .collect();
    // Rounded, so that twins stand in drawing order on every machine.
    let rank = |suspect: &Suspect| (-suspect.probability * 1e4).round() as i64;
    suspects.sort_by(|a, b| rank(a).cmp(&rank(b)).then(a.site.cmp(&b.site)));
    let best_evidence = now.evidence.values().copied().fold(f64::NEG_INFINITY, f64::max);
    let mut parts: Vec<PartBelief> = now
        .parts
        .iter()
        .map(|(&part, &probability)| {
            let support = now.evidence[&part] - best_evidence;
            PartBelief { part, probability, before: before.parts.get(&part).copied().unwrap_or(0.0), support }
        })
        .collect();
    parts.sort_by_key(|belief| belief.part);
    Belief { weighed, suspects, parts, misread, theta }
}
