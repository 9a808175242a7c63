//! The parts of a run as a vehicle file writes them: nothing but structs.

use super::schema::{CutOutEntry, Name, SleepEntry};
use crate::quantity::{Amps, Celsius, Metres, Minutes, Ohms, SquareMillimetres, Volts, Watts};
use crate::tables::ampacity::Laying;
use crate::tables::contact::{IsolatorStyle, JointStyle, SwitchStyle};
use crate::tables::fuse::FuseStyle;
use crate::vehicle::{ContactRest, LoadKind, Position};
use serde::Deserialize;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, bound(deserialize = "'de: 'a"))]
pub enum PartEntry<'a> {
    /// Blade, strip or glass, in its holder.
    Fuse {
        name: Name<'a>,
        /// Its rating.
        amps: Amps,
        #[serde(default)]
        style: FuseStyle,
        ohms: Option<Ohms>,
        /// Of each of the two contacts of its holder.
        holder_ohms: Option<Ohms>,
        /// Real ones lie within this share of it, nineteen times in twenty.
        tolerance: Option<f64>,
        /// Its number on the fuse board.
        slot: Option<String>,
        /// Where its points are found, in words, and a picture of that.
        note: Option<String>,
        picture: Option<String>,
        /// Place of the face tabs.
        at: Option<Name<'a>>,
        /// Place of the terminals behind, where that is another one.
        back: Option<Name<'a>>,
    },
    /// A breaker worked by heat.
    Breaker {
        name: Name<'a>,
        /// Its rating.
        amps: Amps,
        ohms: Option<Ohms>,
        /// Real ones lie within this share of it, nineteen times in twenty.
        tolerance: Option<f64>,
        /// Its number on the fuse board.
        slot: Option<String>,
        /// Where its points are found, in words, and a picture of that.
        note: Option<String>,
        picture: Option<String>,
        at: Option<Name<'a>>,
    },
    /// A cable with its two ends; give `mm2` or `awg`.
    Cable {
        name: Name<'a>,
        metres: Metres,
        /// Of its copper, not its outside.
        mm2: Option<SquareMillimetres>,
        awg: Option<i32>,
        /// How warm it is where it lies; 20 where it is not said.
        celsius: Option<Celsius>,
        /// Alone, or among others: what it may carry goes by it.
        #[serde(default)]
        laying: Laying,
        ohms: Option<Ohms>,
        /// Real ones lie within this share of it, nineteen times in twenty.
        tolerance: Option<f64>,
        /// Of its jacket, as people say it: `red/white`.
        colour: Option<String>,
        /// Where its points are found, in words, and a picture of that.
        note: Option<String>,
        picture: Option<String>,
    },
    /// One core of a multi-core cable.
    Core { of: Name<'a>, core: Name<'a> },
    /// Two conductors joined.
    Joint {
        name: Name<'a>,
        label: Option<String>,
        /// Without it, a screw terminal.
        style: Option<JointStyle>,
        ohms: Option<Ohms>,
        /// Real ones lie within this share of it, nineteen times in twenty.
        tolerance: Option<f64>,
        /// Where its points are found, in words, and a picture of that.
        note: Option<String>,
        picture: Option<String>,
        at: Option<Name<'a>>,
    },
    /// One pin of a plug.
    Pin {
        of: Name<'a>,
        pin: Name<'a>,
        ohms: Option<Ohms>,
        /// Real ones lie within this share of it, nineteen times in twenty.
        tolerance: Option<f64>,
    },
    /// A switch, worked by hand or by what it senses.
    Switch {
        name: Name<'a>,
        label: Option<String>,
        /// Without it, a rocker.
        style: Option<SwitchStyle>,
        /// How it stands usually; without it, off.
        rest: Option<Position>,
        /// Worked by this control or switch rather than on its own.
        works_with: Option<Name<'a>>,
        /// The position in which it conducts.
        closed: Option<Position>,
        ohms: Option<Ohms>,
        /// Real ones lie within this share of it, nineteen times in twenty.
        tolerance: Option<f64>,
        /// Where its points are found, in words, and a picture of that.
        note: Option<String>,
        picture: Option<String>,
        at: Option<Name<'a>>,
    },
    /// A battery switch.
    Isolator {
        name: Name<'a>,
        label: Option<String>,
        /// Without it, one turned by hand.
        style: Option<IsolatorStyle>,
        rest: Option<Position>,
        ohms: Option<Ohms>,
        /// Real ones lie within this share of it, nineteen times in twenty.
        tolerance: Option<f64>,
        /// Where its points are found, in words, and a picture of that.
        note: Option<String>,
        picture: Option<String>,
        at: Option<Name<'a>>,
    },
    /// Contact of a relay, terminal 30 to 87 (make) or 87a (break).
    Contact {
        of: Name<'a>,
        #[serde(default)]
        rest: ContactRest,
        amps: Option<Amps>,
        ohms: Option<Ohms>,
    },
    /// Coil of a relay, terminal 86 to 85.
    Coil { of: Name<'a> },
    /// A resistor that a current is measured by.
    Shunt {
        name: Name<'a>,
        ohms: Ohms,
        /// Real ones lie within this share of it, nineteen times in twenty.
        tolerance: Option<f64>,
        /// Where its points are found, in words, and a picture of that.
        note: Option<String>,
        picture: Option<String>,
        at: Option<Name<'a>>,
    },
    /// Lets current through one way.
    Diode {
        name: Name<'a>,
        /// What it drops while it conducts.
        forward: Volts,
        /// What leaks back through it when it blocks.
        leak_amps: Option<Amps>,
        at: Option<Name<'a>>,
    },
    /// Body metal.
    Chassis { name: Name<'a>, ohms: Ohms },
    /// What the circuit is there for; give one of `amps`, `watts` and `ohms`.
    Load {
        name: Name<'a>,
        label: String,
        kind: LoadKind,
        amps: Option<Amps>,
        watts: Option<Watts>,
        ohms: Option<Ohms>,
        /// Voltage it is made for, where that is not the vehicle's.
        volts: Option<Volts>,
        /// How its current goes with its volts.
        behaves: Option<Behaves>,
        /// Voltage below which a constant-power load folds back.
        min_volts: Option<Volts>,
        /// Forward voltage of a diode string.
        forward: Option<Volts>,
        /// Where it stops and where it starts again.
        cut_out: Option<CutOutEntry>,
        /// What it draws asleep.
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
        hold_minutes: Option<Minutes>,
        /// Held to the 3 % limit rather than the 10 % one.
        #[serde(default)]
        duty: Duty,
        /// Switches itself (thermostat, pressure): whether it calls is a control.
        rest: Option<Position>,
        /// Real ones lie within this share of it, nineteen times in twenty.
        tolerance: Option<f64>,
        /// Where its points are found, in words, and a picture of that.
        note: Option<String>,
        picture: Option<String>,
        at: Option<Name<'a>>,
    },
    /// Wired for something not fitted yet; ends its run.
    Capped { name: Name<'a>, at: Option<Name<'a>> },
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
