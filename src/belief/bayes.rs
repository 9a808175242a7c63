//! Bayes' rule: from weights of all candidates to posterior probabilities, by
//! site and by part.

use super::candidate::Candidate;
use super::gaussian::Joint;
use super::onset::began;
use super::outlier::Taken;
use super::posterior::{Belief, Explanation, PartBelief, Suspect};
use super::site::Site;
use crate::fault::ways;
use crate::odds::{LogWeight, Probability};
use crate::predict::Uncertainties;
use crate::vehicle::{PartId, Vehicle};
use rustc_hash::FxHashMap;
use std::rc::Rc;

/// Numerical: probabilities are ranked to this part of one.
const RANKS: f64 = 1e4;

/// Numerical: where the drawing is wrong for certain, no reading is doubted.
const LEAST_LEFT: f64 = 1e-9;
/// Numerical: explanations kept after each weighing, at most.
const MOST_KEPT: usize = 4000;
/// Numerical: ln of the weight, relative to the best, below which one is dropped.
const LEAST: LogWeight = LogWeight::from_ln(-30.0);

/// Probabilities summed by site and by part; a part also answers for what its
/// own fault has done elsewhere.
#[derive(Default)]
pub(super) struct Shares {
    sites: FxHashMap<Site, f64>,
    parts: FxHashMap<PartId, f64>,
    /// The best likelihood of each part.
    likelihood: FxHashMap<PartId, LogWeight>,
    /// The same without each of the readings.
    without: FxHashMap<PartId, Vec<f64>>,
    /// And without the complaint as well.
    unsaid: FxHashMap<PartId, Vec<f64>>,
}

/// The support of a part without whichever reading speaks most against it.
fn without_one(without: &FxHashMap<PartId, Vec<f64>>, readings: usize) -> impl Fn(PartId) -> Option<LogWeight> {
    let most = |reading: usize| without.values().map(|each| each[reading]).fold(f64::NEG_INFINITY, f64::max);
    let most: Vec<f64> = (0..readings).map(most).collect();
    move |part| {
        let each = without.get(&part)?.iter().zip(&most);
        each.map(|(own, most)| own - most).reduce(f64::max).map(LogWeight::from_ln)
    }
}

impl Shares {
    pub fn of<'e>(vehicle: &Vehicle, candidates: impl Iterator<Item = &'e Candidate> + Clone, taken: &[Taken]) -> Self {
        let best = candidates.clone().map(|candidate| candidate.log_weight).fold(LogWeight::NEVER, LogWeight::max);
        let total: f64 = candidates.clone().map(|candidate| (candidate.log_weight - best).weight()).sum();
        let mut shares = Self::default();
        let mut own: FxHashMap<*const Joint, Option<Vec<f64>>> = FxHashMap::default();
        for candidate in candidates {
            let probability = (candidate.log_weight - best).weight() / total;
            *shares.sites.entry(candidate.site).or_insert(0.0) += probability;
            let mut parts: Vec<PartId> = candidate.site.parts().collect();
            parts.extend(candidate.hypothesis.faults().flat_map(|(fault, _)| ways(vehicle, fault)));
            parts.sort_unstable();
            parts.dedup();
            let joint = candidate.joint.as_ref().filter(|_| !taken.is_empty());
            let own = joint.and_then(|joint| {
                own.entry(Rc::as_ptr(joint)).or_insert_with(|| joint.own_densities(taken)).as_deref()
            });
            for part in parts {
                *shares.parts.entry(part).or_insert(0.0) += probability;
                let likelihood = shares.likelihood.entry(part).or_insert(LogWeight::NEVER);
                *likelihood = likelihood.max(candidate.log_likelihood());
                let Some(own) = own else { continue };
                let whole = candidate.log_likelihood();
                for (without, whole) in
                    [(&mut shares.without, whole), (&mut shares.unsaid, whole - candidate.log_complained)]
                {
                    let without = without.entry(part).or_insert_with(|| vec![f64::NEG_INFINITY; own.len()]);
                    without.iter_mut().zip(own).for_each(|(most, own)| *most = most.max(whole.ln() - own));
                }
            }
        }
        shares
    }
}

