//! What a vehicle file looks like, but for the parts of a run: nothing but
//! structs. Each entry of a list is read on its own.

pub use super::part_schema::{Behaves, Duty, PartEntry};
pub use super::reader::Name;
use super::reader::{List, Located};
use crate::quantity::{Amps, Celsius, Metres, Minutes, Ohms, SquareMillimetres, Volts};
use crate::tables::contact::PinStyle;
use crate::vehicle::{BatteryChemistry, Hazard, Position};
use serde::Deserialize;

/// The vehicle, its lists entry by entry.
#[derive(Debug, Deserialize)]
#[serde(rename = "Vehicle", deny_unknown_fields, bound(deserialize = "'de: 'a"))]
pub struct VehicleEntry<'a> {
    pub name: Located<Name<'a>>,
    pub nominal: Located<f64>,
    /// The point that stands for body metal: leaks and chafes go there.
    #[serde(default)]
    pub chassis: Located<Name<'a>>,
    /// Where the black lead goes unless said otherwise.
    pub black: Located<Name<'a>>,
    /// How far real parts may be from what is drawn, at least.
    #[serde(default)]
    pub spread: Located<f64>,
    #[serde(default)]
    pub notes: List<String>,
    #[serde(default)]
    pub cautions: List<CautionEntry<'a>>,
    pub places: List<PlaceEntry<'a>>,
    #[serde(default)]
    pub controls: List<ControlEntry<'a>>,
    pub supplies: List<SupplyEntry<'a>>,
    #[serde(default)]
    pub buses: List<BusEntry<'a>>,
    #[serde(default)]
    pub relays: List<RelayEntry<'a>>,
    #[serde(default)]
    pub plugs: List<PlugEntry<'a>>,
    #[serde(default)]
    pub multicores: List<MulticoreEntry<'a>>,
    pub runs: List<RunEntry<'a>>,
    #[serde(default)]
    pub instruments: List<InstrumentEntry<'a>>,
    #[serde(default)]
    pub states: List<StateEntry<'a>>,
}

#[derive(Debug, Deserialize)]
#[serde(rename = "Caution", deny_unknown_fields, bound(deserialize = "'de: 'a"))]
pub struct CautionEntry<'a> {
    pub hazard: Hazard,
    pub at: Name<'a>,
    pub text: String,
}

#[derive(Debug, Deserialize)]
#[serde(rename = "Place", deny_unknown_fields, bound(deserialize = "'de: 'a"))]
pub struct PlaceEntry<'a> {
    pub name: Name<'a>,
    pub minutes: Minutes,
    pub open: String,
    /// Reaching it may cure or change the fault for a while.
    #[serde(default)]
    pub disturbs: Disturbs,
    /// Whether probes get in there at all.
    #[serde(default)]
    pub probes: Probes,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
pub enum Probes {
    #[default]
    Fit,
    /// Potted, glued shut or sealed.
    Never,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
pub enum Disturbs {
    #[default]
    No,
    Slightly,
    Yes,
}

#[derive(Debug, Deserialize)]
#[serde(rename = "Control", deny_unknown_fields, bound(deserialize = "'de: 'a"))]
pub struct ControlEntry<'a> {
    pub name: Name<'a>,
    pub label: String,
    pub rest: Option<Position>,
    pub minutes: Option<Minutes>,
}

/// One source of supply; its posts are the points `NAME+` and `NAME-`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, bound(deserialize = "'de: 'a"))]
pub enum SupplyEntry<'a> {
    Battery {
        name: Name<'a>,
        label: Option<String>,
        chemistry: BatteryChemistry,
        ah: f64,
        /// Rest voltage; without it, from the state of charge.
        rest: Option<Volts>,
        /// State of charge, 0 to 1.
        charge: Option<f64>,
        celsius: Option<Celsius>,
        ohms: Option<Ohms>,
        /// What it sets against charging current.
        charge_ohms: Option<Ohms>,
        /// The most its protection lets out.
        amps: Option<Amps>,
        /// Posts below this and its protection opens.
        min_volts: Option<Volts>,
        at: Name<'a>,
    },
    Alternator {
        name: Name<'a>,
        label: Option<String>,
        volts: Volts,
        ohms: Option<Ohms>,
        amps: Amps,
        /// The control that must be on for it to turn.
        runs_with: Name<'a>,
        /// Where a smart one goes to when the engine control wishes.
        eased: Option<EasedEntry<'a>>,
        at: Name<'a>,
    },
    /// Output side of a DC-DC charger or converter; its input is a load.
    Charger {
        name: Name<'a>,
        label: Option<String>,
        volts: Volts,
        ohms: Option<Ohms>,
        amps: Amps,
        /// Loads that must each see at least these volts.
        #[serde(default)]
        needs: Vec<NeedEntry<'a>>,
        at: Name<'a>,
    },
    Solar {
        name: Name<'a>,
        label: Option<String>,
        volts: Volts,
        amps: Amps,
        runs_with: Name<'a>,
        at: Name<'a>,
    },
    /// Bench supply with a current limit.
    Bench {
        name: Name<'a>,
        label: Option<String>,
        volts: Volts,
        ohms: Ohms,
        amps: Amps,
        at: Name<'a>,
    },
}

