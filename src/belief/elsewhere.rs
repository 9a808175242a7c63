//! Two connections that have changed places, with a fault behind them that the
//! drawing shows elsewhere (multiple-fault diagnosis).
//!
//! Two feeds that begin at one place and have changed places at it work as well as
//! before, so nobody notices until one of them fails: then the load of the other is
//! dead. Of all circuits so many are found like that; which of those beside it a
//! connection has changed places with, nobody knows:
//! P(swap, fault) = P(changed places) P(fault) / (how many are beside it).

use super::candidate::Candidate;
use super::evidence::Observation;
use super::proposer::Proposer;
use super::shortlist::{Shortlist, sole};
use super::site::Site;
use crate::fault::{FailureMode, Fault, Size};
use crate::odds::LogWeight;
use crate::predict::{Hypothesis, Sized};
use crate::vehicle::PartId;
use crate::vehicle::trace::lead_to;

/// Proposes them.
pub(super) struct ElsewherePairs<'s, 'a>(pub &'s Shortlist<'a>);

impl Proposer for ElsewherePairs<'_, '_> {
    fn batches(&self) -> impl Iterator<Item = Vec<Candidate>> {
        let complaint = self.0.likelihood.evidence.all_observations().find(|seen| seen.is_complaint());
        let mut candidates = complaint.map_or_else(Vec::new, |complaint| self.candidates(complaint));
        self.0.likelihood.weigh_readings_of_all(&mut candidates);
        std::iter::once(candidates)
    }
}

impl ElsewherePairs<'_, '_> {
    fn candidates(&self, complaint: &Observation) -> Vec<Candidate> {
        let (swaps, kinds) = (self.swaps(complaint), self.kinds());
        let log_prior = |swap: Fault| {
            let beside = swaps.iter().filter(|other| swap.parts().any(|part| other.involves(part))).count();
            LogWeight::of(self.0.likelihood.engine.tables().belief.changed_places / beside.max(1) as f64)
        };
        let behind = |&swap: &Fault| {
            let prior = log_prior(swap);
            let faults = self.behind(complaint, swap, &kinds).into_iter();
            faults.map(move |fault| self.candidate(swap, fault, prior))
        };
        swaps.iter().flat_map(behind).collect()
    }

    /// The connections that may have changed places, one of each on the way of what
    /// is complained of.
    fn swaps(&self, complaint: &Observation) -> Vec<Fault> {
        let likelihood = &self.0.likelihood;
        let (engine, vehicle, load) = (likelihood.engine, likelihood.engine.vehicle(), complaint.subject);
        if !vehicle.part(load).kind.is_load() {
            return Vec::new();
        }
        let model = &likelihood.models[&complaint.state];
        let matters = |part: PartId| model.carries_current(part) && model.could_matter(vehicle, part, load);
        let crossed = engine.catalogue().iter().map(|likely| likely.fault);
        let crossed = crossed.filter(|fault| fault.mode == FailureMode::Crossed);
        crossed.filter(|fault| fault.parts().filter(|&part| matters(part)).count() == 1).collect()
    }

    /// The ways and sizes of the faults that explain most by themselves.
    fn kinds(&self) -> Vec<(FailureMode, Option<Size>)> {
        let mut kinds = vec![(FailureMode::OpenCircuit, None)];
        for leader in &self.0.leaders {
            let Some((fault, size)) = sole(leader).filter(|(fault, _)| fault.mode.is_series()) else { continue };
            if !kinds.contains(&(fault.mode, size)) {
                kinds.push((fault.mode, size));
            }
        }
        kinds
    }

    /// What may have failed on the way to either of two that have changed places, in
    /// these ways and sizes.
    fn behind(&self, complaint: &Observation, swap: Fault, kinds: &[(FailureMode, Option<Size>)]) -> Vec<Sized> {
        let (engine, vehicle) = (self.0.likelihood.engine, self.0.likelihood.engine.vehicle());
        let mut parts: Vec<PartId> = swap
            .parts()
            .flat_map(|part| <[_; 2]>::from(vehicle.part(part).ends()))
            .flat_map(|end| lead_to(vehicle, &complaint.state, end))
            .collect();
        parts.sort_unstable();
        parts.dedup();
        let behind = |part: PartId| kinds.iter().map(move |&(mode, size)| (Fault::new(part, mode), size));
        let can_be = |(fault, _): &Sized| engine.rate_of(*fault) > 0.0;
        parts.into_iter().flat_map(behind).filter(can_be).collect()
    }

    fn candidate(&self, swap: Fault, (fault, size): Sized, log_prior: LogWeight) -> Candidate {
        let engine = self.0.likelihood.engine;
        let hypothesis = Hypothesis::Double { first: (fault, size), second: (swap, None) };
        let other = if swap.part == fault.part { swap.other.unwrap_or(swap.part) } else { swap.part };
        let rate = engine.rate_of(fault) * size.map_or(1.0, |size| size.share);
        let observations = self.0.likelihood.evidence.all_observations();
        let seen = observations.map(|seen| self.0.seen(seen, &hypothesis)).sum();
        let log_prior = log_prior + self.0.likelihood.in_vain(fault) + self.0.likelihood.in_vain(swap);
        let site = Site::Both(fault.part, other);
        let mut candidate = Candidate::new(hypothesis, site, log_prior + LogWeight::of(rate), seen);
        // One load stops, and that is named: the other is fed by way of what is whole.
        candidate.begin(self.0.onset);
        candidate
    }
}
