//! The single faults once they are weighed: what hypotheses beyond them are
//! proposed from, and the rule by which proposals are pruned.

use super::candidate::Candidate;
use super::evidence::{Observation, Reading};
use super::likelihood::Likelihood;
use super::normal::log_normal;
use super::onset::Onset;
use super::site::Site;
use crate::odds::LogWeight;
use crate::predict::{Hypothesis, HypothesisKey, Prediction, Sized};
use crate::vehicle::PartId;
use rustc_hash::FxHashMap;
use std::cell::OnceCell;
use std::collections::HashSet;

/// Numerical: faults that a table of rates leaves out have a frequency all the same.
const LEAST_RATE: f64 = 1e-9;

/// The one fault of a single.
pub(super) fn sole(candidate: &Candidate) -> Option<Sized> {
    candidate.hypothesis.faults().next()
}

/// The best of each fault by a score, best first.
pub(super) fn top<'e>(
    candidates: &[&'e Candidate],
    most: usize,
    score: impl Fn(&Candidate) -> LogWeight,
) -> Vec<&'e Candidate> {
    let mut ranked: Vec<(LogWeight, &Candidate)> =
        candidates.iter().map(|&candidate| (score(candidate), candidate)).collect();
    ranked.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut seen = HashSet::new();
    ranked.retain(|(_, candidate)| sole(candidate).is_some_and(|(fault, _)| seen.insert(fault)));
    ranked.into_iter().take(most).map(|(_, candidate)| candidate).collect()
}

/// How often all single faults together are met.
#[derive(Clone, Copy)]
pub(super) struct Frequency {
    /// At all.
    pub faults: f64,
    /// With the complaint that was made.
    pub named: f64,
}

impl Frequency {
    /// Before anything is answered: how often faults are met does not hang on that.
    pub fn of(candidates: &[Candidate]) -> Self {
        let singles = || candidates.iter().filter(|candidate| candidate.is_single());
        let sum = |rates: f64| rates.max(LEAST_RATE);
        Self {
            faults: sum(singles().map(|single| (single.log_prior - single.log_named).weight()).sum()),
            named: sum(singles().map(|single| single.log_prior.weight()).sum()),
        }
    }
}

/// The weighed single faults.
pub(super) struct Shortlist<'a> {
    pub likelihood: Likelihood<'a>,
    /// Single faults that are there now and were all along.
    pub singles: Vec<&'a Candidate>,
    pub leaders: Vec<&'a Candidate>,
    by_key: OnceCell<FxHashMap<HypothesisKey, &'a Candidate>>,
    /// That nothing is wrong.
    pub sound: Option<&'a Candidate>,
    /// How often singles are met.
    pub frequency: Frequency,
    /// When what explains most began.
    pub onset: Onset,
}

impl<'a> Shortlist<'a> {
    pub fn new(
        likelihood: Likelihood<'a>,
        frequency: Frequency,
        onsets: &[Onset],
        candidates: &'a [Candidate],
    ) -> Self {
        let mut singles: Vec<&Candidate> = candidates.iter().filter(|candidate| candidate.is_single()).collect();
        let best = singles.iter().max_by(|a, b| a.log_weight.total_cmp(&b.log_weight));
        let onset = onsets.iter().find(|onset| best.is_some_and(|best| best.began == onset.after));
        let onset = onset.copied().unwrap_or(Onset::ALL_ALONG);
        singles.retain(|single| single.began == onset.after);
        let leaders = top(&singles, likelihood.engine.tables().belief.leaders, |single| single.log_weight);
        let sound = candidates.iter().find(|candidate| candidate.site == Site::Nothing);
        Self { likelihood, singles, leaders, by_key: OnceCell::new(), sound, frequency, onset }
    }

