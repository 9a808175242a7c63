//! Priors of the single-fault hypotheses, and what was seen: every fault of the
//! catalogue in all its sizes, nothing wrong, and a drawing that is not the vehicle.
//!
//! A size is one stretch of a mixture of log-normals that leaves no gap. After a
//! complaint, a hypothesis that makes it hardly likelier than soundness does is no
//! explanation of it. After a repair that cured nothing, either the renewed part was
//! sound, or the repair failed, or another fault hid behind it.

use super::candidate::Candidate;
use super::evidence::{Observation, Past, Reading, Sign};
use super::likelihood::Likelihood;
use super::look_over::{LookOver, look_over};
use super::memory::{Faulty, Seen};
use super::prior::well;
use super::site::Site;
use crate::fault::{FailureMode, Fault, Size, concerns, sizes, ways};
use crate::odds::LogWeight;
use crate::predict::{Hypothesis, StateModel};
use crate::quantity::Volts;
use crate::tables::faults::Faults;
use crate::vehicle::{PartId, Vehicle};
use std::rc::Rc;

/// Numerical: faults that a table of rates leaves out have a frequency all the same.
const LEAST_RATE: f64 = 1e-9;

/// Numerical: a change smaller than this is none, on a meter with a last digit of 0.1 mV.
const LEAST_SHOWN: Volts = Volts(5e-5);
/// Numerical: share of its voltage by which a load must move to be touched at all.
const UNTOUCHED: f64 = 1e-4;
/// Numerical: of the sizes of a path, one in so many is tried for whether it
/// shows at all.
const SIZES_TRIED: usize = 4;

