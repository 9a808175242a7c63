//! What a vehicle file looks like, but for the parts of a run: nothing but
//! structs. Each entry of a list is read on its own.

pub use super::part_schema::{Behaves, Duty, PartEntry};
pub use super::reader::Name;
use super::reader::{AnyEntry, List, Located};
use crate::quantity::{Amps, Celsius, Metres, Minutes, Ohms, SquareMillimetres, Volts, Watts};
use crate::tables::contact::PinStyle;
use crate::vehicle::{BatteryChemistry, Hazard, LoadKind, Position};
use serde::Deserialize;

/// Format: keys that are written out before the rest is read.
pub const MASTER: &str = "master";
/// Format: the same.
pub const CHANGED: &str = "changed";
/// Format: the same.
pub const LEFT_OUT: &str = "left_out";
/// Format: the same.
pub const FEEDS: &str = "feeds";
/// Format: where they go.
pub const RUNS: &str = "runs";

/// The vehicle, its lists entry by entry.
#[derive(Debug, Deserialize)]
#[serde(rename = "Vehicle", deny_unknown_fields, bound(deserialize = "'de: 'a"))]
pub struct VehicleEntry<'a> {
    /// File of a vehicle of the same build, which this one differs from: keys here stand
    /// in the place of its keys, lists here add to its lists.
    #[serde(default)]
    pub master: Located<String>,
    /// Entries of the master with the keys that are otherwise here.
    #[serde(default)]
    pub changed: List<AnyEntry>,
    /// Entries of the master that are not here: their kind and name.
    #[serde(default)]
    pub left_out: List<AnyEntry>,
    /// What people call it.
    pub name: Located<Name<'a>>,
    /// 12 or 24.
    pub nominal: Located<f64>,
    /// The point that stands for body metal: leaks and chafes go there.
    #[serde(default)]
    pub chassis: Located<Name<'a>>,
    /// Where the black lead goes unless said otherwise.
    pub black: Located<Name<'a>>,
    /// How far real parts may be from what is drawn, at least.
    #[serde(default)]
    pub spread: Located<f64>,
    /// Length of the meter's leads at hand.
    #[serde(default)]
    pub leads_metres: Located<Metres>,
    /// Remarks that the program shows.
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
    /// Fused feeds in one line each.
    #[serde(default)]
    pub feeds: List<FeedEntry<'a>>,
    #[serde(default)]
    pub instruments: List<InstrumentEntry<'a>>,
    #[serde(default)]
    pub states: List<StateEntry<'a>>,
}

/// What can hurt somebody there, beside what the kinds of parts say.
#[derive(Debug, Deserialize)]
#[serde(rename = "Caution", deny_unknown_fields, bound(deserialize = "'de: 'a"))]
pub struct CautionEntry<'a> {
    pub hazard: Hazard,
    pub at: Name<'a>,
    pub text: String,
}

/// Where a probe finds things.
#[derive(Debug, Deserialize)]
#[serde(rename = "Place", deny_unknown_fields, bound(deserialize = "'de: 'a"))]
pub struct PlaceEntry<'a> {
    pub name: Name<'a>,
    /// To get a probe there.
    pub minutes: Minutes,
    /// What to do to get there; without it, no more than to get at it.
    pub open: Option<String>,
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

/// What has to be so for something to run, and is no switch: engine, sun.
#[derive(Debug, Deserialize)]
#[serde(rename = "Control", deny_unknown_fields, bound(deserialize = "'de: 'a"))]
pub struct ControlEntry<'a> {
    pub name: Name<'a>,
    pub label: String,
    /// How it stands usually; without it, off.
    pub rest: Option<Position>,
    /// To set it.
    pub minutes: Option<Minutes>,
}

/// One source of supply; its posts are the points `NAME+` and `NAME-`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, bound(deserialize = "'de: 'a"))]
pub enum SupplyEntry<'a> {
    Battery {
        name: Name<'a>,
        label: Option<String>,
        /// Without it, a lead-acid one.
        chemistry: Option<BatteryChemistry>,
        /// Without it, 100 A·h.
        ah: Option<f64>,
        /// Rest voltage; without it, from the state of charge.
        rest: Option<Volts>,
        /// State of charge, 0 to 1.
        charge: Option<f64>,
        /// How cold or warm it is.
        celsius: Option<Celsius>,
        /// Inside it; without it, from its chemistry and capacity.
        ohms: Option<Ohms>,
        /// Of its resistance: real ones lie within this share, nineteen times in twenty.
        tolerance: Option<f64>,
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

/// A bar, stud or block where runs meet: a point.
#[derive(Debug, Deserialize)]
#[serde(rename = "Bus", deny_unknown_fields, bound(deserialize = "'de: 'a"))]
pub struct BusEntry<'a> {
    pub name: Name<'a>,
    pub label: Option<String>,
    /// Where it is found, in words, and a picture of that.
    pub note: Option<String>,
    pub picture: Option<String>,
    pub at: Name<'a>,
}

