//! What must hold of a vehicle for it to be solved and believed.
//!
//! A part that could not be read is a gap, and the points beside it are
//! doubtful: nobody knows what else is joined to them. A lack that such a point
//! may explain is not reported.

mod feeds;

use super::part::{ContactRest, Part, PartId, PartKind, Supply};
use super::place::PointId;
use super::protection::check_protection;
use super::{Position, Vehicle};
use crate::source::{Diagnostic, Span};
use crate::tables::limits::SUPPLY_RANGE;
use feeds::check_feeds_and_returns;
use petgraph::unionfind::UnionFind;
use std::collections::{HashMap, HashSet, VecDeque};

/// What the file says beside the circuit.
#[derive(Debug, Clone, Default)]
pub struct Drawn {
    /// Points next to something that could not be read.
    pub doubtful: Vec<PointId>,
    /// Whether every run is known to lead where it does.
    pub links: Links,
    /// Where the black point is named; none if potentials are not known.
    pub black: Option<Span>,
}

/// How much is known of what runs join.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Links {
    /// All that matters, but at doubtful points.
    #[default]
    Known,
    /// Some run may join any two points.
    Lost,
}

/// Every finding about a vehicle as a circuit.
pub fn check(vehicle: &Vehicle, drawn: &Drawn) -> Vec<Diagnostic> {
    let mut findings = Vec::new();
    if vehicle.supplies().next().is_none() {
        // Reported where the supplies are read.
        return findings;
    }
    check_shorts(vehicle, &mut findings);
    if drawn.links == Links::Known {
        // Past a doubtful point the potentials would be guesses.
        if let Some(black) = drawn.black.filter(|_| drawn.doubtful.is_empty()) {
            check_voltage(vehicle, black, &mut findings);
        }
        let supplied = check_islands(vehicle, &drawn.doubtful, &mut findings);
        check_feeds_and_returns(vehicle, &drawn.doubtful, &supplied, &mut findings);
    }
    check_protection(vehicle, &mut findings);
    findings
}

/// Points joined by the parts that `conducts` lets through.
pub(super) fn joined(vehicle: &Vehicle, conducts: impl Fn(PartId, &Part) -> bool) -> UnionFind<usize> {
    let mut sets = UnionFind::new(vehicle.points.len());
    for id in vehicle.part_ids() {
        let part = vehicle.part(id);
        if conducts(id, part) {
            sets.union(part.from.index(), part.to.index());
        }
    }
    sets
}

/// Contacts of which one is closed when the other is open: taken as closed
/// together, those of a reversing circuit would join + and -.
pub(super) struct Changeovers {
    coils: HashSet<PartId>,
    controls: HashSet<super::ControlId>,
}

/// How change-over contacts stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Throw {
    /// Relays pulled in, switches on.
    Worked,
    /// Relays at rest, switches off.
    Rest,
}

impl Changeovers {
    pub(super) fn of(vehicle: &Vehicle) -> Self {
        let mut contacts: HashMap<PartId, HashSet<ContactRest>> = HashMap::new();
        let mut gates: HashMap<super::ControlId, HashSet<Position>> = HashMap::new();
        for part in &vehicle.parts {
            if let PartKind::Contact { coil, rest } = part.kind {
                contacts.entry(coil).or_default().insert(rest);
            }
            for &(control, position) in &part.gates {
                gates.entry(control).or_default().insert(position);
            }
        }
        Self {
            coils: contacts.into_iter().filter(|(_, rests)| rests.len() == 2).map(|(coil, _)| coil).collect(),
            controls: gates
                .into_iter()
                .filter(|(_, positions)| positions.len() == 2)
                .map(|(control, _)| control)
                .collect(),
        }
    }

    /// The throw in which a change-over contact is closed; none for parts that
    /// are no such contact.
    pub(super) fn throw(&self, part: &Part) -> Option<Throw> {
        if let PartKind::Contact { coil, rest } = part.kind
            && self.coils.contains(&coil)
        {
            return Some(if rest == ContactRest::Make { Throw::Worked } else { Throw::Rest });
        }
        let gate = part.gates.iter().find(|(control, _)| self.controls.contains(control));
        gate.map(|&(_, position)| if position == Position::On { Throw::Worked } else { Throw::Rest })
    }
}

/// Whether a part is wire or switchgear: neither source nor sink.
pub(super) fn is_wiring(part: &Part) -> bool {
    !matches!(part.kind, PartKind::Load { .. } | PartKind::Coil { .. } | PartKind::Supply(_))
}

fn check_voltage(vehicle: &Vehicle, black: Span, findings: &mut Vec<Diagnostic>) {
    let Some(&(_, least, most)) = SUPPLY_RANGE.iter().find(|range| range.0 == vehicle.nominal.0) else {
        return;
    };
    let Some((volts, id)) = highest_potential(vehicle) else {
        let help = "name the negative post most readings start from, such as `black: \"B1-\"`";
        findings.push(Diagnostic::error(black, "nothing leads from the black point to a supply", "this point", help));
        return;
    };
    if !(least..=most).contains(&volts) {
        findings.push(Diagnostic::error(
            vehicle.part(id).span,
            format!("the supplies make {volts:.1} V, but this is a {:.0} V vehicle", vehicle.nominal.0),
            format!("its + is {volts:.1} V over the black point"),
            format!(
                "correct `nominal`, the voltage given here, or how the batteries are linked; {least:.0} to {most:.0} V would fit"
            ),
        ));
    }
}

