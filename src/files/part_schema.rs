//! The parts of a run as a vehicle file writes them: nothing but structs.

use super::schema::{CutOutEntry, Name, SleepEntry};
use crate::quantity::{Amps, Celsius, Metres, Minutes, Ohms, SquareMillimetres, Volts, Watts};
use crate::tables::ampacity::Laying;
use crate::tables::contact::{IsolatorStyle, JointStyle, SwitchStyle};
use crate::tables::fuse::FuseStyle;
use crate::vehicle::{ContactRest, LoadKind, Position};
use serde::Deserialize;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum PartEntry<'a> {
    Fuse {
        #[serde(borrow)]
        name: Name<'a>,
        amps: Amps,
        #[serde(default)]
        style: FuseStyle,
        #[serde(default)]
        ohms: Option<Ohms>,
        /// Place of the face tabs.
        #[serde(default, borrow)]
        at: Option<Name<'a>>,
        /// Place of the terminals behind, where that is another one.
        #[serde(default, borrow)]
        back: Option<Name<'a>>,
    },
    Breaker {
        #[serde(borrow)]
        name: Name<'a>,
        amps: Amps,
        #[serde(default)]
        ohms: Option<Ohms>,
        #[serde(default, borrow)]
        at: Option<Name<'a>>,
    },
    Cable {
        #[serde(borrow)]
        name: Name<'a>,
        metres: Metres,
        #[serde(default)]
        mm2: Option<SquareMillimetres>,
        #[serde(default)]
        awg: Option<i32>,
        #[serde(default)]
        celsius: Option<Celsius>,
        #[serde(default)]
        laying: Laying,
        #[serde(default)]
        ohms: Option<Ohms>,
    },
    /// One core of a multi-core cable.
    Core {
        #[serde(borrow)]
        of: Name<'a>,
        #[serde(borrow)]
        core: Name<'a>,
    },
    Joint {
        #[serde(borrow)]
        name: Name<'a>,
        #[serde(default)]
        label: Option<String>,
        style: JointStyle,
        #[serde(default)]
        ohms: Option<Ohms>,
        #[serde(default, borrow)]
        at: Option<Name<'a>>,
    },
    /// One pin of a plug.
    Pin {
        #[serde(borrow)]
        of: Name<'a>,
        #[serde(borrow)]
        pin: Name<'a>,
        #[serde(default)]
        ohms: Option<Ohms>,
    },
    Switch {
        #[serde(borrow)]
        name: Name<'a>,
        #[serde(default)]
        label: Option<String>,
        style: SwitchStyle,
        #[serde(default)]
        rest: Option<Position>,
        /// Worked by this control or switch rather than on its own.
        #[serde(default, borrow)]
        works_with: Option<Name<'a>>,
        /// The position in which it conducts.
        #[serde(default)]
        closed: Option<Position>,
        #[serde(default)]
        ohms: Option<Ohms>,
        #[serde(default, borrow)]
        at: Option<Name<'a>>,
    },
    Isolator {
        #[serde(borrow)]
        name: Name<'a>,
        #[serde(default)]
        label: Option<String>,
        style: IsolatorStyle,
        #[serde(default)]
        rest: Option<Position>,
        #[serde(default)]
        ohms: Option<Ohms>,
        #[serde(default, borrow)]
        at: Option<Name<'a>>,
    },
    /// Contact of a relay, terminal 30 to 87 (make) or 87a (break).
    Contact {
        #[serde(borrow)]
        of: Name<'a>,
        #[serde(default)]
        rest: ContactRest,
        #[serde(default)]
        amps: Option<Amps>,
        #[serde(default)]
        ohms: Option<Ohms>,
    },
    /// Coil of a relay, terminal 86 to 85.
    Coil {
        #[serde(borrow)]
        of: Name<'a>,
    },
    Shunt {
        #[serde(borrow)]
        name: Name<'a>,
        ohms: Ohms,
        #[serde(default, borrow)]
        at: Option<Name<'a>>,
    },
    Diode {
        #[serde(borrow)]
        name: Name<'a>,
        forward: Volts,
        /// What leaks back through it when it blocks.
        #[serde(default)]
        leak_amps: Option<Amps>,
        #[serde(default, borrow)]
        at: Option<Name<'a>>,
    },
    /// Body metal.
    Chassis {
        #[serde(borrow)]
        name: Name<'a>,
        ohms: Ohms,
    },
    Load {
        #[serde(borrow)]
        name: Name<'a>,
        label: String,
        kind: LoadKind,
        #[serde(default)]
        amps: Option<Amps>,
        #[serde(default)]
        watts: Option<Watts>,
        #[serde(default)]
        ohms: Option<Ohms>,
        /// Voltage it is made for, where that is not the vehicle's.
        #[serde(default)]
        volts: Option<Volts>,
        #[serde(default)]
        behaves: Option<Behaves>,
        /// Voltage below which a constant-power load folds back.
        #[serde(default)]
        min_volts: Option<Volts>,
        /// Forward voltage of a diode string.
        #[serde(default)]
        forward: Option<Volts>,
        /// Where it stops and where it starts again.
        #[serde(default)]
        cut_out: Option<CutOutEntry>,
        /// What it draws asleep.
        #[serde(default, borrow)]
        sleep: Option<SleepEntry<'a>>,
        /// Of the input of a converter: what comes out as a share of what goes in.
        #[serde(default)]
        efficiency: Option<f64>,
        /// The same: what it takes for itself.
        #[serde(default)]
        idle_watts: Option<Watts>,
        /// A resistor across its terminals.
        #[serde(default)]
        bleed_ohms: Option<Ohms>,
        /// How long what is in it keeps once it has stopped, such as vaccine.
        #[serde(default)]
        hold_minutes: Option<Minutes>,
        /// Held to the 3 % limit rather than the 10 % one.
        #[serde(default)]
        duty: Duty,
        /// Switches itself (thermostat, pressure): whether it calls is a control.
        #[serde(default)]
        rest: Option<Position>,
        #[serde(default, borrow)]
        at: Option<Name<'a>>,
    },
    /// Wired for something not fitted yet; ends its run.
    Capped {
        #[serde(borrow)]
        name: Name<'a>,
        #[serde(default, borrow)]
        at: Option<Name<'a>>,
    },
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
pub enum Behaves {
    Resistance,
    ConstantCurrent,
    ConstantPower,
    Filament,
    DiodeString,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
pub enum Duty {
    #[default]
    Ordinary,
    Critical,
}
