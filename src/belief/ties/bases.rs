//! Where to count from in a first look at a path: the vehicle as drawn, with a
//! source at its limit, with a relay the other way, with a fuse open.

use super::super::doubles::Desk;
use super::super::evidence::Sign;
use super::look::{Look, Path};
use super::weak::{Given, NOTICED, Trip, Weak, fuses, relays, sources};
use crate::network::{Regime, Solution};
use crate::quantity::Ohms;
use crate::vehicle::{PartKind, PointId, State};
use std::rc::Rc;

/// What was read and complained of, with all as drawn but for what a path has
/// done.
pub(super) struct Base {
    pub given: Given,
    /// The plain voltages.
    pub looks: Vec<Look>,
    /// The volts of a load complained of, and what makes a complaint of them.
    pub complaint: Option<(Look, Complaint)>,
    /// What leads from here to other bases.
    pub trips: Vec<Trip>,
}

/// What a load is complained of.
pub(super) struct Complaint {
    pub sign: Sign,
    pub sound: f64,
    pub least: f64,
}

/// Where to count from: as drawn, with a source at its limit, a relay the other
/// way, a fuse open.
pub(super) fn bases(desk: &Desk<'_>) -> Vec<Base> {
    let complaint = desk.evidence.all_observations().find(|seen| seen.is_complaint());
    let read = desk.evidence.all_readings().next().map(|read| &read.state);
    let used = complaint.map(|seen| &seen.state).or(read);
    let drawn = used.map(|state| desk.models[state].shared_solution());
    let (mut holds, mut opens) = (Vec::new(), Vec::new());
    if let Some(drawn) = &drawn {
        holds = sources(desk, drawn);
        holds.extend(complaint.map_or(Vec::new(), |seen| relays(desk, drawn, seen)));
        opens = fuses(desk, drawn);
    }
    let solution = |state: &State, given: &Given| match given {
        Given::Nothing => Some(desk.models[state].shared_solution()),
        Given::Held(held) => {
            let drawn = desk.models[state].solution();
            // What does not run in a state has no limit there.
            let runs =
                |&&(branch, regime): &&(usize, Regime)| regime != Regime::Limited || drawn.regime(branch) == Regime::On;
            let held: Vec<_> = held.iter().filter(runs).copied().collect();
            drawn.held(&held).ok().map(Rc::new)
        }
        Given::Opened(fuse) => desk.models[state].with_open_fuse(*fuse).ok(),
    };
    let vehicle = desk.engine.vehicle();
    let of = |given: Given| -> Option<Base> {
        // Each state once: readings share it.
        let mut solved: Vec<(&State, Rc<Solution>)> = Vec::new();
        let mut at = |state| -> Option<Rc<Solution>> {
            if let Some((_, known)) = solved.iter().find(|(known, _)| *known == state) {
                return Some(Rc::clone(known));
            }
            let new = solution(state, &given)?;
            solved.push((state, Rc::clone(&new)));
            Some(new)
        };
        let mut looks = Vec::new();
        for reading in desk.evidence.all_readings() {
            if let Some((red, black)) = reading.probe.plain_voltage() {
                looks.push(Look::new(at(&reading.state)?, red, black, reading.on_scale().0));
            }
        }
        let complaint = complaint.and_then(|seen| {
            let PartKind::Load { rated, .. } = vehicle.part(seen.subject).kind else { return None };
            let (red, black) = vehicle.part(seen.subject).ends();
            let sound = desk.models[&seen.state].solution().across(seen.subject.index()).0;
            let complaint = Complaint { sign: seen.sign, sound, least: NOTICED * rated.0 };
            Some((Look::new(at(&seen.state)?, red, black, 0.0), complaint))
        });
        let here = used.and_then(at);
        let trip = |weak: &Weak| here.as_ref().map(|here| weak.trip(desk, here));
        // A source at its limit may keep a fuse from opening, and not the other way.
        let trips = match given {
            Given::Nothing => holds.iter().chain(&opens).filter_map(trip).collect(),
            Given::Held(_) => opens.iter().filter_map(trip).collect(),
            Given::Opened(_) => Vec::new(),
        };
        Some(Base { given, looks, complaint, trips })
    };
    let weak = holds.iter().chain(&opens).map(|weak| weak.then.clone());
    std::iter::once(Given::Nothing).chain(weak).filter_map(of).collect()
}

/// Position of the base that a path leads to.
pub(super) fn base_of(bases: &[Base], path: Path) -> usize {
    let mut at = 0;
    while let Some(trip) = bases[at].trips.iter().find(|trip| trip.is_tripped_by(path)) {
        match bases.iter().position(|base| base.given == trip.then) {
            Some(next) => at = next,
            None => break,
        }
    }
    at
}

impl Base {
    /// Whether a path might be what is complained of; what is not of a load is
    /// asked of the solve itself.
    pub fn explains(&self, path: Path) -> bool {
        let Some((look, complaint)) = &self.complaint else { return true };
        let volts = look.volts_with(path);
        match complaint.sign {
            Sign::StaysOn | Sign::Glows => volts.abs() - complaint.sound.abs() > complaint.least,
            Sign::Looks(_) => (volts - complaint.sound).abs() > complaint.least,
            _ => true,
        }
    }

    /// The resistance that a path must have for the reading that it moves most.
    pub fn size_told(&self, from: PointId, to: PointId) -> Option<Ohms> {
        let moved = |look: &&Look| look.per_ampere(from, to).abs();
        let look = self.looks.iter().max_by(|a, b| moved(a).total_cmp(&moved(b)))?;
        look.size_told(from, to)
    }

    /// How well all readings are met, in rough.
    pub fn fit(&self, path: Path) -> f64 {
        self.looks.iter().map(|look| look.fit(path)).sum()
    }
}
