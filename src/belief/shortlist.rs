//! The single faults once they are weighed: what hypotheses beyond them are
//! proposed from, and the rule by which proposals are pruned.

use super::candidate::Candidate;
use super::evidence::Observation;
use super::likelihood::Likelihood;
use super::onset::Onset;
use super::site::Site;
use crate::fault::Fault;
use crate::odds::LogWeight;
use crate::predict::{Hypothesis, HypothesisKey, Sized};
use crate::vehicle::PartId;
use rustc_hash::FxHashMap;
use std::cell::OnceCell;

/// Numerical: faults that a table of rates leaves out have a frequency all the same.
const LEAST_RATE: f64 = 1e-9;

/// The one fault of a single.
pub(super) fn sole(candidate: &Candidate) -> Option<Sized> {
    candidate.hypothesis.faults().next()
}

/// The best of each fault by a score, best first, of those alike the first.
pub(super) struct Top<'e> {
    most: usize,
    best: Vec<(LogWeight, Fault, &'e Candidate)>,
}

impl<'e> Top<'e> {
    /// So many of them, none so far.
    pub fn of(most: usize) -> Self {
        Self { most, best: Vec::with_capacity(most + 1) }
    }

    /// One more, of this score.
    pub fn offer(&mut self, score: LogWeight, candidate: &'e Candidate) {
        let is_behind = |(other, ..): &(LogWeight, Fault, &Candidate)| other.total_cmp(&score).is_ge();
        if self.best.len() == self.most && self.best.last().is_none_or(is_behind) {
            return;
        }
        let Some((fault, _)) = sole(candidate) else { return };
        match self.best.iter().position(|(_, known, _)| *known == fault) {
            Some(at) if is_behind(&self.best[at]) => return,
            Some(at) => drop(self.best.remove(at)),
            None => {}
        }
        let at = self.best.partition_point(is_behind);
        self.best.insert(at, (score, fault, candidate));
        self.best.truncate(self.most);
    }

    pub fn into_candidates(self) -> impl Iterator<Item = &'e Candidate> {
        self.best.into_iter().map(|(.., candidate)| candidate)
    }
}

fn top<'e>(candidates: &[&'e Candidate], most: usize, score: impl Fn(&Candidate) -> LogWeight) -> Top<'e> {
    let mut top = Top::of(most);
    candidates.iter().for_each(|&candidate| top.offer(score(candidate), candidate));
    top
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
    /// The readings that a first look goes by, in their order.
    pub telling: Vec<usize>,
}

/// Numerical: readings that a first look goes by, at most; what it finds is
/// weighed by all.
const MOST_TELLING: usize = 16;

/// Of many readings those that sit worst with a sound vehicle, and the newest of
/// the others.
fn telling(readings: usize, sound: Option<&Candidate>) -> Vec<usize> {
    let mut all: Vec<usize> = (0..readings).collect();
    if readings > MOST_TELLING {
        let alone = |reading: usize| Some(sound?.joint.as_ref()?.alone[reading].log_density);
        let fit = |reading: &usize| alone(*reading).unwrap_or_default();
        all.sort_by(|a, b| fit(a).total_cmp(&fit(b)));
        all[MOST_TELLING / 2..].sort_unstable_by(|a, b| b.cmp(a));
        all.truncate(MOST_TELLING);
        all.sort_unstable();
    }
    all
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
        let leaders = leaders.into_candidates().collect();
        let sound = candidates.iter().find(|candidate| candidate.site == Site::Nothing);
        let telling = telling(likelihood.readings.taken.len(), sound);
        Self { likelihood, singles, leaders, by_key: OnceCell::new(), sound, frequency, onset, telling }
    }

    /// Whether nobody complains and nothing wrong explains more than any fault: then
    /// what is amiss is no more than a misread.
    pub fn is_looked_over_and_well(&self) -> bool {
        let best = self.leaders.first().map_or(LogWeight::NEVER, |best| best.log_weight);
        !self.likelihood.evidence.has_complaint() && self.sound.is_some_and(|sound| sound.log_weight > best)
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
            Some(joint) if joint.is_misread(index) => LogWeight::NEVER,
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

#[cfg(test)]
mod tests {
    use super::*;

    /// However long the record, a first look goes by as many readings, each once,
    /// in their order.
    #[test]
    fn a_first_look_does_not_grow_with_the_record() {
        for readings in [0, 1, MOST_TELLING, MOST_TELLING + 1, 317] {
            let telling = telling(readings, None);
            assert_eq!(telling.len(), readings.min(MOST_TELLING));
            assert!(telling.is_sorted_by(|a, b| a < b) && telling.iter().all(|&reading| reading < readings));
        }
    }
}
