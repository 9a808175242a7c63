//! What a vehicle file looks like: serde structs, nothing else. Lists hold raw
//! text so that each entry is read on its own and every bad one is reported.

use crate::quantity::{Amps, Celsius, Metres, Minutes, Ohms, SquareMillimetres, Volts, Watts};
use crate::tables::ampacity::Laying;
use crate::tables::contact::{IsolatorStyle, JointStyle, PinStyle, SwitchStyle};
use crate::tables::fuse::FuseStyle;
use crate::vehicle::{BatteryChemistry, ContactRest, Hazard, LoadKind, Position};
use ron::value::RawValue;
use serde::Deserialize;
use serde::de::{Deserializer, Error, Visitor};
use std::fmt;
use std::marker::PhantomData;

/// A name with the address of its first byte, from which [`super::load`]
/// finds its place in the file (serde itself forgets places).
#[derive(Debug, Clone, Copy)]
pub struct Name<'a> {
    /// The name.
    pub text: &'a str,
}

impl<'de: 'a, 'a> Deserialize<'de> for Name<'a> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Borrowed<'a>(PhantomData<&'a str>);
        impl<'de: 'a, 'a> Visitor<'de> for Borrowed<'a> {
            type Value = Name<'a>;
            fn expecting(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
                write!(out, "a name in quotes, without escapes")
            }
            fn visit_borrowed_str<E: Error>(self, text: &'de str) -> Result<Name<'a>, E> {
                Ok(Name { text })
            }
        }
        deserializer.deserialize_str(Borrowed(PhantomData))
    }
}

#[derive(Debug, Deserialize)]
#[serde(rename = "Vehicle", deny_unknown_fields)]
pub struct VehicleEntry<'a> {
    #[serde(borrow)]
    pub name: Name<'a>,
    #[serde(borrow)]
    pub nominal: &'a RawValue,
    /// The point that stands for body metal: leaks and chafes go there.
    #[serde(default, borrow)]
    pub chassis: Option<Name<'a>>,
    /// Where the black lead goes unless said otherwise.
    #[serde(borrow)]
    pub black: Name<'a>,
    #[serde(default)]
    pub notes: Vec<String>,
    #[serde(default, borrow)]
    pub cautions: Vec<&'a RawValue>,
    #[serde(borrow)]
    pub places: Vec<&'a RawValue>,
    #[serde(default, borrow)]
    pub controls: Vec<&'a RawValue>,
    #[serde(borrow)]
    pub supplies: Vec<&'a RawValue>,
    #[serde(default, borrow)]
    pub buses: Vec<&'a RawValue>,
    #[serde(default, borrow)]
    pub relays: Vec<&'a RawValue>,
    #[serde(default, borrow)]
    pub plugs: Vec<&'a RawValue>,
    #[serde(default, borrow)]
    pub multicores: Vec<&'a RawValue>,
    #[serde(borrow)]
    pub runs: Vec<&'a RawValue>,
    #[serde(default, borrow)]
    pub states: Vec<&'a RawValue>,
}

#[derive(Debug, Deserialize)]
#[serde(rename = "Caution", deny_unknown_fields)]
pub struct CautionEntry<'a> {
    pub hazard: Hazard,
    #[serde(borrow)]
    pub at: Name<'a>,
    pub text: String,
}

#[derive(Debug, Deserialize)]
#[serde(rename = "Place", deny_unknown_fields)]
pub struct PlaceEntry<'a> {
    #[serde(borrow)]
    pub name: Name<'a>,
    pub minutes: Minutes,
    pub open: String,
    /// Reaching it may cure or change the fault for a while.
    #[serde(default)]
    pub disturbs: Disturbs,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
pub enum Disturbs {
    #[default]
    No,
    Slightly,
    Yes,
}

#[derive(Debug, Deserialize)]
#[serde(rename = "Control", deny_unknown_fields)]
pub struct ControlEntry<'a> {
    #[serde(borrow)]
    pub name: Name<'a>,
    pub label: String,
    #[serde(default)]
    pub rest: Option<Position>,
    #[serde(default)]
    pub minutes: Option<Minutes>,
}

