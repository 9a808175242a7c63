//! Bayes' rule from end to end: candidates, their likelihood, proposals beyond
//! single faults, posterior.

use super::answers::Hearing;
use super::bayes::{Shares, collect};
use super::candidate::Candidate;
use super::elsewhere::ElsewherePairs;
use super::engine::Engine;
use super::evidence::{Evidence, Observation};
use super::likelihood::{Likelihood, RecordedReadings};
use super::look_over::LookOver;
use super::models::Models;
use super::onset::{Onset, began, onsets};
use super::pairs::pairs;
use super::posterior::Belief;
use super::proposer::pruned;
use super::shortlist::{Frequency, Shortlist};
use super::undrawn::UndrawnPaths;
use crate::network::SolveError;
use crate::odds::LogWeight;
use crate::predict::Hypothesis;

impl Engine {
    /// Probabilities given everything known.
    ///
    /// # Errors
    /// [`SolveError`] if the circuit has no solution in a state that was used.
    pub fn posterior(&self, evidence: &Evidence) -> Result<Belief, SolveError> {
        let used = evidence.all_observations().map(|seen| &seen.state);
        let used = used.chain(evidence.all_readings().map(|reading| &reading.state));
        let models = Models::of(self.predictor(), used)?;
        let theta = self.theta(evidence);
        if evidence.is_empty() {
            return Ok(Belief::unasked(theta));
        }
        self.memo().turn(theta.quantities());
        let readings = RecordedReadings::of(self, evidence);
        let likelihood =
            Likelihood { engine: self, evidence, readings: &readings, models: &models, theta: &theta, amiss: None };
        let (look, amiss) = likelihood.look_over().unzip();
        // Until something is amiss nothing is suspect.
        let amiss = amiss.map(|amiss| if look == Some(LookOver::Amiss) { amiss } else { Vec::new() });
        let likelihood = Likelihood { amiss: amiss.as_deref(), ..likelihood };
        if self.is_well() {
            let mut sound = likelihood.soundness();
            likelihood.weigh_readings(&mut sound);
            let before = Shares::of(self.vehicle(), std::iter::once(&sound), &[]);
            let read = (evidence.readings.len(), &readings.taken[..]);
            return Ok(Belief { look, ..collect(self.vehicle(), vec![sound], &before, read, theta) });
        }
        let mut candidates = likelihood.singles();
        if let Some(first) = repaired_before(&likelihood, &candidates) {
            candidates.extend(likelihood.singles_behind(&first));
        }
        // How often faults are met does not hang on what is answered.
        let frequency = Frequency::of(&candidates);
        // What people answer is heard before anything is measured: it moves the
        // odds, but clears nothing.
        let hearing = Hearing::of(self.vehicle(), self.trees(), evidence);
        let hear = |candidate: &mut Candidate| {
            let began = began(candidate.began);
            candidate.raise_prior(hearing.log_chance(&candidate.hypothesis, candidate.site, began));
        };
        let onsets = onsets(self.tables(), evidence);
        let mut candidates = begun(candidates, &onsets);
        candidates.iter_mut().for_each(hear);
        let before = Shares::of(self.vehicle(), candidates.iter(), &[]);
        likelihood.weigh_readings_of_all(&mut candidates);
        let mut more = beyond_singles(&Shortlist::new(likelihood, frequency, &onsets, &candidates));
        more.iter_mut().for_each(hear);
        candidates.extend(more);
        let read = (evidence.readings.len(), &readings.taken[..]);
        Ok(Belief { look, ..collect(self.vehicle(), candidates, &before, read, theta) })
    }
}

/// What no single fault explains: brought in only where that is so, or a repair
/// has cured nothing.
fn beyond_singles(shortlist: &Shortlist<'_>) -> Vec<Candidate> {
    let unexplained = shortlist.leaves_something_unexplained() && !shortlist.is_looked_over_and_well();
    let mut more = if unexplained { pairs(shortlist) } else { Vec::new() };
    if unexplained || shortlist.likelihood.evidence.earlier.is_some() {
        more.extend(pruned(shortlist, &ElsewherePairs(shortlist)));
        more.extend(pruned(shortlist, &UndrawnPaths::of(shortlist)));
    }
    more
}

/// The fault of a renewed part that explains best what was known then.
fn repaired_before(likelihood: &Likelihood<'_>, candidates: &[Candidate]) -> Option<Candidate> {
    let earlier = likelihood.evidence.earlier.as_ref()?;
    let then = Evidence {
        observations: earlier.observations.clone(),
        readings: earlier.readings.clone(),
        unheeded: likelihood.evidence.unheeded.clone(),
        ..Evidence::default()
    };
    let Likelihood { engine, models, theta, .. } = *likelihood;
    let readings = &RecordedReadings::of(engine, &then);
    let before = Likelihood { engine, evidence: &then, readings, models, theta, amiss: None };
    let seen: Vec<&Observation> = then.observations.iter().collect();
    let renewed = candidates.iter().filter(|candidate| likelihood.vain_repairs(candidate) > 0);
    let weighed = renewed.map(|candidate| {
        // The last repair of it was good, whatever became of those before.
        let fails = candidate.hypothesis.part().map_or(1.0, |part| likelihood.repair_fails(part));
        let log_prior = candidate.log_prior - LogWeight::of(fails);
        let log_weight = log_prior + before.seen(&seen, &candidate.hypothesis);
        let mut candidate = Candidate { log_prior, log_weight, joint: None, showed: None, ..candidate.clone() };
        before.weigh_readings(&mut candidate);
        candidate
    });
    weighed.max_by(|a, b| a.log_weight.total_cmp(&b.log_weight))
}

/// Every fault with every time at which it may have begun.
fn begun(candidates: Vec<Candidate>, onsets: &[Onset]) -> Vec<Candidate> {
    if onsets.len() < 2 {
        return candidates;
    }
    let with = |candidate: Candidate| {
        let times = if candidate.hypothesis == Hypothesis::Sound { &[Onset::ALL_ALONG][..] } else { onsets };
        times.iter().map(move |&onset| {
            let mut candidate = candidate.clone();
            candidate.begin(onset);
            candidate
        })
    };
    candidates.into_iter().flat_map(with).collect()
}
