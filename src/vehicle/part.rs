//! What current flows through.

use super::place::{PlaceId, PointId, identifier};
use super::state::{ControlId, Position};
use crate::quantity::{Amps, Metres, Minutes, Ohms, SquareMillimetres, Volts, Watts};
use crate::source::Span;
use crate::tables::Sourced;
use crate::tables::ampacity::Laying;
pub use crate::tables::supply::BatteryChemistry;
use serde::Deserialize;

identifier!(
    /// Number of a part.
    PartId
);

identifier!(
    /// Number of a plug or multi-core cable: what fails as one thing.
    BundleId
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
    /// The same power at any voltage above a fold, as what has a converter in
    /// it draws; a resistance below.
    ConstantPower {
        /// The power.
        watts: Watts,
        /// Voltage below which it folds back.
        fold: Volts,
    },
    /// A filament: resistance rises as it heats.
    Filament(Amps),
    /// Light-emitting diodes in a string with a resistor.
    DiodeString {
        /// Forward voltage of the string.
        forward: Volts,
        /// The resistor.
        ohms: Ohms,
    },
}

impl LoadBehaviour {
    /// Resistance that draws the same at a voltage.
    pub fn ohms_at(&self, volts: Volts) -> Ohms {
        match *self {
            Self::Resistance(ohms) => ohms,
            Self::ConstantCurrent(amps) | Self::Filament(amps) => volts / amps,
            Self::ConstantPower { watts, .. } => Ohms(volts.0 * volts.0 / watts.0),
            Self::DiodeString { forward, ohms } => Ohms(volts.0 / ((volts.0 - forward.0) / ohms.0).max(1e-6)),
        }
    }
}

/// What a load with a low-voltage cut-out does: it stops, and starts again
/// only at a higher voltage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CutOut {
    /// Stops below this at its terminals.
    pub off: Volts,
    /// Starts again above this.
    pub on: Volts,
}

/// What a load draws once it sleeps.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sleep {
    /// The control that is on while everything sleeps.
    pub with: ControlId,
    /// Current then.
    pub amps: Amps,
}

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
    /// Voltage then.
    pub set: Volts,
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
        /// Protection that opens it.
        protection: Protection,
    },
    /// A regulated source that gives no more than a limit and takes nothing back.
    Regulated {
        /// Set voltage.
        set: Volts,
        /// Largest current.
        limit: Amps,
        /// Loads that must see a voltage for it to run.
        needs: Vec<Need>,
        /// Another voltage in some states.
        eased: Option<Eased>,
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
        /// Voltage below which it lets go.
        drop_out: Volts,
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
        /// Its low-voltage cut-out.
        cut_out: Option<CutOut>,
        /// What it draws asleep.
        sleep: Option<Sleep>,
        /// How long what is in it keeps once it has stopped.
        hold: Option<Minutes>,
    },
    /// Supply; its first end is the negative post.
    Supply(Supply),
}

impl PartKind {
    /// Whether it is a battery.
    pub fn is_battery(&self) -> bool {
        matches!(self, Self::Supply(Supply::Battery { .. }))
    }

    /// Forward voltage of what conducts only above one.
    pub fn forward(&self) -> Option<Volts> {
        match self {
            Self::Diode { forward } | Self::Load { behaviour: LoadBehaviour::DiodeString { forward, .. }, .. } => {
                Some(*forward)
            }
            _ => None,
        }
    }

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
    /// The plug or multi-core cable that it is one way through.
    pub bundle: Option<BundleId>,
    /// Where it stands in the file.
    pub span: Span,
}

impl Part {
    /// The end that is not `point`.
    pub fn other_end(&self, point: PointId) -> PointId {
        if point == self.from { self.to } else { self.from }
    }

    /// Whether it is a fuse.
    pub fn is_fuse(&self) -> bool {
        matches!(self.kind, PartKind::Fuse { .. })
    }

    /// The two points across it.
    pub fn ends(&self) -> (PointId, PointId) {
        (self.from, self.to)
    }
}