    /// Whether every single fault that counts makes something that is known
    /// unlikely.
    pub fn leaves_something_unexplained(&self) -> bool {
        let figures = &self.likelihood.engine.tables().belief;
        let best = self.leaders.first().map_or(LogWeight::ONE, |best| best.log_weight);
        let counts = |leader: &&&Candidate| leader.log_weight > best - LogWeight::from_ln(figures.counts);
        let mut counting = self.leaders.iter().take_while(counts);
        counting.all(|leader| self.worst_explained(leader) <= LogWeight::from_ln(figures.unexplained))
    }

    /// The rule by which proposals are pruned: whether something of this weight,
    /// or much like it, may count beside the best single fault and the best of
    /// its own kind.
    pub fn could_count(&self, log_weight: LogWeight, best_of_kind: LogWeight) -> bool {
        let best = self.leaders.first().map_or(best_of_kind, |best| best.log_weight.max(best_of_kind));
        log_weight > best - LogWeight::from_ln(self.likelihood.engine.tables().belief.near)
    }

    /// Fuses that may be open, likeliest first.
    pub fn open_fuses(&self, most: usize) -> Vec<PartId> {
        let Likelihood { engine, evidence, .. } = self.likelihood;
        let vehicle = engine.vehicle();
        let suspect = self.leaders.iter().flat_map(|leader| leader.site.parts());
        let mut fuses: Vec<PartId> = Vec::new();
        for fuse in evidence.repaired_in_vain().chain(suspect).filter(|&part| vehicle.part(part).kind.is_fuse()) {
            if !fuses.contains(&fuse) {
                fuses.push(fuse);
            }
        }
        fuses.truncate(most);
        fuses
    }

    /// How likely the least likely thing known is under a single fault.
    fn worst_explained(&self, single: &Candidate) -> LogWeight {
        let evidence = self.likelihood.evidence;
        let seen = evidence.all_observations().map(|seen| self.seen(seen, &single.hypothesis));
        let read = evidence.all_readings().enumerate().map(|(index, _)| match &single.joint {
            Some(joint) if joint.is_outlier(index) => LogWeight::NEVER,
            _ => LogWeight::ONE,
        });
        seen.chain(read).fold(LogWeight::ONE, LogWeight::min)
    }

    /// The chance of an observation.
    pub fn seen(&self, seen: &Observation, hypothesis: &Hypothesis) -> LogWeight {
        self.likelihood.seen(&[seen], hypothesis)
    }

    /// Of all that a hypothesis stops, the chance that what was named is named.
    pub fn named(&self, hypothesis: &Hypothesis) -> LogWeight {
        let complaint = self.likelihood.evidence.all_observations().find(|seen| seen.is_complaint());
        self.likelihood.named(complaint, hypothesis)
    }

    /// The density of a reading by itself.
    pub fn read(&self, index: usize, reading: &Reading, single: &Candidate) -> LogWeight {
        let shown = single.joint.as_ref().map(|joint| &joint.predictions[index]);
        let value = self.likelihood.value(reading);
        let density = |shown: &Prediction| LogWeight::from_ln(log_normal(value - shown.mean, shown.variance()));
        shown.map_or(LogWeight::NEVER, |shown| density(shown))
    }

    /// The singles by what they are.
    pub fn singles_by_key(&self) -> &FxHashMap<HypothesisKey, &'a Candidate> {
        self.by_key.get_or_init(|| self.singles.iter().map(|&single| (single.hypothesis.key(), single)).collect())
    }

    /// A hypothesis with a prior, weighed by all that is known.
    pub fn weighed(&self, hypothesis: Hypothesis, site: Site, log_prior: LogWeight) -> Candidate {
        let observations = self.likelihood.evidence.all_observations();
        let seen = observations.map(|seen| self.seen(seen, &hypothesis)).sum();
        let mut candidate = Candidate::new(hypothesis, site, log_prior, seen);
        candidate.name(self.named(&hypothesis));
        candidate.begin(self.onset);
        self.likelihood.weigh_readings(&mut candidate);
        candidate
    }
}
