//! Where to count from in a first look at a path: the vehicle as drawn, with a
//! source at its limit, with a relay the other way, with a fuse open.

use super::super::doubles::Desk;
use super::super::evidence::Sign;
use super::look::{Look, Span};
use super::weak::{Given, Trip, Weak, fuses, least, relays, sources};
use crate::fault::Size;
use crate::network::{Regime, Solution};
use crate::quantity::{Ohms, Volts};
use crate::vehicle::{PointId, State};
use std::rc::Rc;

/// What was read and complained of, with all as drawn but for what a path has
/// done.
pub(super) struct Base {
    pub given: Given,
    /// The plain voltages.
    pub looks: Vec<Look>,
    /// The volts of what is complained of, and what makes a complaint of them.
    pub complaint: Option<(Look, Complaint)>,
    /// What leads from here to other bases.
    pub trips: Vec<Trip>,
}

/// What is complained of.
pub(super) struct Complaint {
    pub sign: Sign,
    pub sound: Volts,
    pub least: Volts,
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
            let least = least(vehicle, seen.subject)?;
            let (red, black) = vehicle.part(seen.subject).ends();
            let sound = desk.models[&seen.state].solution().across(seen.subject.index());
            let complaint = Complaint { sign: seen.sign, sound, least };
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

/// A base with two points in view that paths of any size may join.
pub(super) struct Sight<'b> {
    base: &'b Base,
    from: PointId,
    to: PointId,
    complaint: Option<Span>,
    trips: Vec<Span>,
    /// Of the readings, once they are asked for.
    looks: Vec<Span>,
}

/// Position of the base that a path leads to.
pub(super) fn base_of(sights: &[Sight<'_>], size: Size) -> usize {
    let mut at = 0;
    while let Some(then) = sights[at].tripped_by(size) {
        match sights.iter().position(|sight| sight.base.given == *then) {
            Some(next) => at = next,
            None => break,
        }
    }
    at
}

impl<'b> Sight<'b> {
    pub fn through(base: &'b Base) -> Self {
        let point = PointId::new(0);
        Self { base, from: point, to: point, complaint: None, trips: Vec::new(), looks: Vec::new() }
    }

    pub fn aim(&mut self, from: PointId, to: PointId) {
        (self.from, self.to) = (from, to);
        self.complaint = self.base.complaint.as_ref().map(|(look, _)| look.span(from, to));
        self.trips.clear();
        self.trips.extend(self.base.trips.iter().map(|trip| trip.look.span(from, to)));
        self.looks.clear();
    }

    /// What a path does beside joining the two points.
    fn tripped_by(&self, size: Size) -> Option<&'b Given> {
        let mut trips = self.base.trips.iter().zip(&self.trips);
        trips.find(|(trip, span)| trip.weak.is_tripped_at(span.volts_with(size))).map(|(trip, _)| &trip.weak.then)
    }

    /// Whether a path might be what is complained of; what is not of a load is
    /// asked of the solve itself.
    pub fn explains(&self, size: Size) -> bool {
        let complaint = self.base.complaint.as_ref().map(|(_, complaint)| complaint);
        let Some((span, complaint)) = self.complaint.as_ref().zip(complaint) else { return true };
        let volts = span.volts_with(size);
        match complaint.sign {
            Sign::StaysOn | Sign::Glows => volts.abs() - complaint.sound.0.abs() > complaint.least.0,
            Sign::Looks(_) | Sign::GoesFlat => (volts - complaint.sound.0).abs() > complaint.least.0,
            _ => true,
        }
    }

    fn looks(&mut self) -> &[Span] {
        if self.looks.is_empty() {
            self.looks.extend(self.base.looks.iter().map(|look| look.span(self.from, self.to)));
        }
        &self.looks
    }

    /// The resistance that a path must have for the reading that it moves most.
    pub fn size_told(&mut self) -> Option<Ohms> {
        let base = self.base;
        let looks = base.looks.iter().zip(self.looks());
        let (look, span) = looks.max_by(|a, b| a.1.transfer.abs().total_cmp(&b.1.transfer.abs()))?;
        span.size_told(look.value)
    }

    /// How well all readings are met, in rough.
    pub fn fit(&mut self, size: Size) -> f64 {
        let base = self.base;
        base.looks.iter().zip(self.looks()).map(|(look, span)| look.fit(span.volts_with(size))).sum()
    }
}
