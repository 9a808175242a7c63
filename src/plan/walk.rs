//! The walk at handover: what to read of every circuit while all is well, in an
//! order that takes little time.
//!
//! A few loads run together, so that little is switched. What is read is volts
//! lost, from point to point at one place, and since the supply from place to
//! place: a drop shows on a range of millivolts, which tells more of a part than
//! the difference of two readings of twelve volts.

use super::Test;
use super::effort::Situation;
use crate::belief::Evidence;
use crate::network::Settling;
use crate::predict::{Predictor, Probe};
use crate::quantity::Minutes;
use crate::vehicle::trace::{settings_for, stops};
use crate::vehicle::{ControlId, PartId, PlaceId, PointId, Position, Reach, State, Vehicle};

/// One reading of the walk.
#[derive(Debug, Clone, PartialEq)]
pub struct Leg {
    /// What to set first.
    pub settings: Vec<(ControlId, Position)>,
    /// How everything then stands.
    pub state: State,
    /// What to measure.
    pub probe: Probe,
    /// Places to open first.
    pub opens: Vec<PlaceId>,
    /// Time it takes.
    pub minutes: Minutes,
}

/// Where the walk stands.
#[derive(Debug, Clone)]
pub struct Under<'a> {
    /// How everything is set.
    pub state: &'a State,
    /// Places that are open.
    pub opened: &'a [PlaceId],
    /// Points that cannot be reached.
    pub out_of_reach: &'a [PointId],
    /// What has been read, and in which state.
    pub done: &'a [(State, Probe)],
}

/// The whole walk: in each of a few states, each point of the circuits that run.
pub fn wanted(predictor: &Predictor) -> Vec<(State, Probe)> {
    let vehicle = predictor.vehicle();
    let mut wanted: Vec<(State, Probe)> = Vec::new();
    for (state, loads) in groups(predictor) {
        let mut probes: Vec<(PointId, PointId)> = Vec::new();
        for load in loads {
            let stops = stops(vehicle, &state, load);
            let (Some(first), Some(last)) = (stops.first(), stops.last()) else { continue };
            let feed_ends = stops.iter().position(|stop| stop.point == vehicle.part(load).from).unwrap_or(0);
            // The supply is another one in each state.
            let supply = Probe::voltage(first.point, last.point);
            if !wanted.iter().any(|(before, other)| *before == state && other.is_same(supply)) {
                wanted.push((state.clone(), supply));
            }
            let (feed, back): (Vec<_>, Vec<_>) = stops.iter().enumerate().partition(|(at, _)| *at <= feed_ends);
            probes.extend(drops(vehicle, feed.into_iter().map(|(_, stop)| stop.point)));
            let back = drops(vehicle, back.into_iter().rev().map(|(_, stop)| stop.point));
            probes.extend(back.into_iter().map(|(after, before)| (before, after)));
        }
        for (red, black) in probes {
            let probe = Probe::voltage(red, black);
            if !wanted.iter().any(|(_, other)| other.is_same(probe)) {
                wanted.push((state.clone(), probe));
            }
        }
    }
    wanted
}

/// From point to point that a probe gets at: from the one before where both
/// are at hand at once, otherwise from the supply at the start.
fn drops(vehicle: &Vehicle, points: impl Iterator<Item = PointId>) -> Vec<(PointId, PointId)> {
    let points: Vec<PointId> = points.filter(|&point| vehicle.reach(point) != Reach::Never).collect();
    let Some(&supply) = points.first() else { return Vec::new() };
    let is_beside = |a: PointId, b: PointId| vehicle.reach(a) == vehicle.reach(b);
    let from = |pair: &[PointId]| if is_beside(pair[0], pair[1]) { pair[0] } else { supply };
    points.windows(2).map(|pair| (from(pair), pair[1])).filter(|(from, to)| from != to).collect()
}

