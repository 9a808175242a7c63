//! Every explanation with its prior and what was seen: single faults of all
//! sizes, nothing wrong, and a drawing that is not the vehicle.

use super::Site;
use super::doubles::SHARE_OF_PAIRS;
use super::evidence::{Evidence, Observation, Past, Reading, Sign};
use super::memory::Known;
use super::phone::as_told;
use super::weigh::{Engine, Entrant, Models};
use crate::fault::{Fault, Mode, Size, concerns, sizes, ways};
use crate::predict::{Hypothesis, StateModel};
use crate::quantity::Volts;
use crate::vehicle::{PartId, Vehicle};
use std::rc::Rc;

/// How much likelier than soundness a fault must make a complaint to count as
/// an explanation of it.
const EXPLAINS: f64 = 1.3;
/// Share of its voltage below which a load is not right, whatever it was
/// called: people take dead for weak.
const NOT_RIGHT: f64 = 0.9;
/// Chance of whatever else is seen when the drawing is not the vehicle: dead,
/// weak and right are alike to it.
const UNDRAWN_SIGN: f64 = 1.0 / 3.0;
/// A change smaller than this is none, on a meter with a last digit of 0.1 mV.
const LEAST_SHOWN: Volts = Volts(5e-5);
/// Share of its voltage by which a load must move to be touched at all.
const UNTOUCHED: f64 = 1e-4;
/// Every how manyth size of a path is tried for whether it shows at all.
const SIZES_TRIED: usize = 4;
/// Share of repairs that do not cure what they were made for; common practice,
/// no source.
const REPAIR_FAILS: f64 = 0.005;
/// The same of a new fuse, unless something opens it.
const NEW_FUSE_FAILS: f64 = 0.001;

/// What was seen, as it bears on a fault that is there now.
struct Seen<'a> {
    /// The first complaint: why anybody is here. It sets what share of the
    /// belief goes to no fault at all.
    complaint: Option<&'a Observation>,
    /// What was seen after it counts for all.
    later: Vec<&'a Observation>,
}

impl<'a> Seen<'a> {
    fn of(observations: impl Iterator<Item = &'a Observation>) -> Self {
        let mut later: Vec<&Observation> = observations.collect();
        let first = later.iter().position(|seen| seen.is_complaint());
        Self { complaint: first.map(|index| later.remove(index)), later }
    }
}

impl Engine {
    /// Every explanation of all that is known.
    pub(super) fn entrants(&self, evidence: &Evidence, models: &Models<'_>) -> Vec<Entrant> {
        let seen = Seen::of(evidence.all_observations());
        let (mut entrants, total) = self.faulty(evidence, models, &seen);
        for entrant in &mut entrants {
            let failed = vain_repairs(self.vehicle(), entrant, evidence) as f64 * self.repair_fails(entrant);
            entrant.weigh_prior(failed);
        }
        let beside = |share: f64| (total.max(1e-9) * share).ln();
        let sound_later = self.seen(&seen.later, &Hypothesis::Sound, models);
        let others_seen = evidence.all_observations().count().saturating_sub(1) as f64;
        let none = |site, log_weight| Entrant::new(Hypothesis::Sound, site, 0.0, log_weight);
        entrants.push(none(Site::Nothing, beside(self.rates().nothing_wrong) + sound_later));
        entrants.push(none(Site::Undrawn, beside(self.rates().not_as_drawn) + others_seen * UNDRAWN_SIGN.ln()));
        entrants
    }

    /// Every fault as what was left when a repair had cured another one: until
    /// then `first` showed and hid it.
    pub(super) fn entrants_behind(&self, evidence: &Evidence, models: &Models<'_>, first: &Entrant) -> Vec<Entrant> {
        let (mut entrants, total) = self.faulty(evidence, models, &Seen::of(evidence.observations.iter()));
        let seen_then: Vec<&Observation> = evidence.earlier.iter().flat_map(|earlier| &earlier.observations).collect();
        let then = self.seen(&seen_then, &first.hypothesis, models);
        let prior = SHARE_OF_PAIRS.ln() + first.log_prior - total.max(1e-9).ln();
        entrants.retain(|entrant| vain_repairs(self.vehicle(), entrant, evidence) == 0);
        for entrant in &mut entrants {
            entrant.log_prior += prior;
            entrant.log_weight += prior + then;
            entrant.showed = Some(first.hypothesis);
        }
        entrants
    }

    /// ln of the chance that a repair of the part at fault fails.
    pub(super) fn repair_fails(&self, entrant: &Entrant) -> f64 {
        let part = entrant.hypothesis.part();
        if part.is_some_and(|part| self.vehicle().part(part).kind.is_fuse()) {
            NEW_FUSE_FAILS.ln()
        } else {
            REPAIR_FAILS.ln()
        }
    }

    /// ln of the chance of what was seen.
    pub(super) fn seen(&self, seen: &[&Observation], hypothesis: &Hypothesis, models: &Models<'_>) -> f64 {
        seen.iter().map(|one| as_told(self.vehicle(), &models[&one.state], hypothesis, one).ln()).sum()
    }