/// A relay; runs have its `Contact` and its `Coil`.
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
    /// Its number on the board.
    pub slot: Option<String>,
    /// Where it is found, in words, and a picture of that.
    pub note: Option<String>,
    pub picture: Option<String>,
}

/// A plug; runs have its pins.
#[derive(Debug, Deserialize)]
#[serde(rename = "Plug", deny_unknown_fields, bound(deserialize = "'de: 'a"))]
pub struct PlugEntry<'a> {
    pub name: Name<'a>,
    pub at: Name<'a>,
    pub label: Option<String>,
    /// Without it, sealed.
    pub style: Option<PinStyle>,
    /// Without it, plugged in.
    pub rest: Option<Position>,
    /// Where it is found, in words, and a picture of that.
    pub note: Option<String>,
    pub picture: Option<String>,
}

/// A cable of several cores; runs have the cores.
#[derive(Debug, Deserialize)]
#[serde(rename = "Multicore", deny_unknown_fields, bound(deserialize = "'de: 'a"))]
pub struct MulticoreEntry<'a> {
    pub name: Name<'a>,
    pub label: Option<String>,
    pub metres: Metres,
    /// How warm it is where it lies.
    pub celsius: Option<Celsius>,
    pub cores: Vec<CoreEntry<'a>>,
}

#[derive(Debug, Deserialize)]
#[serde(rename = "Core", deny_unknown_fields, bound(deserialize = "'de: 'a"))]
pub struct CoreEntry<'a> {
    pub name: Name<'a>,
    pub mm2: SquareMillimetres,
    /// Of its jacket; without it, its name says it or nothing does.
    pub colour: Option<String>,
}

/// Parts in the order the current flows.
#[derive(Debug, Deserialize)]
#[serde(rename = "Run", deny_unknown_fields, bound(deserialize = "'de: 'a"))]
pub struct RunEntry<'a> {
    pub name: Located<Name<'a>>,
    #[serde(default)]
    pub label: Located<String>,
    /// The point that it starts from.
    pub from: Located<Name<'a>>,
    /// The point that it ends at; left out where it ends in a `Capped` or at a point other runs name.
    #[serde(default)]
    pub to: Located<Name<'a>>,
    /// Place of every part that does not name its own.
    #[serde(default)]
    pub at: Located<Name<'a>>,
    pub parts: List<PartEntry<'a>>,
}

/// The run of a fused feed: fuse, switch if there is one, cable, load, and the same
/// cable back.
#[derive(Debug, Deserialize)]
#[serde(rename = "Feed", deny_unknown_fields, bound(deserialize = "'de: 'a"))]
#[allow(dead_code)]
pub struct FeedEntry<'a> {
    /// Name of its load; `F_NAME`, `W_NAME` and `W_NAME_back` are those of the rest.
    pub name: Name<'a>,
    pub label: String,
    pub kind: LoadKind,
    pub amps: Option<Amps>,
    pub watts: Option<Watts>,
    pub ohms: Option<Ohms>,
    pub behaves: Option<Behaves>,
    pub rest: Option<Position>,
    #[serde(default)]
    pub duty: Duty,
    pub hold_minutes: Option<Minutes>,
    /// Place of the load.
    pub at: Name<'a>,
    pub from: Name<'a>,
    pub to: Name<'a>,
    /// Place of the fuse.
    pub board: Name<'a>,
    /// Rating of the fuse.
    pub fuse: Amps,
    /// Where it is called otherwise.
    pub fuse_name: Option<Name<'a>>,
    pub slot: Option<String>,
    /// Name of its switch, and the place of that.
    pub switch: Option<Name<'a>>,
    pub switch_at: Option<Name<'a>>,
    /// Length one way.
    pub metres: Metres,
    pub mm2: SquareMillimetres,
    /// Of the wire there.
    pub colour: Option<String>,
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

/// A state with a name: `state NAME` sets it.
#[derive(Debug, Deserialize)]
#[serde(rename = "State", deny_unknown_fields, bound(deserialize = "'de: 'a"))]
pub struct StateEntry<'a> {
    pub name: Name<'a>,
    pub label: String,
    /// What is on in it.
    #[serde(default)]
    pub on: Vec<Name<'a>>,
    /// What is off in it.
    #[serde(default)]
    pub off: Vec<Name<'a>>,
}
