//! The circuit graph of a vehicle: points where a probe can go are its nodes,
//! parts its edges.

use super::aid::Aid;
use super::control::{Control, ControlKind, NamedState};
use super::id::{ControlId, PartId, PlaceId, PointId};
use super::instrument::Shows;
use super::mains::mains_of;
use super::part::{Part, PartKind};
use super::place::{Caution, Place, Point, Reach};
use crate::quantity::{Metres, Volts};
use crate::source::Span;
use petgraph::graph::UnGraph;
use std::collections::HashMap;

/// A run of parts in current-flow order.
#[derive(Debug, Clone)]
pub struct Run {
    /// Its name in the file.
    pub name: String,
    /// What it is for.
    pub label: String,
    /// Its parts in order.
    pub parts: Vec<PartId>,
    /// Where it stands in the file.
    pub span: Span,
}

/// A vehicle: everything a file says, ready to be solved.
#[derive(Debug, Clone)]
pub struct Vehicle {
    /// What people call it.
    pub name: String,
    /// 12 V or 24 V.
    pub nominal: Volts,
    /// Remarks from the file.
    pub notes: Vec<String>,
    /// Cautions from the file and from the kinds of parts.
    pub cautions: Vec<Caution>,
    /// Where parts live.
    pub places: Vec<Place>,
    /// What a hand can set.
    pub controls: Vec<Control>,
    /// What a hand can put in or take off for a test; numbered after the controls.
    pub aids: Vec<Control>,
    /// Where a probe can go, in [`PointId`] order.
    pub points: Vec<Point>,
    /// What current flows through, in [`PartId`] order.
    pub parts: Vec<Part>,
    /// Parts as circuits.
    pub runs: Vec<Run>,
    /// States with a name.
    pub states: Vec<NamedState>,
    /// The default black-lead point.
    pub black: PointId,
    /// The point that stands for body metal.
    pub chassis: Option<PointId>,
    /// Length of the meter's leads at hand.
    pub leads: Option<Metres>,
    /// Points and parts but instruments; node and edge indices are point and part
    /// numbers.
    pub graph: UnGraph<PointId, PartId>,
    /// For each point, whether it is on the mains side of something.
    mains: Vec<bool>,
    names: HashMap<String, PointId>,
}

/// What [`Vehicle::new`] puts together; fields as there.
#[derive(Debug, Clone)]
pub struct VehicleParts {
    pub name: String,
    pub nominal: Volts,
    pub notes: Vec<String>,
    pub cautions: Vec<Caution>,
    pub places: Vec<Place>,
    pub controls: Vec<Control>,
    pub points: Vec<Point>,
    pub parts: Vec<Part>,
    pub runs: Vec<Run>,
    pub states: Vec<NamedState>,
    pub black: PointId,
    pub chassis: Option<PointId>,
    pub leads: Option<Metres>,
}

