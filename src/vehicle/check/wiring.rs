//! What wire joins, with change-over contacts in one throw or the other.

use crate::vehicle::circuit::Vehicle;
use crate::vehicle::control::Position;
use crate::vehicle::id::{ControlId, PartId};
use crate::vehicle::part::Part;
use crate::vehicle::relay::ContactRest;
use petgraph::unionfind::UnionFind;
use std::collections::{HashMap, HashSet};

/// Points joined by the parts that `conducts` lets through.
pub(super) fn joined(vehicle: &Vehicle, conducts: impl Fn(PartId, &Part) -> bool) -> UnionFind<usize> {
    let mut sets = UnionFind::new(vehicle.points.len());
    for id in vehicle.part_ids() {
        let part = vehicle.part(id);
        if part.kind.instrument().is_none() && conducts(id, part) {
            sets.union(part.from.index(), part.to.index());
        }
    }
    sets
}

/// Contacts of which one is closed when the other is open: taken as closed
/// together, those of a reversing circuit would join + and -.
pub(super) struct Changeovers {
    coils: HashSet<PartId>,
    controls: HashSet<ControlId>,
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
        let mut gates: HashMap<ControlId, HashSet<Position>> = HashMap::new();
        for part in &vehicle.parts {
            if let Some(contact) = part.kind.contact() {
                contacts.entry(contact.coil).or_default().insert(contact.rest);
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
        if let Some(contact) = part.kind.contact().filter(|contact| self.coils.contains(&contact.coil)) {
            return Some(match contact.rest {
                ContactRest::Make => Throw::Worked,
                ContactRest::Break => Throw::Rest,
            });
        }
        let gate = part.gates.iter().find(|(control, _)| self.controls.contains(control));
        gate.map(|&(_, position)| if position == Position::On { Throw::Worked } else { Throw::Rest })
    }
}
