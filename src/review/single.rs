//! Single parts that several circuits hang on. Current goes in a circle, from one
//! end of a load through wire and supplies back to its other end; what every such
//! circle goes through is what dominates the one end, seen from the other
//! (dominators of a flow graph, Cooper, Harvey and Kennedy 2001). A relay's contact
//! has its coil besides, with the circles of that, and the output of a converter
//! has its input.

use super::running::RunningLoad;
use crate::network::{Region, Solution};
use crate::vehicle::{ContactRest, PartId, PartKind, PointId, Role, Vehicle};
use petgraph::algo::dominators::simple_fast;
use petgraph::graph::{DiGraph, NodeIndex};
use std::collections::{BTreeMap, BTreeSet};

/// Parts any one of which takes the same loads down.
#[derive(Debug, Clone, PartialEq)]
pub struct SingleParts {
    /// In part order.
    pub parts: Vec<PartId>,
    /// The loads that go dark, in part order.
    pub dark: Vec<PartId>,
    /// How many circuits they are of.
    pub circuits: usize,
}

/// Single parts that take down two circuits or more, those that take down most
/// first.
pub fn single_parts(vehicle: &Vehicle, running: &[RunningLoad]) -> Vec<SingleParts> {
    let mut dark: BTreeMap<PartId, BTreeSet<usize>> = BTreeMap::new();
    for (index, one) in running.iter().enumerate() {
        for part in needed_by(vehicle, one) {
            dark.entry(part).or_default().insert(index);
        }
    }
    let mut alike: BTreeMap<BTreeSet<usize>, Vec<PartId>> = BTreeMap::new();
    for (part, loads) in dark {
        alike.entry(loads).or_default().push(part);
    }
    let mut single: Vec<SingleParts> = alike
        .into_iter()
        .map(|(loads, parts)| SingleParts {
            parts,
            circuits: loads.iter().map(|&at| running[at].circuit()).collect::<BTreeSet<_>>().len(),
            dark: loads.into_iter().map(|at| running[at].load).collect(),
        })
        .filter(|single| single.circuits > 1)
        .collect();
    single.sort_by(|a, b| (b.circuits, b.dark.len()).cmp(&(a.circuits, a.dark.len())).then(a.parts.cmp(&b.parts)));
    single
}

/// Every part without which a load stands still, itself left out.
fn needed_by(vehicle: &Vehicle, running: &RunningLoad) -> BTreeSet<PartId> {
    let flow = Flow::of(vehicle, running);
    let mut needed = BTreeSet::new();
    let mut waiting = vec![running.load];
    let mut seen = BTreeSet::from([running.load]);
    while let Some(sink) = waiting.pop() {
        for part in flow.in_every_circle(sink) {
            needed.insert(part);
            waiting.extend(flow.works_by(part).into_iter().filter(|&other| seen.insert(other)));
        }
        needed.insert(sink);
    }
    needed.remove(&running.load);
    needed
}

/// Where current can go in one state: a node for every point, then one for every
/// part.
struct Flow<'a> {
    vehicle: &'a Vehicle,
    solution: &'a Solution,
    graph: DiGraph<(), ()>,
}

impl<'a> Flow<'a> {
    fn of(vehicle: &'a Vehicle, running: &'a RunningLoad) -> Self {
        let solution = running.model.solution();
        let mut graph = DiGraph::with_capacity(vehicle.points.len() + vehicle.parts.len(), 4 * vehicle.parts.len());
        for _ in 0..vehicle.points.len() + vehicle.parts.len() {
            graph.add_node(());
        }
        for id in vehicle.part_ids() {
            let part = vehicle.part(id);
            if !running.model.state().lets(vehicle, id) || solution.is_blown(id.index()) {
                continue;
            }
            let middle = NodeIndex::new(vehicle.points.len() + id.index());
            let mut lead = |from: PointId, to: PointId| {
                graph.update_edge(from.node(), middle, ());
                graph.update_edge(middle, to.node(), ());
            };
            match part.kind.role() {
                Role::Source if runs(vehicle, solution, id) => lead(part.from, part.to),
                Role::Rectifier => lead(part.from, part.to),
                Role::Switchgear if part.kind.contact().is_some() && solution.region(id.index()) == Region::Off => {}
                Role::Protection | Role::Switchgear | Role::Connection | Role::Conductor => {
                    lead(part.from, part.to);
                    lead(part.to, part.from);
                }
                Role::Source | Role::Load | Role::Coil | Role::Display => {}
            }
        }
        Self { vehicle, solution, graph }
    }

    /// The parts that every circle through a load or coil goes through.
    fn in_every_circle(&self, sink: PartId) -> Vec<PartId> {
        let (from, to) = self.vehicle.part(sink).ends();
        // What stands the other way round has its current so too.
        let (enters, leaves) = if self.solution.across(sink.index()).0 < 0.0 { (to, from) } else { (from, to) };
        let dominators = simple_fast(&self.graph, leaves.node());
        let points = self.vehicle.points.len();
        let parts = dominators.dominators(enters.node()).into_iter().flatten();
        parts.filter_map(|node| node.index().checked_sub(points)).map(PartId::new).collect()
    }

    /// What a part must have running to conduct or to give: the coil of a contact
    /// that it pulls in, the input of a converter.
    fn works_by(&self, part: PartId) -> Vec<PartId> {
        match &self.vehicle.part(part).kind {
            PartKind::Contact(contact) if contact.rest == ContactRest::Make => vec![contact.coil],
            kind => kind.regulated().iter().flat_map(|source| &source.needs).map(|need| need.load).collect(),
        }
    }
}

/// Whether a supply gives, or would if it were asked for more.
fn runs(vehicle: &Vehicle, solution: &Solution, id: PartId) -> bool {
    let needs = vehicle.part(id).kind.regulated().map_or(&[][..], |source| &source.needs);
    needs.iter().all(|need| solution.across(need.load.index()).abs() >= need.volts)
}
