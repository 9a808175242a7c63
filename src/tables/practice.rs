//! Volts that a sound part may drop while its circuit is loaded. Published
//! figures differ by a factor of two to five, so each says what stands behind
//! it; what a whole circuit may drop is in [`limits`](super::limits).

use crate::quantity::Volts;

/// What a reading may not exceed, and what says so.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DropLimit {
    /// At most this.
    pub volts: Volts,
    /// What stands behind it.
    pub source: &'static str,
}

/// Kind of thing that drops volts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Dropping {
    /// Joint, pin, holder contact.
    Connection,
    /// Cable, body metal.
    Conductor,
    /// Switch, isolator, relay contact, breaker.
    Switchgear,
}

/// Limits that workshop manuals give for a loaded circuit: 0.1 V for a
/// connection, 0.2 V for a cable, 0.3 V for the contacts of a switch or
/// solenoid (attributed there to SAE, without a number; second-hand). The US
/// Army's TM 10-3930-671-24, p. F-303, has 0.20 V per 100 A for a cable.
pub fn drop_limit(of: Dropping) -> Volts {
    match of {
        Dropping::Connection => Volts(0.1),
        Dropping::Conductor => Volts(0.2),
        Dropping::Switchgear => Volts(0.3),
    }
}

/// What stands behind [`drop_limit`].
pub const PRACTICE: &str = "practice";
/// What stands behind the drop of a whole circuit.
pub const STANDARD: &str = "ISO 10133";