impl Likelihood<'_> {
    /// Every single fault, nothing wrong and a wrong drawing, by all that was
    /// seen.
    pub fn singles(&self) -> Vec<Candidate> {
        let (mut candidates, total) = self.faulty(self.evidence.all_observations());
        for candidate in &mut candidates {
            let in_vain = candidate.hypothesis.faults().next().map(|(fault, _)| self.in_vain(fault));
            candidate.raise_prior(in_vain.unwrap_or(LogWeight::ONE));
        }
        let priors = &self.engine.tables().belief;
        let beside = |share: f64| LogWeight::of(total.max(LEAST_RATE) * share);
        let (_, later) = complaint_and_later(self.evidence.all_observations());
        let sound_later = self.seen(&later, &Hypothesis::Sound);
        let others_seen = self.evidence.all_observations().count().saturating_sub(1) as f64;
        let undrawn_later = LogWeight::of(self.engine.tables().belief.undrawn_sign) * others_seen;
        let none = |site, log_weight| Candidate::new(Hypothesis::Sound, site, LogWeight::ONE, log_weight);
        candidates.push(none(Site::Nothing, beside(well(priors, self.is_amiss())) + sound_later));
        candidates.push(none(Site::Undrawn, beside(priors.not_as_drawn) + undrawn_later));
        candidates
    }

    /// That nothing is wrong, and nothing beside it.
    pub fn soundness(&self) -> Candidate {
        let observations: Vec<&Observation> = self.evidence.all_observations().collect();
        let seen = self.seen(&observations, &Hypothesis::Sound);
        Candidate::new(Hypothesis::Sound, Site::Nothing, LogWeight::ONE, seen)
    }

    /// Every fault as what was left when a repair had cured another one: until
    /// then `first` showed and hid it.
    pub fn singles_behind(&self, first: &Candidate) -> Vec<Candidate> {
        let (mut candidates, total) = self.faulty(self.evidence.observations.iter());
        let earlier = self.evidence.earlier.iter();
        let seen_then: Vec<&Observation> = earlier.flat_map(|earlier| &earlier.observations).collect();
        let then = self.seen(&seen_then, &first.hypothesis);
        let prior = LogWeight::of(self.engine.tables().belief.two_faults) + first.log_prior
            - LogWeight::of(total.max(LEAST_RATE));
        candidates.retain(|candidate| self.vain_repairs(candidate) == 0);
        for candidate in &mut candidates {
            candidate.log_prior += prior;
            candidate.log_weight += prior + then;
            candidate.showed = Some(first.hypothesis);
        }
        candidates
    }

    /// Chance that a repair of a part fails.
    pub fn repair_fails(&self, part: PartId) -> f64 {
        let figures = &self.engine.tables().belief;
        if self.engine.vehicle().part(part).kind.is_fuse() { figures.new_fuse_fails } else { figures.repair_fails }
    }

    /// Chance that a fault is there though its part was renewed, as often as it was.
    pub fn in_vain(&self, fault: Fault) -> LogWeight {
        LogWeight::of(self.repair_fails(fault.part)) * self.vain_repairs_of(fault) as f64
    }

    /// How often that was. Whoever renews one of two that have changed places fits
    /// it where the old one was, so the first time says nothing.
    fn vain_repairs_of(&self, fault: Fault) -> usize {
        let renewed = self.evidence.repaired_in_vain().filter(|&part| concerns(self.engine.vehicle(), fault, part));
        renewed.count().saturating_sub(usize::from(fault.mode == FailureMode::Crossed))
    }

    /// How often the part at fault was renewed, and the complaint stayed; the
    /// fuse that a fault opens does not count, it opens again.
    pub fn vain_repairs(&self, candidate: &Candidate) -> usize {
        candidate.hypothesis.faults().next().map_or(0, |(fault, _)| self.vain_repairs_of(fault))
    }

    /// Every fault of every size, and how often all of them together make such
    /// a complaint.
    fn faulty<'o>(&self, observations: impl Iterator<Item = &'o Observation>) -> Faulty {
        let (complaint, later) = complaint_and_later(observations);
        let vehicle = self.engine.vehicle();
        let by_cause = self.evidence.all_observations().any(|seen| seen.sign == Sign::BlowsFuse)
            || self.evidence.repaired_in_vain().any(|part| vehicle.part(part).kind.is_fuse());
        let seen = Seen {
            complaint: complaint.cloned(),
            later: later.iter().map(|&one| one.clone()).collect(),
            by_cause,
            tree: self.evidence.tree,
            is_history_heeded: !self.evidence.unheeded.contains(&Past::History),
            states: self.models.iter().map(|(state, _)| state.clone()).collect(),
        };
        let work_out = || Rc::new(self.faulty_afresh(complaint, &later, by_cause));
        let (mut candidates, total) = (*self.engine.memo().faulty.get_or(seen, work_out)).clone();
        let same = |a: &Candidate, b: &Candidate| {
            a.hypothesis.faults().next().map(|one| one.0) == b.hypothesis.faults().next().map(|one| one.0)
        };
        for of_fault in candidates.chunk_by_mut(same) {
            let fault = of_fault.first().and_then(|candidate| candidate.hypothesis.faults().next());
            if fault.is_some_and(|(fault, _)| !self.could_show(fault)) {
                of_fault.iter_mut().for_each(|candidate| candidate.shows = Hypothesis::Sound);
            }
        }
        (candidates, total)
    }

    fn faulty_afresh(&self, complaint: Option<&Observation>, later: &[&Observation], by_cause: bool) -> Faulty {
        let (engine, vehicle) = (self.engine, self.engine.vehicle());
        let complained_of = |hypothesis: &Hypothesis| self.seen(complaint.as_slice(), hypothesis);
        let seen_later = |hypothesis: &Hypothesis| self.seen(later, hypothesis);
        let sound = complained_of(&Hypothesis::Sound) + seen_later(&Hypothesis::Sound);
        let used: Vec<&Rc<StateModel>> = self.models.iter().map(|(_, model)| model).collect();
        let mut candidates = Vec::new();
        let mut total = 0.0;
        for likely in engine.catalogue() {
            let dull = complaint.is_some_and(|seen| !self.could_explain(likely.fault, seen));
            if dull || !makes_a_difference(vehicle, likely.fault, &used) {
                continue;
            }
            let rate = likely.rate * engine.raised(self.evidence, likely.fault.part);
            for size in hardest_first(&engine.tables().faults, likely.fault.mode) {
                let hypothesis = Hypothesis::Faulty { fault: likely.fault, size };
                let prior = rate * size.map_or(1.0, |size| size.share);
                let (site, lasting) = match by_cause {
                    true => (Site::Part(likely.fault.part), hypothesis),
                    false => self.site(likely.fault, hypothesis, complaint),
                };
                let (complained, later) = (complained_of(&hypothesis), seen_later(&lasting));
                let explains = complained + later > sound + LogWeight::of(self.engine.tables().belief.explains);
                if complaint.is_some_and(|seen| !explains && !self.leaves_it_wrong(&hypothesis, seen)) {
                    if complaint.is_some_and(|seen| self.is_untouched(&hypothesis, seen)) {
                        break;
                    }
                    continue;
                }
                let mut candidate = Candidate::new(lasting, site, LogWeight::of(prior), complained + later);
                candidate.log_complained = complained;
                candidate.name(self.named(complaint, &lasting));
                total += (candidate.log_prior + complained).weight();
                candidates.push(candidate);
            }
        }
        (candidates, total)
    }

    /// Whether a load that was complained of for how it looks is not right, or a
    /// battery gives more than it should.
    fn leaves_it_wrong(&self, hypothesis: &Hypothesis, seen: &Observation) -> bool {
        if seen.sign == Sign::GoesFlat {
            let (model, battery) = (&self.models[&seen.state], seen.subject.index());
            let given = model.under(self.engine.vehicle(), &model.series().stand_in(hypothesis, &[])).current(battery);
            return (given - model.solution().current(battery)).0 > self.engine.tables().belief.drains.0;
        }
        let served = || self.models[&seen.state].performance(self.engine.vehicle(), hypothesis, seen.subject);
        matches!(seen.sign, Sign::Looks(_)) && served() < self.engine.tables().belief.not_right
    }

    /// Whether a load that was complained of is served as if all were sound: then
    /// what is milder does nothing to it either.
    fn is_untouched(&self, hypothesis: &Hypothesis, seen: &Observation) -> bool {
        let vehicle = self.engine.vehicle();
        let served = |hypothesis: &Hypothesis| self.models[&seen.state].performance(vehicle, hypothesis, seen.subject);
        matches!(seen.sign, Sign::Looks(_) | Sign::StaysOn)
            && (served(hypothesis) - served(&Hypothesis::Sound)).abs() < UNTOUCHED
    }

    /// A cheap look at whether any size of a fault could explain a complaint.
    fn could_explain(&self, fault: Fault, complaint: &Observation) -> bool {
        let (vehicle, model) = (self.engine.vehicle(), &self.models[&complaint.state]);
        let load = complaint.subject;
        // What is not of a load is asked of the solve itself.
        if !vehicle.part(load).kind.is_load() || fault.involves(load) {
            return true;
        }
        let size = hardest_first(&self.engine.tables().faults, fault.mode).into_iter().next().flatten();
        let hardest = Hypothesis::Faulty { fault, size };
        let share = |hypothesis: &Hypothesis| model.performance(vehicle, hypothesis, load);
        let shows = || (share(&hardest) - share(&Hypothesis::Sound)).abs() > self.engine.tables().belief.could_explain;
        model.could_touch(vehicle, &hardest, load) && (!fault.mode.adds_path() || shows())
    }

    /// What a look over shows, and the readings that are amiss; none where somebody
    /// complains.
    pub fn look_over(&self) -> Option<(LookOver, Vec<usize>)> {
        if self.evidence.has_complaint() {
            return None;
        }
        let mut sound = self.soundness();
        self.weigh_readings(&mut sound);
        let read = (&self.readings.all[..], &self.readings.taken[..]);
        sound.joint.map(|joint| look_over(&self.engine.tables().belief, &joint, read, self.theta))
    }

    /// Whether somebody complains, or a look over has shown that something is amiss.
    fn is_amiss(&self) -> bool {
        self.amiss.is_none_or(|amiss| !amiss.is_empty())
    }

    /// A cheap look at whether any size of a fault could move any reading; where
    /// nobody complains, any that is amiss: what moves none of those gains nothing.
    fn could_show(&self, fault: Fault) -> bool {
        let mut readings = self.evidence.all_readings().enumerate();
        let counts = |index: &usize| self.amiss.is_none_or(|amiss| amiss.contains(index));
        readings.any(|(index, reading)| counts(&index) && self.could_show_in(index, reading, fault))
    }

    /// The same of one reading.
    pub fn could_show_in(&self, index: usize, reading: &Reading, fault: Fault) -> bool {
        let moves = &self.engine.memo().moves;
        moves.get_or((self.readings.numbers[index], fault), || self.could_move(fault, reading))
    }

    fn could_move(&self, fault: Fault, reading: &Reading) -> bool {
        let (vehicle, model) = (self.engine.vehicle(), &self.models[&reading.state]);
        if fault.mode.is_of_display() {
            return reading.probe.instrument() == Some(fault.part);
        }
        let Some((red, black)) = reading.probe.bare_voltage() else { return true };
        match fault.mode {
            FailureMode::Crossed
            | FailureMode::OpenCircuit
            | FailureMode::HighResistance
            | FailureMode::Undersized
            | FailureMode::CommonCause => {
                ways(vehicle, fault).any(|part| model.could_move(vehicle, part, red, black, LEAST_SHOWN))
            }
            // The hardest blows a fuse, and may show less than a milder one.
            FailureMode::ShortToGround | FailureMode::ShortBetweenCircuits | FailureMode::Leakage => {
                let some = sizes(&self.engine.tables().faults, fault.mode).into_iter().step_by(SIZES_TRIED);
                some.map(|size| Hypothesis::Faulty { fault, size })
                    .any(|hypothesis| model.paths_move(vehicle, &hypothesis, (red, black), LEAST_SHOWN))
            }
            FailureMode::ContactWelded
            | FailureMode::ShortAcross
            | FailureMode::LowVoltage
            | FailureMode::HighDraw
            | FailureMode::LowDraw
            | FailureMode::StaysAwake
            | FailureMode::WrongTerminal
            | FailureMode::WrongRating => true,
            FailureMode::Stuck | FailureMode::ReadsOff | FailureMode::WrongScale | FailureMode::Drifts => false,
        }
    }

    /// Where a fault shows, and what it leaves behind: a short that has blown a
    /// fuse shows at the fuse, which stays open whatever is then switched off.
    fn site(&self, fault: Fault, hypothesis: Hypothesis, complaint: Option<&Observation>) -> (Site, Hypothesis) {
        let model = complaint.filter(|_| fault.mode.may_blow()).map(|seen| &self.models[&seen.state]);
        let opened = model.and_then(|model| {
            let vehicle = self.engine.vehicle();
            let opened = model.under(vehicle, &hypothesis).blown();
            // That of a test lead stays with the lead.
            let is_drawn = |&fuse: &usize| fuse < vehicle.parts.len();
            let mut opened = opened.into_iter().filter(is_drawn);
            opened.find(|&fuse| !model.solution().is_blown(fuse)).map(PartId::new)
        });
        match (opened, hypothesis) {
            (Some(fuse), Hypothesis::Faulty { fault, size }) if fuse != fault.part => {
                let blown = Fault::new(fuse, FailureMode::OpenCircuit);
                (Site::Part(fuse), Hypothesis::Double { first: (fault, size), second: (blown, None) })
            }
            (Some(fuse), _) => (Site::Part(fuse), hypothesis),
            (None, _) => (Site::Part(fault.part), hypothesis),
        }
    }
}

/// What was seen, as it bears on a fault that is there now: the first complaint,
/// and what was seen beside it.
fn complaint_and_later<'o>(
    observations: impl Iterator<Item = &'o Observation>,
) -> (Option<&'o Observation>, Vec<&'o Observation>) {
    let mut later: Vec<&Observation> = observations.collect();
    let first = later.iter().position(|seen| seen.is_complaint());
    (first.map(|index| later.remove(index)), later)
}

/// The sizes that a way to fail can have, the one that does most first.
fn hardest_first(faults: &Faults, mode: FailureMode) -> Vec<Option<Size>> {
    let mut sizes = sizes(faults, mode);
    if !mode.is_harder_small() {
        sizes.reverse();
    }
    sizes
}

/// A path that carries nothing in any state used cannot have been noticed open.
fn makes_a_difference(vehicle: &Vehicle, fault: Fault, used: &[&Rc<StateModel>]) -> bool {
    let carries = || used.iter().any(|model| ways(vehicle, fault).any(|way| model.carries_current(way)));
    !fault.mode.is_in_series() || used.is_empty() || carries()
}
