//! What must be set for a load to run: the shortest way of wire from a supply
//! and back, with the switches on it closed and its relays pulled in.

use super::circuit::Vehicle;
use super::control::Position;
use super::id::{ControlId, PartId, PointId};
use super::part::Part;
use super::relay::ContactRest;
use super::state::State;
use petgraph::algo::astar;
use petgraph::visit::EdgeFiltered;
use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap};

/// What to change in `state` so that `load` should run. Empty if it should
/// already; settings that cannot help (no way at all) are left out.
pub fn settings_for(vehicle: &Vehicle, state: &State, load: PartId) -> Vec<(ControlId, Position)> {
    settings_along(vehicle, state, load, |sink| feed_of(vehicle, state, sink))
}

/// The same with the ways given.
fn settings_along(
    vehicle: &Vehicle,
    state: &State,
    load: PartId,
    feed: impl Fn(PartId) -> Feed,
) -> Vec<(ControlId, Position)> {
    let mut settings: Vec<(ControlId, Position)> = Vec::new();
    let mut waiting = vec![load];
    let mut seen = Vec::new();
    while let Some(sink) = waiting.pop() {
        if seen.contains(&sink) {
            continue;
        }
        seen.push(sink);
        if state.is_fed(vehicle, sink) {
            continue;
        }
        let Feed { there, back, source } = feed(sink);
        for id in there.into_iter().chain(back).chain(source).chain([sink]) {
            let part = vehicle.part(id);
            if state.is_bridged(vehicle, id) {
                continue;
            }
            settings.extend(part.gates.iter().filter(|&&(control, position)| state.position(control) != position));
            waiting.extend(
                part.kind.contact().filter(|contact| contact.rest == ContactRest::Make).map(|contact| contact.coil),
            );
            waiting.extend(part.kind.regulated().iter().flat_map(|source| &source.needs).map(|need| need.load));
        }
    }
    settings.sort_unstable();
    settings.dedup_by_key(|setting| setting.0);
    settings
}

/// The parts on the way from a supply to a load or coil and back.
pub fn way_there_and_back(vehicle: &Vehicle, state: &State, sink: PartId) -> Vec<PartId> {
    feed_of(vehicle, state, sink).parts().collect()
}

/// A point on the way through a load, and the part that leads to it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stop {
    /// The part passed since the stop before; none at the supply.
    pub by: Option<PartId>,
    pub point: PointId,
}

/// The points from the supply through `load` and back, in current-flow order.
/// Empty if there is no way to it.
pub fn stops(vehicle: &Vehicle, state: &State, load: PartId) -> Vec<Stop> {
    let mut parts = way_there_and_back(vehicle, state, load);
    let feed_ends = parts.iter().position(|&part| vehicle.part(part).from == vehicle.part(load).to);
    parts.insert(feed_ends.unwrap_or(parts.len()), load);
    if parts.len() == 1 {
        return Vec::new();
    }
    let mut at = start_of(vehicle, &parts);
    let mut stops = vec![Stop { by: None, point: at }];
    for part in parts {
        at = vehicle.part(part).other_end(at);
        stops.push(Stop { by: Some(part), point: at });
    }
    stops
}

/// The points on the way of a load: those on its feed, those on its return.
pub fn feed_and_return(vehicle: &Vehicle, state: &State, load: PartId) -> [Vec<PointId>; 2] {
    let mut feed: Vec<PointId> = stops(vehicle, state, load).into_iter().map(|stop| stop.point).collect();
    let at = feed.iter().position(|&point| point == vehicle.part(load).from).map_or(0, |at| at + 1);
    let back = feed.split_off(at);
    [feed, back]
}

/// The end of the first part that the second does not share.
fn start_of(vehicle: &Vehicle, parts: &[PartId]) -> PointId {
    let (from, to) = vehicle.part(parts[0]).ends();
    let next = parts.get(1).map(|&part| vehicle.part(part).ends());
    match next {
        Some((a, b)) if a == from || b == from => to,
        _ => from,
    }
}

/// The ways of a load or coil, or of a battery that is charged.
pub struct Feed {
    /// From the supply to it.
    pub there: Vec<PartId>,
    /// From it to the supply.
    pub back: Vec<PartId>,
    /// The charging source at its start, if it is none of a battery.
    pub source: Option<PartId>,
}

impl Feed {
    /// The parts on them, in current-flow order.
    pub fn parts(&self) -> impl Iterator<Item = PartId> {
        self.there.iter().chain(&self.back).copied()
    }
}