/// What of it is left, in the order in which to read it: setting by setting, and
/// from where one stands always what takes least.
pub fn left(vehicle: &Vehicle, wanted: &[(State, Probe)], under: &Under<'_>) -> Vec<Leg> {
    let mut left: Vec<&(State, Probe)> = wanted.iter().filter(|one| is_left(vehicle, one, under)).collect();
    let (mut state, mut opened) = (under.state.clone(), under.opened.to_vec());
    let mut at: Option<PlaceId> = None;
    let mut legs: Vec<Leg> = Vec::new();
    while !left.is_empty() {
        let legs_from_here = left.iter().map(|(wanted, probe)| leg(vehicle, &state, &opened, wanted, *probe));
        // One setting is walked to its end, since each change of it is one more
        // thing to get wrong. Of what takes as long, what lies at the same place,
        // then what the drawing has first.
        let rank = |leg: &Leg| {
            let place = vehicle.reach(leg.probe.points(vehicle).0);
            let cents = (leg.minutes.0 * 100.0).round() as i64;
            (leg.state != state, cents, at.is_some_and(|at| place != Reach::At(at)))
        };
        let Some((index, next)) = legs_from_here.enumerate().min_by_key(|(index, leg)| (rank(leg), *index)) else {
            break;
        };
        if let Reach::At(place) = vehicle.reach(next.probe.points(vehicle).0) {
            at = Some(place);
        }
        state = next.state.clone();
        opened.extend(&next.opens);
        left.remove(index);
        legs.push(next);
    }
    legs
}

fn is_left(vehicle: &Vehicle, (state, probe): &(State, Probe), under: &Under<'_>) -> bool {
    let (red, black) = probe.points(vehicle);
    let is_done = under.done.iter().any(|(then, done)| then == state && done.is_same(*probe));
    !is_done && ![red, black].iter().any(|point| under.out_of_reach.contains(point))
}

fn leg(vehicle: &Vehicle, now: &State, opened: &[PlaceId], state: &State, probe: Probe) -> Leg {
    let settings = now.settings_to(state, vehicle);
    let nothing = Evidence::default();
    let effort = Situation::untouched(vehicle, &nothing, now, opened).effort(vehicle, Test::Measure(probe), &settings);
    Leg { settings, state: state.clone(), probe, opens: effort.opens, minutes: effort.minutes }
}

/// Loads that run together at most: more would hide each other's share, and
/// strain the supply.
const TOGETHER: usize = 5;

/// States in which loads run together, with those loads.
fn groups(predictor: &Predictor) -> Vec<(State, Vec<PartId>)> {
    let vehicle = predictor.vehicle();
    let rest = State::rest(vehicle);
    let mut groups: Vec<(State, Vec<PartId>)> = Vec::new();
    for load in vehicle.loads() {
        let settings = settings_for(vehicle, &rest, load);
        let alone = rest.with_all(&settings);
        if !all_run(predictor, &alone, &[load]) {
            continue;
        }
        let mut joined = false;
        for (state, loads) in &mut groups {
            let is_set = |&(control, position): &(ControlId, Position)| {
                state.position(control) == position || state.position(control) == vehicle.control(control).rest
            };
            if loads.len() >= TOGETHER {
                continue;
            }
            let together = state.with_all(&settings);
            let all: Vec<PartId> = loads.iter().copied().chain([load]).collect();
            if settings.iter().all(is_set) && all_run(predictor, &together, &all) {
                (*state, *loads) = (together, all);
                joined = true;
                break;
            }
        }
        if !joined {
            groups.push((alone, vec![load]));
        }
    }
    groups
}

/// Whether loads run in a state without anything giving way.
fn all_run(predictor: &Predictor, state: &State, loads: &[PartId]) -> bool {
    let vehicle = predictor.vehicle();
    let Ok(model) = predictor.in_state(state) else { return false };
    let solution = model.solution();
    let is_calm = solution.settling() == Settling::Settled;
    let is_whole = vehicle.part_ids().all(|part| !solution.is_blown(part.index()));
    is_calm && is_whole && loads.iter().all(|&load| model.is_served(vehicle, load))
}