#[derive(Debug, Clone, Copy, Deserialize)]
#[serde(rename = "Eased", deny_unknown_fields, bound(deserialize = "'de: 'a"))]
pub struct EasedEntry<'a> {
    /// The control that is on then.
    pub with: Name<'a>,
    pub volts: Volts,
}

#[derive(Debug, Clone, Copy, Deserialize)]
#[serde(rename = "CutOut", deny_unknown_fields)]
pub struct CutOutEntry {
    pub off: Volts,
    pub on: Volts,
}

#[derive(Debug, Clone, Copy, Deserialize)]
#[serde(rename = "Sleep", deny_unknown_fields, bound(deserialize = "'de: 'a"))]
pub struct SleepEntry<'a> {
    /// The control that is on while everything sleeps.
    pub with: Name<'a>,
    pub amps: Amps,
}

#[derive(Debug, Deserialize)]
#[serde(rename = "Need", deny_unknown_fields, bound(deserialize = "'de: 'a"))]
pub struct NeedEntry<'a> {
    pub load: Name<'a>,
    pub min_volts: Volts,
}

#[derive(Debug, Deserialize)]
#[serde(rename = "Bus", deny_unknown_fields, bound(deserialize = "'de: 'a"))]
pub struct BusEntry<'a> {
    pub name: Name<'a>,
    pub label: Option<String>,
    pub at: Name<'a>,
}

#[derive(Debug, Deserialize)]
#[serde(rename = "Relay", deny_unknown_fields, bound(deserialize = "'de: 'a"))]
pub struct RelayEntry<'a> {
    pub name: Name<'a>,
    pub at: Name<'a>,
    pub label: Option<String>,
    /// Resistance of the coil.
    pub ohms: Option<Ohms>,
    /// Coil voltage at which it pulls in.
    pub min_volts: Option<Volts>,
    /// Coil voltage below which it lets go.
    pub drop_volts: Option<Volts>,
}

#[derive(Debug, Deserialize)]
#[serde(rename = "Plug", deny_unknown_fields, bound(deserialize = "'de: 'a"))]
pub struct PlugEntry<'a> {
    pub name: Name<'a>,
    pub at: Name<'a>,
    pub label: Option<String>,
    pub style: Option<PinStyle>,
    pub rest: Option<Position>,
}

#[derive(Debug, Deserialize)]
#[serde(rename = "Multicore", deny_unknown_fields, bound(deserialize = "'de: 'a"))]
pub struct MulticoreEntry<'a> {
    pub name: Name<'a>,
    pub label: Option<String>,
    pub metres: Metres,
    pub cores: Vec<CoreEntry<'a>>,
}

#[derive(Debug, Deserialize)]
#[serde(rename = "Core", deny_unknown_fields, bound(deserialize = "'de: 'a"))]
pub struct CoreEntry<'a> {
    pub name: Name<'a>,
    pub mm2: SquareMillimetres,
}

/// Parts in the order the current flows.
#[derive(Debug, Deserialize)]
#[serde(rename = "Run", deny_unknown_fields, bound(deserialize = "'de: 'a"))]
pub struct RunEntry<'a> {
    pub name: Located<Name<'a>>,
    #[serde(default)]
    pub label: Located<String>,
    pub from: Located<Name<'a>>,
    /// Left out where it ends in a `Capped` or at a point other runs name.
    #[serde(default)]
    pub to: Located<Name<'a>>,
    /// Place of every part that does not name its own.
    #[serde(default)]
    pub at: Located<Name<'a>>,
    pub parts: List<PartEntry<'a>>,
}

/// An instrument that the vehicle carries.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, bound(deserialize = "'de: 'a"))]
pub enum InstrumentEntry<'a> {
    /// Shows the volts between two points.
    Voltmeter {
        name: Name<'a>,
        label: Option<String>,
        red: Name<'a>,
        black: Name<'a>,
        /// Last digit of its display.
        resolution: Option<Volts>,
        at: Option<Name<'a>>,
    },
    /// Shows the current of a part.
    Ammeter {
        name: Name<'a>,
        label: Option<String>,
        through: Name<'a>,
        /// Last digit of its display.
        resolution: Option<Amps>,
        at: Option<Name<'a>>,
    },
}

#[derive(Debug, Deserialize)]
#[serde(rename = "State", deny_unknown_fields, bound(deserialize = "'de: 'a"))]
pub struct StateEntry<'a> {
    pub name: Name<'a>,
    pub label: String,
    #[serde(default)]
    pub on: Vec<Name<'a>>,
    #[serde(default)]
    pub off: Vec<Name<'a>>,
}