/// One source of supply; its posts are the points `NAME+` and `NAME-`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum SupplyEntry<'a> {
    Battery {
        #[serde(borrow)]
        name: Name<'a>,
        #[serde(default)]
        label: Option<String>,
        chemistry: BatteryChemistry,
        ah: f64,
        rest: Volts,
        ohms: Ohms,
        /// The most its protection lets out.
        #[serde(default)]
        amps: Option<Amps>,
        #[serde(borrow)]
        at: Name<'a>,
    },
    Alternator {
        #[serde(borrow)]
        name: Name<'a>,
        #[serde(default)]
        label: Option<String>,
        volts: Volts,
        #[serde(default)]
        ohms: Option<Ohms>,
        amps: Amps,
        /// The control that must be on for it to turn.
        #[serde(borrow)]
        runs_with: Name<'a>,
        #[serde(borrow)]
        at: Name<'a>,
    },
    /// Output side of a DC-DC charger or converter; its input is a load.
    Charger {
        #[serde(borrow)]
        name: Name<'a>,
        #[serde(default)]
        label: Option<String>,
        volts: Volts,
        #[serde(default)]
        ohms: Option<Ohms>,
        amps: Amps,
        /// Loads that must each see at least these volts.
        #[serde(default, borrow)]
        needs: Vec<NeedEntry<'a>>,
        #[serde(borrow)]
        at: Name<'a>,
    },
    Solar {
        #[serde(borrow)]
        name: Name<'a>,
        #[serde(default)]
        label: Option<String>,
        volts: Volts,
        amps: Amps,
        #[serde(borrow)]
        runs_with: Name<'a>,
        #[serde(borrow)]
        at: Name<'a>,
    },
    /// Bench supply with a current limit.
    Bench {
        #[serde(borrow)]
        name: Name<'a>,
        #[serde(default)]
        label: Option<String>,
        volts: Volts,
        ohms: Ohms,
        amps: Amps,
        #[serde(borrow)]
        at: Name<'a>,
    },
}

#[derive(Debug, Deserialize)]
#[serde(rename = "Need", deny_unknown_fields)]
pub struct NeedEntry<'a> {
    #[serde(borrow)]
    pub load: Name<'a>,
    pub min_volts: Volts,
}

#[derive(Debug, Deserialize)]
#[serde(rename = "Bus", deny_unknown_fields)]
pub struct BusEntry<'a> {
    #[serde(borrow)]
    pub name: Name<'a>,
    #[serde(default)]
    pub label: Option<String>,
    #[serde(borrow)]
    pub at: Name<'a>,
}

#[derive(Debug, Deserialize)]
#[serde(rename = "Relay", deny_unknown_fields)]
pub struct RelayEntry<'a> {
    #[serde(borrow)]
    pub name: Name<'a>,
    #[serde(borrow)]
    pub at: Name<'a>,
    #[serde(default)]
    pub label: Option<String>,
    /// Resistance of the coil.
    #[serde(default)]
    pub ohms: Option<Ohms>,
    /// Coil voltage at which it pulls in.
    #[serde(default)]
    pub min_volts: Option<Volts>,
}

#[derive(Debug, Deserialize)]
#[serde(rename = "Plug", deny_unknown_fields)]
pub struct PlugEntry<'a> {
    #[serde(borrow)]
    pub name: Name<'a>,
    #[serde(borrow)]
    pub at: Name<'a>,
    #[serde(default)]
    pub label: Option<String>,
    #[serde(default)]
    pub style: Option<PinStyle>,
    #[serde(default)]
    pub rest: Option<Position>,
}

#[derive(Debug, Deserialize)]
#[serde(rename = "Multicore", deny_unknown_fields)]
pub struct MulticoreEntry<'a> {
    #[serde(borrow)]
    pub name: Name<'a>,
    #[serde(default)]
    pub label: Option<String>,
    pub metres: Metres,
    #[serde(borrow)]
    pub cores: Vec<CoreEntry<'a>>,
}

#[derive(Debug, Deserialize)]
#[serde(rename = "Core", deny_unknown_fields)]
pub struct CoreEntry<'a> {
    #[serde(borrow)]
    pub name: Name<'a>,
    pub mm2: SquareMillimetres,
}

/// Parts in the order the current flows.
#[derive(Debug, Deserialize)]
#[serde(rename = "Run", deny_unknown_fields)]
pub struct RunEntry<'a> {
    #[serde(borrow)]
    pub name: Name<'a>,
    #[serde(default)]
    pub label: Option<String>,
    #[serde(borrow)]
    pub from: Name<'a>,
    /// Left out where the run ends in a `Capped` or a point named later.
    #[serde(default, borrow)]
    pub to: Option<Name<'a>>,
    /// Place of every part that does not name its own.
    #[serde(default, borrow)]
    pub at: Option<Name<'a>>,
    #[serde(borrow)]
    pub parts: Vec<&'a RawValue>,
}

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
        behaves: Behaves,
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

#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
pub enum Behaves {
    #[default]
    Resistance,
    ConstantCurrent,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
pub enum Duty {
    #[default]
    Ordinary,
    Critical,
}

#[derive(Debug, Deserialize)]
#[serde(rename = "State", deny_unknown_fields)]
pub struct StateEntry<'a> {
    #[serde(borrow)]
    pub name: Name<'a>,
    pub label: String,
    #[serde(default, borrow)]
    pub on: Vec<Name<'a>>,
    #[serde(default, borrow)]
    pub off: Vec<Name<'a>>,
}