impl Vehicle {
    /// The other points at the places of a point.
    pub fn points_beside(&self, point: PointId) -> impl Iterator<Item = PointId> + '_ {
        let places = &self.point(point).places;
        let beside = move |&other: &PointId| {
            other != point && self.point(other).places.iter().any(|place| places.contains(place))
        };
        self.point_ids().filter(beside)
    }

    /// Links the parts into a graph.
    pub fn new(of: VehicleParts) -> Self {
        let mut graph = UnGraph::with_capacity(of.points.len(), of.parts.len());
        for index in 0..of.points.len() {
            graph.add_node(PointId::new(index));
        }
        // Instruments carry nothing, and come last.
        let carries = |part: &Part| part.kind.instrument().is_none();
        for (index, part) in of.parts.iter().enumerate().take_while(|(_, part)| carries(part)) {
            graph.add_edge(part.from.node(), part.to.node(), PartId::new(index));
        }
        let mains = mains_of(&graph, &of.parts);
        let names = of
            .points
            .iter()
            .enumerate()
            .flat_map(|(index, point)| point.names.iter().map(move |name| (name.to_lowercase(), PointId::new(index))))
            .collect();
        Self {
            name: of.name,
            nominal: of.nominal,
            notes: of.notes,
            cautions: of.cautions,
            places: of.places,
            controls: of.controls,
            aids: Vec::new(),
            points: of.points,
            parts: of.parts,
            runs: of.runs,
            states: of.states,
            black: of.black,
            chassis: of.chassis,
            leads: of.leads,
            mains,
            graph,
            names,
        }
    }

    pub fn part(&self, id: PartId) -> &Part {
        &self.parts[id.index()]
    }

    pub fn point(&self, id: PointId) -> &Point {
        &self.points[id.index()]
    }

    pub fn place(&self, id: PlaceId) -> &Place {
        &self.places[id.index()]
    }

    /// A control, or an aid.
    pub fn control(&self, id: ControlId) -> &Control {
        let index = id.index();
        self.controls.get(index).unwrap_or_else(|| &self.aids[index - self.controls.len()])
    }

    /// The aid that a number stands for; none if it is a control.
    pub fn aid(&self, id: ControlId) -> Option<Aid> {
        match self.control(id).kind {
            ControlKind::Aid(aid) => Some(aid),
            _ => None,
        }
    }

    /// The lead that feeds a load, from the battery that does so as drawn.
    pub fn feed_of(&self, load: PartId, both: bool) -> Option<Aid> {
        let mut aids = self.aids.iter().filter_map(|aid| match aid.kind {
            ControlKind::Aid(aid) => Some(aid),
            _ => None,
        });
        aids.find(|aid| matches!(*aid, Aid::Feed { load: of, both: back, .. } if of == load && back == both))
    }

    /// The number of an aid, if it may be used.
    pub fn find_aid(&self, wanted: Aid) -> Option<ControlId> {
        let at = self.aids.iter().position(|aid| aid.kind == ControlKind::Aid(wanted))?;
        Some(ControlId::new(self.controls.len() + at))
    }

    pub fn point_ids(&self) -> impl Iterator<Item = PointId> + use<> {
        (0..self.points.len()).map(PointId::new)
    }

    pub fn part_ids(&self) -> impl Iterator<Item = PartId> + use<> {
        (0..self.parts.len()).map(PartId::new)
    }

    pub fn control_ids(&self) -> impl Iterator<Item = ControlId> + use<> {
        (0..self.controls.len()).map(ControlId::new)
    }

    pub fn loads(&self) -> impl Iterator<Item = PartId> + '_ {
        self.part_ids().filter(|&id| self.part(id).kind.is_load())
    }

    /// The controls with which loads go to sleep, each once.
    pub fn sleep_controls(&self) -> impl Iterator<Item = ControlId> + '_ {
        let with = |part: &Part| part.kind.load().and_then(|load| load.sleep).map(|sleep| sleep.with);
        self.control_ids().filter(move |&control| self.parts.iter().any(|part| with(part) == Some(control)))
    }

    /// The instruments that it carries.
    pub fn instruments(&self) -> impl Iterator<Item = PartId> + '_ {
        self.part_ids().filter(|&id| self.part(id).kind.instrument().is_some())
    }

    /// What an instrument shows; nothing where the part is none.
    pub fn shown_by(&self, id: PartId) -> Option<Shows> {
        let part = self.part(id);
        Some(match part.kind.instrument()?.through {
            Some(part) => Shows::Amps { part },
            None => Shows::Volts { red: part.from, black: part.to },
        })
    }

    pub fn supplies(&self) -> impl Iterator<Item = PartId> + '_ {
        self.part_ids().filter(|&id| self.part(id).kind.is_supply())
    }

    /// The point of that name; capitals do not matter.
    pub fn find_point(&self, name: &str) -> Option<PointId> {
        self.names.get(&name.to_lowercase()).copied()
    }

    /// The part of that name; capitals do not matter.
    pub fn find_part(&self, name: &str) -> Option<PartId> {
        self.part_ids().find(|&id| self.part(id).name.eq_ignore_ascii_case(name))
    }

    /// The control or aid of that name; capitals do not matter.
    pub fn find_control(&self, name: &str) -> Option<ControlId> {
        let mut all = self.controls.iter().chain(&self.aids);
        all.position(|control| control.name.eq_ignore_ascii_case(name)).map(ControlId::new)
    }

    /// Every name of a point.
    pub fn point_names(&self) -> impl Iterator<Item = &str> {
        self.points.iter().flat_map(|point| point.names.iter().map(String::as_str))
    }

    /// What lies at the two ends of a part, as people say it.
    pub fn ends(&self, id: PartId) -> (&str, &str) {
        let part = self.part(id);
        (self.point(part.from).name(), self.point(part.to).name())
    }

    /// Whether two points can be reached from one place.
    pub fn share_a_place(&self, one: PointId, other: PointId) -> bool {
        let places = &self.point(other).places;
        self.point(one).places.iter().any(|place| places.contains(place))
    }

    /// Whether both leads of a meter reach: from one place, or at the ends of one part
    /// that is no cable, such as the front and the rear of a fuse holder.
    pub fn are_at_hand(&self, one: PointId, other: PointId) -> bool {
        let is_small = |part: PartId| !matches!(self.part(part).kind, PartKind::Cable(_));
        self.share_a_place(one, other) || self.parts_between(one, other).any(is_small)
    }

    /// The parts whose ends two points are, either way round.
    pub fn parts_between(&self, one: PointId, other: PointId) -> impl Iterator<Item = PartId> + '_ {
        self.graph.edges_connecting(one.node(), other.node()).map(|edge| *edge.weight())
    }

    /// Whether a point is on the mains side of something.
    pub fn is_mains(&self, point: PointId) -> bool {
        self.mains[point.index()]
    }

    /// Whether a part is.
    pub fn is_on_mains(&self, part: PartId) -> bool {
        self.is_mains(self.part(part).from)
    }

    /// The place whose opening gives the cheapest reach of a point.
    pub fn reach(&self, id: PointId) -> Reach {
        let lets_in = |place: &&PlaceId| self.place(**place).lets_probes_in && !self.is_mains(id);
        let open = self.point(id).places.iter().filter(lets_in);
        let cheapest = open.min_by(|a, b| self.place(**a).effort().total_cmp(&self.place(**b).effort()));
        cheapest.map_or(Reach::Never, |&place| Reach::At(place))
    }
}
