//! What a hand has set: switches, isolators, plugs, fuses in or out, engine.

use super::Vehicle;
use super::part::Part;
use super::place::{PlaceId, identifier};
use crate::quantity::Minutes;
use serde::{Deserialize, Serialize};

identifier!(
    /// Number of a control.
    ControlId
);

/// Where a control stands. A fitted fuse and a mated plug are `On`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Position {
    /// Switched on, fitted, mated, running.
    On,
    /// Switched off, pulled, unplugged, stopped.
    Off,
    /// A test lamp in place of a fuse: what would blow the fuse lights it.
    Lamp,
}

impl Position {
    /// The other one.
    pub fn opposite(self) -> Self {
        match self {
            Self::On => Self::Off,
            Self::Off | Self::Lamp => Self::On,
        }
    }
}

/// What a control is; the words for setting it follow.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ControlKind {
    /// Switch, isolator or breaker worked by hand.
    Switch,
    /// Fuse: fitted or pulled.
    Fuse,
    /// Plug: mated or unplugged.
    Plug,
    /// A load that switches itself: calling or not.
    Calling,
    /// Engine, sun: something outside the wiring.
    Condition,
    /// A pressure or temperature switch: follows what it senses.
    Sensed,
}

/// Something that can be set.
#[derive(Debug, Clone)]
pub struct Control {
    /// Its name.
    pub name: String,
    /// What people call it.
    pub label: String,
    /// What it is.
    pub kind: ControlKind,
    /// Where it stands when nobody has touched it.
    pub rest: Position,
    /// Time to set it, without getting there.
    pub minutes: Minutes,
    /// The place to open first; none for a handle in the open.
    pub place: Option<PlaceId>,
}

/// Where every control stands, in [`ControlId`] order.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct State {
    positions: Vec<Position>,
}

/// A state with a name in the file.
#[derive(Debug, Clone)]
pub struct NamedState {
    /// Its name.
    pub name: String,
    /// What it means.
    pub label: String,
    /// What it sets.
    pub settings: Vec<(ControlId, Position)>,
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
