//! Batteries and the sources that charge them.

use super::id::{ControlId, PartId};
use crate::quantity::{Amps, Ohms, Volts};
pub use crate::tables::supply::BatteryChemistry;

/// What lets a battery off when it is abused.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Protection {
    /// Opens below this at the posts.
    pub least: Option<Volts>,
    /// Opens above this current.
    pub most: Option<Amps>,
}

/// A regulated source that holds another voltage in some states, as a smart
/// alternator does.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Eased {
    /// The control that is on then.
    pub with: ControlId,
    pub set: Volts,
}

/// A load that must see a voltage for a supply to run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Need {
    pub load: PartId,
    /// At least this across it.
    pub volts: Volts,
}

/// A battery: rest voltage behind an internal resistance.
#[derive(Debug, Clone, PartialEq)]
pub struct Battery {
    pub chemistry: BatteryChemistry,
    /// Capacity, A·h.
    pub ampere_hours: f64,
    /// Rest voltage.
    pub rest: Volts,
    /// What it sets against charging current.
    pub charging: Ohms,
    /// Protection that opens it.
    pub protection: Protection,
}

/// A source that holds a voltage up to a current limit and takes nothing back.
#[derive(Debug, Clone, PartialEq)]
pub struct Regulated {
    /// Set voltage.
    pub set: Volts,
    /// Largest current.
    pub limit: Amps,
    /// Loads that must see a voltage for it to run.
    pub needs: Vec<Need>,
    /// Another voltage in some states.
    pub eased: Option<Eased>,
}

/// Something that makes voltage.
#[derive(Debug, Clone, PartialEq)]
pub enum Supply {
    Battery(Battery),
    Regulated(Regulated),
}
