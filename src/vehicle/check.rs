//! What must hold of a vehicle for it to be solved and believed.

use super::part::{ContactRest, Part, PartId, PartKind, Supply};
use super::place::PointId;
use super::protection::check_protection;
use super::{Position, Vehicle};
use crate::source::Diagnostic;
use crate::tables::limits::SUPPLY_RANGE;
use petgraph::unionfind::UnionFind;
use std::collections::VecDeque;

/// Every finding about a vehicle as a circuit.
pub fn check(vehicle: &Vehicle) -> Vec<Diagnostic> {
    let mut findings = Vec::new();
    check_supplies(vehicle, &mut findings);
    check_shorts(vehicle, &mut findings);
    check_islands(vehicle, &mut findings);
    check_feeds_and_returns(vehicle, &mut findings);
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

/// Whether a part is wire or switchgear: neither source nor sink.
pub(super) fn is_wiring(part: &Part) -> bool {
    !matches!(part.kind, PartKind::Load { .. } | PartKind::Coil { .. } | PartKind::Supply(_))
}

fn check_supplies(vehicle: &Vehicle, findings: &mut Vec<Diagnostic>) {
    let Some(&(_, least, most)) = SUPPLY_RANGE.iter().find(|range| range.0 == vehicle.nominal.0) else { return };
    let Some((volts, id)) = highest_potential(vehicle) else {
        let help = "add a `Battery` or another supply";
        findings.push(Diagnostic { span: None, ..Diagnostic::error(Default::default(), "no supply in this vehicle", "", help) });
        return;
    };
    if !(least..=most).contains(&volts) {
        findings.push(Diagnostic::error(
            vehicle.part(id).span,
            format!("supplies make {volts:.1} V, but the vehicle is a {:.0} V one", vehicle.nominal.0),
            format!("reaches {volts:.1} V from the black point"),
            format!(
                "correct `nominal`, the supply voltage, or how the batteries are linked; {least:.0} to {most:.0} V would fit"
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
                _ => is_wiring(part),
            };
            closed && part.gates.iter().all(|&(_, position)| position == Position::On)
        });
        for id in vehicle.supplies() {
            let part = vehicle.part(id);
            let already = findings.iter().any(|known| known.span == Some(part.span));
            if sets.equiv(part.from.index(), part.to.index()) && !already {
                findings.push(Diagnostic::error(
                    part.span,
                    format!("supply `{}` is shorted by the drawing", part.name),
                    "wire and closed contacts alone lead from + to -",
                    format!("follow the runs from `{0}+` to `{0}-`: one of them lacks its load, or ends at the wrong point", part.name),
                ));
                // One mistake, one message: other supplies share the short.
                return;
            }
        }
    }
}

fn check_islands(vehicle: &Vehicle, findings: &mut Vec<Diagnostic>) {
    let sets = joined(vehicle, |_, _| true);
    let supplied: Vec<usize> = vehicle.supplies().map(|id| sets.find(vehicle.part(id).from.index())).collect();
    let mut told = Vec::new();
    for id in vehicle.part_ids() {
        let part = vehicle.part(id);
        let island = sets.find(part.from.index());
        if !supplied.contains(&island) && !told.contains(&island) {
            told.push(island);
            findings.push(Diagnostic::error(
                part.span,
                format!("`{}` is on an island: nothing joins it to a supply", part.name),
                "this part and all it is joined to",
                "start its run at a bus or point that a supply feeds, and end it at one that leads back",
            ));
        }
    }
}

fn check_feeds_and_returns(vehicle: &Vehicle, findings: &mut Vec<Diagnostic>) {
    let sets = joined(vehicle, |_, part| is_wiring(part));
    let posts = |end: fn(&Part) -> PointId| -> Vec<usize> {
        vehicle.supplies().map(|id| sets.find(end(vehicle.part(id)).index())).collect()
    };
    let (minus, plus) = (posts(|part| part.from), posts(|part| part.to));
    for id in vehicle.part_ids() {
        let part = vehicle.part(id);
        let what = match part.kind {
            PartKind::Load { .. } => "load",
            PartKind::Coil { .. } => "coil",
            _ => continue,
        };
        let (from, to) = (sets.find(part.from.index()), sets.find(part.to.index()));
        let capped = vehicle.graph.edges(part.to.node()).count() == 1;
        if !minus.contains(&to) && !plus.contains(&to) {
            findings.push(Diagnostic::error(
                part.span,
                format!("{what} `{}` has no return", part.name),
                if capped { "nothing leads on from here" } else { "no wire leads from here to a supply's negative" },
                "give its run a `to`, or correct where the return run ends",
            ));
        } else if !plus.contains(&from) && !minus.contains(&from) {
            findings.push(Diagnostic::error(
                part.span,
                format!("{what} `{}` has no feed", part.name),
                "no wire leads here from a supply's positive",
                "correct the `from` of its run",
            ));
        }
    }
}
