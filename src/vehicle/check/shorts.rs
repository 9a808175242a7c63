//! Does wire alone join the posts of a supply?

use super::wiring::joined;
use crate::source::Diagnostic;
use crate::vehicle::circuit::Vehicle;
use crate::vehicle::control::Position;
use crate::vehicle::part::Role;
use crate::vehicle::relay::ContactRest;
use petgraph::unionfind::UnionFind;
use std::collections::HashSet;

/// Every control on and relays either at rest or pulled in: neither may join
/// the posts of a supply.
pub(super) fn check_shorts(vehicle: &Vehicle, findings: &mut Vec<Diagnostic>) {
    for pulled_in in [ContactRest::Break, ContactRest::Make] {
        let sets = joined(vehicle, |_, part| {
            let closed = match part.kind.role() {
                Role::Switchgear => part.kind.contact().is_none_or(|contact| contact.rest == pulled_in),
                // A diode across a coil blocks.
                Role::Source | Role::Load | Role::Coil | Role::Rectifier | Role::Display => false,
                Role::Protection | Role::Connection | Role::Conductor => true,
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

/// Whether current can get from one point to another, through diodes too.
fn leads_on(vehicle: &Vehicle, sets: &UnionFind<usize>, from: usize, to: usize) -> bool {
    let diodes = || vehicle.parts.iter().filter(|part| part.kind.role() == Role::Rectifier);
    let mut reached = HashSet::from([sets.find(from)]);
    for _ in diodes() {
        for diode in diodes().filter(|diode| reached.contains(&sets.find(diode.from.index()))).collect::<Vec<_>>() {
            reached.insert(sets.find(diode.to.index()));
        }
    }
    reached.contains(&sets.find(to))
}
