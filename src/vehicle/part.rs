//! What current flows through.

use super::place::{PlaceId, PointId, identifier};
use super::state::{ControlId, Position};
use crate::quantity::{Amps, Metres, Ohms, SquareMillimetres, Volts};
use crate::source::Span;
use crate::tables::Sourced;
use crate::tables::ampacity::Laying;
pub use crate::tables::supply::BatteryChemistry;
use serde::Deserialize;

identifier!(
    /// Number of a part.
    PartId
);

/// What a load is; faults differ by it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize)]
pub enum LoadKind {
    /// Filament lamp.
    Lamp,
    /// Lamp with a driver.
    Led,
    /// Ventilator.
    Fan,
    /// Water or other pump.
    Pump,
    /// Any other motor.
    Motor,
    /// Compressor fridge.
    Fridge,
    /// Oven, kettle, pad.
    Heater,
    /// Air compressor.
    Compressor,
    /// Anything with a circuit board.
    Electronics,
    /// Two-way radio.
    Radio,
    /// Camera or screen.
    Camera,
    /// An outlet with something plugged in.
    Socket,
    /// Inverter, its DC side.
    Inverter,
    /// Input of a charger or converter.
    Charger,
    /// Solenoid valve.
    Valve,
    /// Tracker, alarm, control module.
    Module,
    /// Flashing beacon.
    Beacon,
    /// Linear or tilting actuator.
    Actuator,
}

/// Current against voltage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum LoadBehaviour {
    /// A resistance.
    Resistance(Ohms),
    /// The same current at any voltage above about half of nominal.
    ConstantCurrent(Amps),
}

/// Rest position of a relay contact.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Deserialize)]
pub enum ContactRest {
    /// Open at rest: 30 to 87.
    #[default]
    Make,
    /// Closed at rest: 30 to 87a.
    Break,
}

/// A load that must see a voltage for a supply to run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Need {
    /// The load.
    pub load: PartId,
    /// At least this across it.
    pub volts: Volts,
}

/// Something that makes voltage.
#[derive(Debug, Clone, PartialEq)]
pub enum Supply {
    /// A battery: rest voltage behind an internal resistance.
    Battery {
        /// Chemistry.
        chemistry: BatteryChemistry,
        /// Capacity, A·h.
        ampere_hours: f64,
        /// Rest voltage.
        rest: Volts,
    },
    /// A regulated source that gives no more than a limit and takes nothing back.
    Regulated {
        /// Set voltage.
        set: Volts,
        /// Largest current.
        limit: Amps,
        /// Loads that must see a voltage for it to run.
        needs: Vec<Need>,
    },
}

/// What a part is.
#[derive(Debug, Clone, PartialEq)]
pub enum PartKind {
    /// One contact of a fuse holder.
    HolderContact,
    /// Fuse element.
    Fuse {
        /// Rating.
        rating: Amps,
    },
    /// Thermal breaker.
    Breaker {
        /// Rating.
        rating: Amps,
    },
    /// Cable with its two terminations.
    Cable {
        /// Length.
        length: Metres,
        /// Cross-section.
        area: SquareMillimetres,
        /// How it lies.
        laying: Laying,
    },
    /// Joint of two conductors.
    Joint,
    /// Mated pair of pins.
    Pin,
    /// Switch.
    Switch,
    /// Isolator.
    Isolator,
    /// Relay contact.
    Contact {
        /// The coil that works it.
        coil: PartId,
        /// Where it rests.
        rest: ContactRest,
    },
    /// Relay coil.
    Coil {
        /// Voltage at which it pulls in.
        pull_in: Volts,
    },
    /// Current-measuring shunt.
    Shunt,
    /// Diode, forward from its first end.
    Diode {
        /// Forward drop.
        forward: Volts,
    },
    /// Body metal.
    Chassis,
    /// Load.
    Load {
        /// What it is.
        kind: LoadKind,
        /// Its current against voltage.
        behaviour: LoadBehaviour,
        /// Voltage it is made for.
        rated: Volts,
        /// Allowed drop as a share of that.
        allowed_drop: f64,
    },
    /// Supply; its first end is the negative post.
    Supply(Supply),
}

impl PartKind {
    /// The kind in trade words.
    pub fn words(&self) -> &'static str {
        match self {
            Self::HolderContact => "fuse-holder contact",
            Self::Fuse { .. } => "fuse",
            Self::Breaker { .. } => "breaker",
            Self::Cable { .. } => "cable",
            Self::Joint => "joint",
            Self::Pin => "plug pin",
            Self::Switch => "switch",
            Self::Isolator => "isolator",
            Self::Contact { .. } => "relay contact",
            Self::Coil { .. } => "relay coil",
            Self::Shunt => "shunt",
            Self::Diode { .. } => "diode",
            Self::Chassis => "body metal",
            Self::Load { .. } => "load",
            Self::Supply(Supply::Battery { .. }) => "battery",
            Self::Supply(Supply::Regulated { .. }) => "charging source",
        }
    }
}

/// Something between two points.
#[derive(Debug, Clone)]
pub struct Part {
    /// The name on its label.
    pub name: String,
    /// What people call it, where that says more.
    pub label: Option<String>,
    /// What it is.
    pub kind: PartKind,
    /// Where current enters.
    pub from: PointId,
    /// Where current leaves.
    pub to: PointId,
    /// Healthy resistance; for a load, at nominal voltage.
    pub resistance: Sourced<Ohms>,
    /// Spread of real parts: standard deviation of ln(resistance).
    pub spread: f64,
    /// Every one of these must stand so for it to conduct.
    pub gates: Vec<(ControlId, Position)>,
    /// Where it lives; none for a cable.
    pub place: Option<PlaceId>,
    /// Where it stands in the file.
    pub span: Span,
}

impl Part {
    /// The end that is not `point`.
    pub fn other_end(&self, point: PointId) -> PointId {
        if point == self.from { self.to } else { self.from }
    }

    /// The two points across it.
    pub fn ends(&self) -> (PointId, PointId) {
        (self.from, self.to)
    }
}
