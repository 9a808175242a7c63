//! Loads: what they are for, and how they draw current.

use super::id::ControlId;
use crate::quantity::{Amps, Minutes, Ohms, Volts, Watts};
use serde::Deserialize;

/// Numerical: what a string of diodes draws below its forward voltage.
const LEAST_AMPS: Amps = Amps(1e-6);

/// What a load is; faults differ by it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize)]
pub enum LoadKind {
    Lamp,
    /// Lamp with a driver.
    Led,
    Fan,
    /// Water or other pump.
    Pump,
    /// Any other motor.
    Motor,
    /// Compressor fridge.
    Fridge,
    /// Oven, kettle, pad.
    Heater,
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

impl LoadKind {
    /// Whether a circuit board stands between the wires and what it does: then it
    /// may draw as a resistance, the same current or the same power.
    pub fn is_electronic(self) -> bool {
        match self {
            Self::Led
            | Self::Fridge
            | Self::Electronics
            | Self::Radio
            | Self::Camera
            | Self::Socket
            | Self::Inverter
            | Self::Charger
            | Self::Module
            | Self::Beacon => true,
            Self::Lamp
            | Self::Fan
            | Self::Pump
            | Self::Motor
            | Self::Heater
            | Self::Compressor
            | Self::Valve
            | Self::Actuator => false,
        }
    }
}

/// Current against voltage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum LoadBehaviour {
    Resistance(Ohms),
    /// The same current at any voltage above about half of nominal.
    ConstantCurrent(Amps),
    /// The same power at any voltage above a fold, as what has a converter in
    /// it draws; a resistance below.
    ConstantPower {
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
    /// Forward voltage of what conducts only above one.
    pub fn forward(&self) -> Option<Volts> {
        match *self {
            Self::DiodeString { forward, .. } => Some(forward),
            Self::Resistance(_) | Self::ConstantCurrent(_) | Self::ConstantPower { .. } | Self::Filament(_) => None,
        }
    }

    /// Resistance that draws the same at a voltage.
    pub fn ohms_at(&self, volts: Volts) -> Ohms {
        match *self {
            Self::Resistance(ohms) => ohms,
            Self::ConstantCurrent(amps) | Self::Filament(amps) => volts / amps,
            Self::ConstantPower { watts, .. } => Ohms(volts.0 * volts.0 / watts.0),
            Self::DiodeString { forward, ohms } => volts / ((volts - forward) / ohms).max(LEAST_AMPS),
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
    pub amps: Amps,
}

/// What the input of a converter makes of what it takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Conversion {
    /// What comes out as a share of what goes in beside `idle`.
    pub efficiency: f64,
    /// What it takes for itself.
    pub idle: Watts,
    /// What it must have.
    pub least: Volts,
}

/// What draws current to do something.
#[derive(Debug, Clone, PartialEq)]
pub struct Load {
    pub kind: LoadKind,
    /// Its current against voltage.
    pub behaviour: LoadBehaviour,
    /// Whether that is only supposed, since the file does not say it.
    pub is_supposed: bool,
    /// Voltage it is made for.
    pub rated: Volts,
    /// Allowed drop as a share of that.
    pub allowed_drop: f64,
    /// Its low-voltage cut-out.
    pub cut_out: Option<CutOut>,
    /// What it draws asleep.
    pub sleep: Option<Sleep>,
    /// Of the input of a converter: it draws what its outputs give.
    pub converts: Option<Conversion>,
    /// A resistor across its terminals.
    pub bleed: Option<Ohms>,
    /// How long what is in it keeps once it has stopped.
    pub hold: Option<Minutes>,
}
