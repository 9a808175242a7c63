//! Relays: a coil, and the contacts it works.

use super::id::PartId;
use crate::quantity::Volts;
use serde::Deserialize;

/// Rest position of a relay contact.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Deserialize)]
pub enum ContactRest {
    /// Open at rest: 30 to 87.
    #[default]
    Make,
    /// Closed at rest: 30 to 87a.
    Break,
}

/// A contact of a relay.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Contact {
    /// The coil that works it.
    pub coil: PartId,
    /// Where it rests.
    pub rest: ContactRest,
}

/// The coil of a relay.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Coil {
    /// Voltage at which it pulls in.
    pub pull_in: Volts,
    /// Voltage below which it lets go.
    pub drop_out: Volts,
}