    /// Every fault of every size, and how often all of them together make such
    /// a complaint.
    fn faulty(&self, evidence: &Evidence, models: &Models<'_>, seen: &Seen<'_>) -> (Vec<Entrant>, f64) {
        let known = Known {
            complaint: seen.complaint.cloned(),
            later: seen.later.iter().map(|&one| one.clone()).collect(),
            tree: evidence.tree,
            repaired: evidence.repaired_in_vain().collect(),
            is_history_heeded: !evidence.unheeded.contains(&Past::History),
            states: models.iter().map(|(state, _)| state.clone()).collect(),
        };
        let remembered = self.memory().borrow().faulty(&known);
        let faulty = remembered.unwrap_or_else(|| {
            let faulty = Rc::new(self.faulty_afresh(evidence, models, seen));
            self.memory().borrow_mut().keep_faulty(known, &faulty);
            faulty
        });
        let (mut entrants, total) = (*faulty).clone();
        let same = |a: &Entrant, b: &Entrant| {
            a.hypothesis.faults().next().map(|one| one.0) == b.hypothesis.faults().next().map(|one| one.0)
        };
        for of_fault in entrants.chunk_by_mut(same) {
            let fault = of_fault.first().and_then(|entrant| entrant.hypothesis.faults().next());
            if fault.is_some_and(|(fault, _)| !self.could_show(fault, evidence, models)) {
                of_fault.iter_mut().for_each(|entrant| entrant.shows = Hypothesis::Sound);
            }
        }
        (entrants, total)
    }

    fn faulty_afresh(&self, evidence: &Evidence, models: &Models<'_>, seen: &Seen<'_>) -> (Vec<Entrant>, f64) {
        let complaint = |hypothesis: &Hypothesis| self.seen(seen.complaint.as_slice(), hypothesis, models);
        let later = |hypothesis: &Hypothesis| self.seen(&seen.later, hypothesis, models);
        let sound = complaint(&Hypothesis::Sound) + later(&Hypothesis::Sound);
        let used: Vec<&Rc<StateModel>> = models.iter().map(|(_, model)| model).collect();
        // Of a fuse that keeps blowing the place is what blows it.
        let by_cause = evidence.all_observations().any(|seen| seen.sign == Sign::BlowsFuse)
            || evidence.repaired_in_vain().any(|part| self.vehicle().part(part).kind.is_fuse());
        let mut entrants = Vec::new();
        let mut total = 0.0;
        for likely in self.catalogue() {
            let dull = seen.complaint.is_some_and(|seen| !self.could_explain(likely.fault, seen, &models[&seen.state]));
            if dull || !makes_a_difference(self.vehicle(), likely.fault, &used) {
                continue;
            }
            let rate = likely.rate * self.raised(evidence, likely.fault.part);
            for size in hardest_first(likely.fault.mode) {
                let hypothesis = Hypothesis::Faulty { fault: likely.fault, size };
                let prior = rate * size.map_or(1.0, |size| size.share);
                let (site, lasting) = match by_cause {
                    true => (Site::Part(likely.fault.part), hypothesis),
                    false => self.site(likely.fault, hypothesis, seen.complaint, models),
                };
                let (complained, later) = (complaint(&hypothesis), later(&lasting));
                let explains = complained + later > sound + EXPLAINS.ln();
                if seen.complaint.is_some_and(|seen| !explains && !self.leaves_it_wrong(&hypothesis, seen, models)) {
                    if seen.complaint.is_some_and(|seen| self.is_untouched(&hypothesis, seen, models)) {
                        break;
                    }
                    continue;
                }
                let log_prior = prior.ln();
                let mut entrant = Entrant::new(lasting, site, log_prior, complained + later);
                entrant.name(self.named(evidence, seen.complaint, &lasting, models));
                total += (entrant.log_prior + complained).exp();
                entrants.push(entrant);
            }
        }
        (entrants, total)
    }

    /// Whether a load that was complained of for how it looks is not right.
    fn leaves_it_wrong(&self, hypothesis: &Hypothesis, seen: &Observation, models: &Models<'_>) -> bool {
        let served = || models[&seen.state].performance(self.vehicle(), hypothesis, seen.subject);
        matches!(seen.sign, Sign::Looks(_)) && served() < NOT_RIGHT
    }

    /// Whether a load that was complained of is served as if all were sound: then
    /// what is milder does nothing to it either.
    fn is_untouched(&self, hypothesis: &Hypothesis, seen: &Observation, models: &Models<'_>) -> bool {
        let vehicle = self.vehicle();
        let served = |hypothesis: &Hypothesis| models[&seen.state].performance(vehicle, hypothesis, seen.subject);
        matches!(seen.sign, Sign::Looks(_) | Sign::StaysOn)
            && (served(hypothesis) - served(&Hypothesis::Sound)).abs() < UNTOUCHED
    }