/// The ways, from a battery if one can be reached, otherwise from a charging
/// source, which then has to run.
pub fn feed_of(vehicle: &Vehicle, state: &State, sink: PartId) -> Feed {
    let [batteries, sources] = supplies(vehicle);
    let part = vehicle.part(sink);
    let posts = |of: &[PartId], end| posts(vehicle, of, end);
    let lead = |goals: &[PointId], start: PointId| way(vehicle, state, start, goals);
    let (mut there, source) = match lead(&posts(&batteries, |part| part.to), part.from) {
        Some((way, _)) => (way, None),
        None => match lead(&posts(&sources, |part| part.to), part.from) {
            Some((way, post)) => (way, sources.iter().copied().find(|&id| vehicle.part(id).to == post)),
            None => (Vec::new(), None),
        },
    };
    there.reverse();
    let back = lead(&posts(&batteries, |part| part.from), part.to)
        .or_else(|| lead(&posts(&sources, |part| part.from), part.to));
    Feed { there, back: back.map(|(way, _)| way).unwrap_or_default(), source }
}

/// The batteries, and what charges them or stands in for one.
fn supplies(vehicle: &Vehicle) -> [Vec<PartId>; 2] {
    let (batteries, sources) = vehicle.supplies().partition(|&id| vehicle.part(id).kind.is_battery());
    [batteries, sources]
}

/// One of the two posts of each.
fn posts(vehicle: &Vehicle, of: &[PartId], end: fn(&Part) -> PointId) -> Vec<PointId> {
    of.iter().map(|&id| end(vehicle.part(id))).collect()
}

/// The ways by which a source charges a battery, if there are any.
pub fn charge_of(vehicle: &Vehicle, state: &State, source: PartId, battery: PartId) -> Option<Feed> {
    let (source_part, sink) = (vehicle.part(source), vehicle.part(battery));
    let (there, _) = way(vehicle, state, source_part.to, &[sink.to])?;
    let (back, _) = way(vehicle, state, sink.from, &[source_part.from])?;
    Some(Feed { there, back, source: Some(source) })
}

/// The parts between a point and the nearest post of a supply, post first.
pub fn lead_to(vehicle: &Vehicle, state: &State, point: PointId) -> Vec<PartId> {
    let posts: Vec<PointId> = vehicle.supplies().flat_map(|id| [vehicle.part(id).from, vehicle.part(id).to]).collect();
    let mut lead = way(vehicle, state, point, &posts).map(|(parts, _)| parts).unwrap_or_default();
    lead.reverse();
    lead
}

/// The easiest ways of wire from the batteries, or from charging sources where
/// no battery can be reached, to all points of a vehicle and back, for those who
/// ask for many: as [`feed_of`] has them.
pub struct SupplyLeads {
    /// Next part on the way to a positive post, for each point.
    there: Vec<Option<PartId>>,
    /// The same to a negative post.
    back: Vec<Option<PartId>>,
    /// The batteries, and the charging sources.
    supplies: [Vec<PartId>; 2],
}

impl SupplyLeads {
    /// In a state.
    pub fn of(vehicle: &Vehicle, state: &State) -> Self {
        let [batteries, sources] = supplies(vehicle);
        let leads = |end: fn(&Part) -> PointId| {
            leads_from(vehicle, state, &[posts(vehicle, &batteries, end), posts(vehicle, &sources, end)])
        };
        let (there, back) = (leads(|part| part.to), leads(|part| part.from));
        Self { there, back, supplies: [batteries, sources] }
    }

    /// The parts on the way from a battery to a load or coil and back.
    pub fn there_and_back(&self, vehicle: &Vehicle, sink: PartId) -> Vec<PartId> {
        self.feed(vehicle, sink).parts().collect()
    }

    /// The parts from a point to the positive post where its way begins, and
    /// that post.
    pub fn there(&self, vehicle: &Vehicle, point: PointId) -> (Vec<PartId>, PointId) {
        follow(vehicle, &self.there, point)
    }

    /// The same to the negative post where its way ends.
    pub fn back(&self, vehicle: &Vehicle, point: PointId) -> (Vec<PartId>, PointId) {
        follow(vehicle, &self.back, point)
    }

    /// The ways of a load or coil, as [`feed_of`] has them.
    pub fn feed(&self, vehicle: &Vehicle, sink: PartId) -> Feed {
        let (from, to) = vehicle.part(sink).ends();
        let (mut there, post) = self.there(vehicle, from);
        there.reverse();
        Feed { there, back: self.back(vehicle, to).0, source: self.source_at(vehicle, post) }
    }

    /// The batteries.
    pub fn batteries(&self) -> &[PartId] {
        &self.supplies[0]
    }

    /// The charging source of a positive post, if no battery has its own there.
    pub fn source_at(&self, vehicle: &Vehicle, post: PointId) -> Option<PartId> {
        let begins_at = |of: &[PartId]| of.iter().copied().find(|&id| vehicle.part(id).to == post);
        let [batteries, sources] = &self.supplies;
        if begins_at(batteries).is_some() { None } else { begins_at(sources) }
    }