/// A belief from weighed hypotheses; `before` is what was believed before the
/// readings.
pub(super) fn collect(
    vehicle: &Vehicle,
    mut candidates: Vec<Candidate>,
    before: &Shares,
    (readings, taken): (usize, &[Taken]),
    theta: Uncertainties,
) -> Belief {
    // A fixed order, so that sums do not depend on how the list came about; of
    // references, since candidates are large.
    let mut order: Vec<&mut Candidate> = candidates.iter_mut().collect();
    order.sort_by(|a, b| b.log_weight.total_cmp(&a.log_weight));
    let now = Shares::of(vehicle, order.iter().map(|candidate| &**candidate), taken);
    let best = order.first().map_or(LogWeight::ONE, |candidate| candidate.log_weight);
    let total: f64 = order.iter().map(|candidate| (candidate.log_weight - best).weight()).sum();
    let mut misread = vec![0.0; readings];
    let mut doubted_as_drawn = vec![0.0; readings];
    let mut as_drawn = 0.0;
    let mut weighed = Vec::new();
    for candidate in order {
        let probability = (candidate.log_weight - best).weight() / total;
        let is_drawn = candidate.site != Site::Undrawn;
        as_drawn += if is_drawn { probability } else { 0.0 };
        if let Some(joint) = &candidate.joint {
            for (index, chance) in joint.misreads().filter(|(index, _)| *index < readings) {
                misread[index] += probability * chance;
                // What is off is worth a second look, and is believed once it was found again.
                let doubt = if taken[index].is_found_again { chance } else { 1.0 };
                doubted_as_drawn[index] += if is_drawn { probability * doubt } else { 0.0 };
            }
        }
        if candidate.log_weight - best > LEAST && weighed.len() < MOST_KEPT {
            weighed.push(Explanation {
                hypothesis: candidate.hypothesis,
                site: candidate.site,
                probability: Probability::of(probability),
                joint: candidate.joint.take(),
                phase: candidate.phase,
                began: began(candidate.began),
            });
        }
    }
    let mut suspects: Vec<Suspect> = now
        .sites
        .iter()
        .map(|(&site, &probability)| Suspect {
            site,
            probability: Probability::of(probability),
            before: Probability::of(before.sites.get(&site).copied().unwrap_or(0.0)),
        })
        .collect();
    // Rounded, so that twins stand in drawing order on every machine.
    let rank = |suspect: &Suspect| (-suspect.probability.value() * RANKS).round() as i64;
    suspects.sort_by(|a, b| rank(a).cmp(&rank(b)).then(a.site.cmp(&b.site)));
    doubted_as_drawn.iter_mut().for_each(|share| *share /= f64::max(as_drawn, LEAST_LEFT));
    // What a customer says counts as one more that may be wrong.
    let (said, unsaid) = (without_one(&now.without, taken.len()), without_one(&now.unsaid, taken.len()));
    let support_without_one = |part: PartId| Some(said(part)?.max(unsaid(part)?));
    let best_likelihood = now.likelihood.values().copied().fold(LogWeight::NEVER, LogWeight::max);
    let mut parts: Vec<PartBelief> = now
        .parts
        .iter()
        .map(|(&part, &probability)| {
            let support = now.likelihood[&part] - best_likelihood;
            PartBelief {
                part,
                probability: Probability::of(probability),
                before: Probability::of(before.parts.get(&part).copied().unwrap_or(0.0)),
                support,
                support_without_one: support_without_one(part).unwrap_or(support),
            }
        })
        .collect();
    parts.sort_by_key(|belief| belief.part);
    Belief {
        explanations: weighed,
        suspects,
        parts,
        misread,
        doubted_as_drawn,
        taken: taken.to_vec(),
        theta,
        look: None,
    }
}