    /// A cheap look at whether any size of a fault could explain a complaint.
    fn could_explain(&self, fault: Fault, complaint: &Observation, model: &StateModel) -> bool {
        let vehicle = self.vehicle();
        let load = complaint.subject;
        let is_of_load = vehicle.part(load).kind.is_load();
        match (complaint.sign, fault.mode) {
            // What is not of a load is asked of the solve itself.
            _ if !is_of_load || fault.involves(load) => true,
            (_, Mode::Crossed) => fault.parts().any(|part| model.could_matter(vehicle, part, load)),
            (_, mode) if mode.is_in_series() => model.series_matters(vehicle, fault, load),
            (_, Mode::Leak | Mode::Bridged | Mode::Seeping) => {
                let hardest = Hypothesis::Faulty { fault, size: sizes(fault.mode)[0] };
                let share = |hypothesis: &Hypothesis| model.performance(vehicle, hypothesis, load);
                model.drives(vehicle, &hardest) && (share(&hardest) - share(&Hypothesis::Sound)).abs() > 0.01
            }
            _ => true,
        }
    }

    /// A cheap look at whether any size of a fault could move any reading.
    fn could_show(&self, fault: Fault, evidence: &Evidence, models: &Models<'_>) -> bool {
        evidence.all_readings().enumerate().any(|(index, reading)| {
            let known = self.memory().borrow().is_moved(index, fault);
            known.unwrap_or_else(|| {
                let moves = self.could_move(fault, reading, &models[&reading.state]);
                self.memory().borrow_mut().keep_moved(index, fault, moves);
                moves
            })
        })
    }

    fn could_move(&self, fault: Fault, reading: &Reading, model: &StateModel) -> bool {
        let vehicle = self.vehicle();
        let Some((red, black)) = reading.probe.plain_voltage() else { return true };
        match fault.mode {
            mode if mode == Mode::Crossed || mode.is_in_series() => {
                ways(vehicle, fault).any(|part| model.could_move(vehicle, part, red, black, LEAST_SHOWN))
            }
            // The hardest blows a fuse, and may show less than a milder one.
            Mode::Leak | Mode::Bridged | Mode::Seeping => {
                let volts = |hypothesis: &Hypothesis| model.view(vehicle, hypothesis).volts(red, black);
                let sound = volts(&Hypothesis::Sound);
                let some = sizes(fault.mode).into_iter().step_by(SIZES_TRIED);
                some.map(|size| Hypothesis::Faulty { fault, size }).any(|hypothesis| {
                    model.drives(vehicle, &hypothesis) && (volts(&hypothesis) - sound).abs() > LEAST_SHOWN.0
                })
            }
            _ => true,
        }
    }

    /// Where a fault shows, and what it leaves behind: a short that has blown a
    /// fuse shows at the fuse, which stays open whatever is then switched off.
    fn site(
        &self,
        fault: Fault,
        hypothesis: Hypothesis,
        complaint: Option<&Observation>,
        models: &Models<'_>,
    ) -> (Site, Hypothesis) {
        let blows =
            matches!(fault.mode, Mode::Leak | Mode::Shorted | Mode::Bridged | Mode::HighDraw | Mode::WrongRating);
        let model = complaint.filter(|_| blows).map(|seen| &models[&seen.state]);
        let opened = model.and_then(|model| {
            let opened = model.under(self.vehicle(), &hypothesis).blown();
            opened.into_iter().find(|&fuse| !model.solution().is_blown(fuse)).map(PartId::new)
        });
        match (opened, hypothesis) {
            (Some(fuse), Hypothesis::Faulty { fault, size }) if fuse != fault.part => {
                let blown = Fault::new(fuse, Mode::Open);
                (Site::Part(fuse), Hypothesis::Double { first: (fault, size), second: (blown, None) })
            }
            (Some(fuse), _) => (Site::Part(fuse), hypothesis),
            (None, _) => (Site::Part(fault.part), hypothesis),
        }
    }
}

/// The sizes that a way to fail can have, the one that does most first.
fn hardest_first(mode: Mode) -> Vec<Option<Size>> {
    let mut sizes = sizes(mode);
    if !matches!(mode, Mode::Leak | Mode::Bridged | Mode::Seeping) {
        sizes.reverse();
    }
    sizes
}

/// How often the part at fault was renewed, and the complaint stayed; the fuse
/// that a fault opens does not count, it opens again.
pub(super) fn vain_repairs(vehicle: &Vehicle, entrant: &Entrant, evidence: &Evidence) -> usize {
    let own = entrant.hypothesis.faults().next();
    own.map_or(0, |(fault, _)| evidence.repaired_in_vain().filter(|&part| concerns(vehicle, fault, part)).count())
}

/// A path that carries nothing in any state used cannot have been noticed open.
fn makes_a_difference(vehicle: &Vehicle, fault: Fault, used: &[&Rc<StateModel>]) -> bool {
    let carries = || used.iter().any(|model| ways(vehicle, fault).any(|way| model.carries_current(way)));
    !fault.mode.is_in_series() || used.is_empty() || carries()
}