    /// What to change in the state of these ways so that a load should run, as
    /// [`settings_for`] has it.
    pub fn settings_for(&self, vehicle: &Vehicle, state: &State, load: PartId) -> Vec<(ControlId, Position)> {
        settings_along(vehicle, state, load, |sink| self.feed(vehicle, sink))
    }
}

/// What is fed from the output of a converter and from nothing else, and the
/// output itself, with that output.
pub fn behind_converters(vehicle: &Vehicle, state: &State) -> BTreeMap<PartId, PartId> {
    let leads = SupplyLeads::of(vehicle, state);
    let converts = |load: PartId| vehicle.part(load).kind.load().is_some_and(|load| load.converts.is_some());
    let mut behind = BTreeMap::new();
    for load in vehicle.loads() {
        let feed = leads.feed(vehicle, load);
        let Some(output) = feed.source else { continue };
        let source = vehicle.part(output).kind.regulated();
        if source.is_some_and(|source| source.needs.iter().any(|need| converts(need.load))) {
            behind.extend(feed.parts().chain([load, output]).map(|part| (part, output)));
        }
    }
    behind
}

/// The parts from a point to the post where its way ends, and that post.
fn follow(vehicle: &Vehicle, leads: &[Option<PartId>], mut at: PointId) -> (Vec<PartId>, PointId) {
    let mut parts = Vec::new();
    while let Some(part) = leads[at.index()] {
        parts.push(part);
        at = vehicle.part(part).other_end(at);
    }
    (parts, at)
}

/// For each point the next part on its easiest way to one of several posts
/// (Dijkstra); to a later choice of them where no way leads to one before.
fn leads_from(vehicle: &Vehicle, state: &State, choices: &[Vec<PointId>]) -> Vec<Option<PartId>> {
    let mut leads = vec![None; vehicle.points.len()];
    let mut lengths = vec![u32::MAX; vehicle.points.len()];
    let mut queue = BinaryHeap::new();
    for posts in choices {
        for post in posts.iter().filter(|post| lengths[post.index()] == u32::MAX) {
            queue.push(Reverse((0, *post)));
        }
        queue.iter().for_each(|Reverse((length, post))| lengths[post.index()] = *length);
        while let Some(Reverse((length, point))) = queue.pop() {
            if length > lengths[point.index()] {
                continue;
            }
            for edge in vehicle.graph.edges(point.node()) {
                let id = *edge.weight();
                let next = vehicle.part(id).other_end(point);
                let longer = length + cost(vehicle, state, id);
                if vehicle.part(id).kind.is_wiring() && longer < lengths[next.index()] {
                    lengths[next.index()] = longer;
                    leads[next.index()] = Some(id);
                    queue.push(Reverse((longer, next)));
                }
            }
        }
    }
    leads
}

/// Numerical: an end off its post outweighs whatever else is to be set.
const OFF_ITS_POST: u32 = 1 << 20;

/// How hard a part is to lead current through.
fn cost(vehicle: &Vehicle, state: &State, id: PartId) -> u32 {
    let part = vehicle.part(id);
    if state.has_aids() && state.is_bridged(vehicle, id) {
        return 1;
    }
    let off = if state.has_aids() && state.is_off(vehicle, id) { OFF_ITS_POST } else { 0 };
    let to_set = part.gates.iter().filter(|&&(control, position)| state.position(control) != position).count();
    let pulled_in = part.kind.contact().is_some_and(|contact| contact.rest == ContactRest::Make);
    // Setting things outweighs any length of wire; pulling a relay in
    // outweighs a few.
    1 + off + 200 * to_set as u32 + if pulled_in { 100 } else { 0 }
}

/// The easiest way of wire from a point to one of several, and which.
fn way(vehicle: &Vehicle, state: &State, start: PointId, goals: &[PointId]) -> Option<(Vec<PartId>, PointId)> {
    let cost = |id: PartId| cost(vehicle, state, id);
    let wiring = EdgeFiltered::from_fn(&vehicle.graph, |edge| vehicle.part(*edge.weight()).kind.is_wiring());
    let found =
        astar(&wiring, start.node(), |node| goals.contains(&vehicle.graph[node]), |edge| cost(*edge.weight()), |_| 0);
    let (_, nodes) = found?;
    let goal = vehicle.graph[*nodes.last()?];
    let parts = nodes
        .windows(2)
        .filter_map(|pair| {
            vehicle
                .graph
                .edges_connecting(pair[0], pair[1])
                .map(|edge| *edge.weight())
                .filter(|&id| vehicle.part(id).kind.is_wiring())
                .min_by_key(|&id| cost(id))
        })
        .collect();
    Some((parts, goal))
}
