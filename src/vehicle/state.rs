//! What a hand has set: switches, isolators, plugs, fuses in or out, engine.

use super::circuit::Vehicle;
use super::control::Position;
use super::id::ControlId;
use super::part::Part;

/// Where every control stands, in [`ControlId`] order.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct State {
    positions: Vec<Position>,
}

impl State {
    /// Everything at rest.
    pub fn rest(vehicle: &Vehicle) -> Self {
        Self { positions: vehicle.controls.iter().map(|control| control.rest).collect() }
    }

    /// Where a control stands.
    pub fn position(&self, control: ControlId) -> Position {
        self.positions[control.index()]
    }

    /// The same state with one control set.
    pub fn with(&self, control: ControlId, position: Position) -> Self {
        let mut next = self.clone();
        next.positions[control.index()] = position;
        next
    }

    /// The same state with several controls set.
    pub fn with_all(&self, settings: &[(ControlId, Position)]) -> Self {
        let mut next = self.clone();
        settings.iter().for_each(|&(control, position)| next.positions[control.index()] = position);
        next
    }

    /// What puts everything back to rest.
    pub fn to_rest(&self, vehicle: &Vehicle) -> Vec<(ControlId, Position)> {
        self.settings_to(&Self::rest(vehicle), vehicle)
    }

    /// What has to be set to come from here to another state.
    pub fn settings_to(&self, other: &Self, vehicle: &Vehicle) -> Vec<(ControlId, Position)> {
        let there = vehicle.control_ids().map(|id| (id, other.position(id)));
        there.filter(|&(id, position)| self.position(id) != position).collect()
    }

    /// Whether a lamp stands in the place of a part.
    pub fn has_lamp(&self, part: &Part) -> bool {
        part.gates.iter().any(|&(control, _)| self.position(control) == Position::Lamp)
    }

    /// Whether a part conducts as far as hands are concerned.
    pub fn lets(&self, part: &Part) -> bool {
        part.gates.iter().all(|&(control, position)| self.position(control) == position)
    }

    /// The controls that stand otherwise than at rest.
    pub fn changes<'a>(&'a self, vehicle: &'a Vehicle) -> impl Iterator<Item = (ControlId, Position)> + 'a {
        vehicle
            .control_ids()
            .map(|id| (id, self.position(id)))
            .filter(|&(id, position)| vehicle.control(id).rest != position)
    }
}