/// The highest voltage over the black point with nothing flowing, and the
/// supply that makes it.
fn highest_potential(vehicle: &Vehicle) -> Option<(f64, PartId)> {
    let mut potential: Vec<Option<f64>> = vec![None; vehicle.points.len()];
    potential[vehicle.black.index()] = Some(0.0);
    let mut queue = VecDeque::from([vehicle.black]);
    let mut highest: Option<(f64, PartId)> = None;
    while let Some(point) = queue.pop_front() {
        let here = potential[point.index()].unwrap_or(0.0);
        for edge in vehicle.graph.edges(point.node()) {
            let id = *edge.weight();
            let part = vehicle.part(id);
            let far = part.other_end(point);
            let step = match &part.kind {
                PartKind::Supply(Supply::Battery { rest, .. }) if far == part.to => rest.0,
                PartKind::Supply(Supply::Battery { rest, .. }) => -rest.0,
                PartKind::Supply(Supply::Regulated { set, .. }) if far == part.to => set.0,
                _ if is_wiring(part) => 0.0,
                _ => continue,
            };
            if potential[far.index()].is_none() {
                potential[far.index()] = Some(here + step);
                queue.push_back(far);
                if step != 0.0 && highest.is_none_or(|(volts, _)| here + step > volts) {
                    highest = Some((here + step, id));
                }
            }
        }
    }
    highest
}

/// Every control on and relays either at rest or pulled in: neither may join
/// the posts of a supply.
fn check_shorts(vehicle: &Vehicle, findings: &mut Vec<Diagnostic>) {
    for pulled_in in [ContactRest::Break, ContactRest::Make] {
        let sets = joined(vehicle, |_, part| {
            let closed = match part.kind {
                PartKind::Contact { rest, .. } => rest == pulled_in,
                // One across a coil blocks.
                PartKind::Diode { .. } => false,
                _ => is_wiring(part),
            };
            closed && part.gates.iter().all(|&(_, position)| position == Position::On)
        });
        for id in vehicle.supplies() {
            let part = vehicle.part(id);
            let already = findings.iter().any(|known| known.span == Some(part.span));
            if leads_on(vehicle, &sets, part.to.index(), part.from.index()) && !already {
                findings.push(Diagnostic::error(
                    part.span,
                    format!("supply `{}` is shorted by the drawing", part.name),
                    "wire and closed contacts alone lead from + to -",
                    format!(
                        "follow the runs from `{0}+` to `{0}-`: one of them lacks its load, or ends at the wrong point",
                        part.name
                    ),
                ));
                // One mistake, one message: other supplies share the short.
                return;
            }
        }
    }
}

/// Reports islands; gives the sets of points that a supply is in.
fn check_islands(vehicle: &Vehicle, doubtful: &[PointId], findings: &mut Vec<Diagnostic>) -> Supplied {
    let sets = joined(vehicle, |_, _| true);
    let supplied: HashSet<usize> = vehicle.supplies().map(|id| sets.find(vehicle.part(id).from.index())).collect();
    let mut told: HashSet<usize> = doubtful.iter().map(|point| sets.find(point.index())).collect();
    for id in vehicle.part_ids() {
        let part = vehicle.part(id);
        let island = sets.find(part.from.index());
        if !supplied.contains(&island) && told.insert(island) {
            findings.push(Diagnostic::error(
                part.span,
                format!("`{}` is on an island: nothing joins it to a supply", label_name(part)),
                "this part and all it is joined to",
                "start its run at a bus or point that a supply feeds, and end it at one that leads back",
            ));
        }
    }
    Supplied { sets, supplied }
}

/// What is joined to a supply in any way.
struct Supplied {
    sets: UnionFind<usize>,
    supplied: HashSet<usize>,
}

impl Supplied {
    fn reaches(&self, point: PointId) -> bool {
        self.supplied.contains(&self.sets.find(point.index()))
    }
}

/// The name on the label of what a part belongs to.
fn label_name(part: &Part) -> &str {
    let piece = match part.kind {
        PartKind::HolderContact => part.name.rfind('/'),
        PartKind::Coil { .. } | PartKind::Contact { .. } => part.name.rfind('.'),
        _ => None,
    };
    &part.name[..piece.unwrap_or(part.name.len())]
}

/// Whether current can get from one point to another, through diodes too.
fn leads_on(vehicle: &Vehicle, sets: &UnionFind<usize>, from: usize, to: usize) -> bool {
    let diodes = || vehicle.parts.iter().filter(|part| matches!(part.kind, PartKind::Diode { .. }));
    let mut reached = HashSet::from([sets.find(from)]);
    for _ in diodes() {
        for diode in diodes().filter(|diode| reached.contains(&sets.find(diode.from.index()))).collect::<Vec<_>>() {
            reached.insert(sets.find(diode.to.index()));
        }
    }
    reached.contains(&sets.find(to))
}
