//! What a hand has set: switches, isolators, plugs, fuses in or out, engine; and
//! what it has put in or taken off for a test.

use super::aid::Aid;
use super::circuit::Vehicle;
use super::control::Position;
use super::id::{ControlId, PartId};

/// Where every control stands, in [`ControlId`] order, and the aids in use.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct State {
    positions: Vec<Position>,
    /// Sorted, each once.
    aids: Vec<ControlId>,
}

impl State {
    /// Everything at rest.
    pub fn rest(vehicle: &Vehicle) -> Self {
        Self { positions: vehicle.controls.iter().map(|control| control.rest).collect(), aids: Vec::new() }
    }

    /// Where a control stands; an aid in use is on.
    pub fn position(&self, control: ControlId) -> Position {
        let in_use = || if self.aids.contains(&control) { Position::On } else { Position::Off };
        self.positions.get(control.index()).copied().unwrap_or_else(in_use)
    }

    /// The same state with one control set.
    pub fn with(&self, control: ControlId, position: Position) -> Self {
        self.with_all(&[(control, position)])
    }

    /// The same state with several controls set.
    pub fn with_all(&self, settings: &[(ControlId, Position)]) -> Self {
        let mut next = self.clone();
        for &(control, position) in settings {
            match next.positions.get_mut(control.index()) {
                Some(known) => *known = position,
                None => {
                    next.aids.retain(|&other| other != control);
                    next.aids.extend((position == Position::On).then_some(control));
                }
            }
        }
        next.aids.sort_unstable();
        next
    }

    /// What puts everything back to rest.
    pub fn to_rest(&self, vehicle: &Vehicle) -> Vec<(ControlId, Position)> {
        self.settings_to(&Self::rest(vehicle), vehicle)
    }

    /// What has to be set to come from here to another state.
    pub fn settings_to(&self, other: &Self, vehicle: &Vehicle) -> Vec<(ControlId, Position)> {
        let new = other.aids.iter().copied().filter(|aid| !self.aids.contains(aid));
        let all = self.aids.iter().copied().chain(vehicle.control_ids()).chain(new);
        all.map(|id| (id, other.position(id))).filter(|&(id, position)| self.position(id) != position).collect()
    }

    /// The aids in use.
    pub fn aids<'a>(&'a self, vehicle: &'a Vehicle) -> impl Iterator<Item = Aid> + 'a {
        self.aids.iter().filter_map(|&id| vehicle.aid(id))
    }

    /// Whether any aid is in use.
    pub fn has_aids(&self) -> bool {
        !self.aids.is_empty()
    }

    /// The same state as it is without aids.
    pub fn without_aids(&self) -> Self {
        Self { positions: self.positions.clone(), aids: Vec::new() }
    }

    /// Whether a lamp stands in the place of a part.
    pub fn has_lamp(&self, vehicle: &Vehicle, id: PartId) -> bool {
        let gates = &vehicle.part(id).gates;
        gates.iter().any(|&(control, _)| self.position(control) == Position::Lamp)
            || self.aids(vehicle).any(|aid| aid == Aid::Lamp { load: id })
    }

    /// Whether a lead lies across a part.
    pub fn is_bridged(&self, vehicle: &Vehicle, id: PartId) -> bool {
        self.aids(vehicle).any(|aid| aid == Aid::Bridge { part: id })
    }

    /// Whether a load has a lead from a battery.
    pub fn is_fed(&self, vehicle: &Vehicle, id: PartId) -> bool {
        self.aids(vehicle).any(|aid| matches!(aid, Aid::Feed { load, .. } if load == id))
    }

    /// Whether an end of a part is off its post.
    pub fn is_off(&self, vehicle: &Vehicle, id: PartId) -> bool {
        self.aids(vehicle).any(|aid| matches!(aid, Aid::Off { part, .. } if part == id))
    }

    /// Whether a part conducts as far as hands are concerned.
    pub fn lets(&self, vehicle: &Vehicle, id: PartId) -> bool {
        let mut gates = vehicle.part(id).gates.iter();
        gates.all(|&(control, position)| self.position(control) == position) && !self.is_off(vehicle, id)
    }

    /// What stands otherwise than at rest.
    pub fn changes<'a>(&'a self, vehicle: &'a Vehicle) -> impl Iterator<Item = (ControlId, Position)> + 'a {
        let all = vehicle.control_ids().chain(self.aids.iter().copied());
        all.map(|id| (id, self.position(id))).filter(|&(id, position)| vehicle.control(id).rest != position)
    }
}
