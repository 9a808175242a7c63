//! What a hand can set, and the states that a file names.

use super::aid::Aid;
use super::id::{ControlId, PlaceId};
use crate::quantity::Minutes;
use serde::{Deserialize, Serialize};

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
    /// What is put in or taken off for a test.
    Aid(Aid),
}

/// Something that can be set.
#[derive(Debug, Clone)]
pub struct Control {
    pub name: String,
    /// What people call it.
    pub label: String,
    pub kind: ControlKind,
    /// Where it stands when nobody has touched it.
    pub rest: Position,
    /// Time to set it, without getting there.
    pub minutes: Minutes,
    /// Whether it is a fuse under nuts, close to bare studs.
    pub is_bolted: bool,
    /// The place to open first; none for a handle in the open.
    pub place: Option<PlaceId>,
}

/// A state with a name in the file.
#[derive(Debug, Clone)]
pub struct NamedState {
    pub name: String,
    /// What it means.
    pub label: String,
    /// What it sets.
    pub settings: Vec<(ControlId, Position)>,
}
