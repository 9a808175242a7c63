//! What a vehicle file looks like, but for the parts of a run: nothing but
//! structs. Each entry of a list is read on its own.

use super::outline::Node;
use super::outline::lists::SECTIONS;
pub use super::part_schema::{Behaves, Duty, PartEntry};
use super::reader::KeyField;
use crate::quantity::{Amps, Celsius, Metres, Minutes, Ohms, SquareMillimetres, Volts};
use crate::source::Span;
use crate::tables::contact::PinStyle;
use crate::vehicle::{BatteryChemistry, Hazard, Position};
use serde::Deserialize;
use serde::de::{Deserializer, Error, Visitor};
use std::fmt;
use std::marker::PhantomData;

/// A name with the address of its first byte, from which [`super::locate`]
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

/// A kind of entry, whatever text it borrows its names from: slips are looked
/// for in a copy.
pub trait EntryKind {
    type Entry<'t>: Deserialize<'t>;
}

macro_rules! kinds {
    ($($entry:ident),*) => {
        $(impl EntryKind for $entry<'static> {
            type Entry<'t> = $entry<'t>;
        })*
    };
}
kinds!(
    CautionEntry,
    PlaceEntry,
    ControlEntry,
    SupplyEntry,
    BusEntry,
    RelayEntry,
    PlugEntry,
    MulticoreEntry,
    PartEntry,
    InstrumentEntry,
    StateEntry
);

/// The vehicle; what could not be read is `None` and has been reported.
#[derive(Debug)]
pub struct VehicleEntry<'n, 'a> {
    pub name: Option<Name<'a>>,
    /// Where its value stands.
    pub nominal: Option<Span>,
    /// The point that stands for body metal: leaks and chafes go there.
    pub chassis: Option<Name<'a>>,
    /// Where the black lead goes unless said otherwise.
    pub black: Option<Name<'a>>,
    /// Where the value stands of how far real parts may be from what is drawn,
    /// at least.
    pub spread: Option<Span>,
    pub notes: Vec<String>,
    pub lists: [(&'static str, Vec<&'n Node<'a>>); SECTIONS.len()],
}

impl<'n, 'a> VehicleEntry<'n, 'a> {
    /// The entries of a list, not read yet.
    pub fn list(&self, section: &str) -> &[&'n Node<'a>] {
        let list = self.lists.iter().find(|(known, _)| *known == section);
        list.map_or(&[], |(_, nodes)| nodes)
    }
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
        /// Rest voltage; without it, from the state of charge.
        #[serde(default)]
        rest: Option<Volts>,
        /// State of charge, 0 to 1.
        #[serde(default)]
        charge: Option<f64>,
        #[serde(default)]
        celsius: Option<Celsius>,
        #[serde(default)]
        ohms: Option<Ohms>,
        /// What it sets against charging current.
        #[serde(default)]
        charge_ohms: Option<Ohms>,
        /// The most its protection lets out.
        #[serde(default)]
        amps: Option<Amps>,
        /// Posts below this and its protection opens.
        #[serde(default)]
        min_volts: Option<Volts>,
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
        /// Where a smart one goes to when the engine control wishes.
        #[serde(default, borrow)]
        eased: Option<EasedEntry<'a>>,
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

#[derive(Debug, Clone, Copy, Deserialize)]
#[serde(rename = "Eased", deny_unknown_fields)]
pub struct EasedEntry<'a> {
    /// The control that is on then.
    #[serde(borrow)]
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
#[serde(rename = "Sleep", deny_unknown_fields)]
pub struct SleepEntry<'a> {
    /// The control that is on while everything sleeps.
    #[serde(borrow)]
    pub with: Name<'a>,
    pub amps: Amps,
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
    /// Coil voltage below which it lets go.
    #[serde(default)]
    pub drop_volts: Option<Volts>,
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

/// Parts in the order the current flows; what could not be read is `None` and
/// has been reported.
#[derive(Debug)]
pub struct RunEntry<'n, 'a> {
    pub name: Option<Name<'a>>,
    pub label: Option<String>,
    pub from: KeyField<Name<'a>>,
    /// Left out where it ends in a `Capped` or at a point other runs name.
    pub to: KeyField<Name<'a>>,
    /// Place of every part that does not name its own.
    pub at: KeyField<Name<'a>>,
    pub parts: Option<Vec<&'n Node<'a>>>,
    pub span: Span,
}

/// An instrument that the vehicle carries.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum InstrumentEntry<'a> {
    /// Shows the volts between two points.
    Voltmeter {
        #[serde(borrow)]
        name: Name<'a>,
        #[serde(default)]
        label: Option<String>,
        #[serde(borrow)]
        red: Name<'a>,
        #[serde(borrow)]
        black: Name<'a>,
        /// Last digit of its display.
        #[serde(default)]
        resolution: Option<Volts>,
        #[serde(default, borrow)]
        at: Option<Name<'a>>,
    },
    /// Shows the current of a part.
    Ammeter {
        #[serde(borrow)]
        name: Name<'a>,
        #[serde(default)]
        label: Option<String>,
        #[serde(borrow)]
        through: Name<'a>,
        /// Last digit of its display.
        #[serde(default)]
        resolution: Option<Amps>,
        #[serde(default, borrow)]
        at: Option<Name<'a>>,
    },
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::outline::lists::home;

    /// The words that an entry of a kind may begin with.
    fn words<T: Deserialize<'static>>() -> &'static [&'static str] {
        match ron::from_str::<T>("Nothing()").map_err(|error| error.code) {
            Err(ron::Error::NoSuchEnumVariant { expected, .. }) => expected,
            _ => panic!("an entry of several kinds"),
        }
    }

    /// Where a bracket is lost, the word that follows says which list it is in.
    #[test]
    fn every_kind_of_part_and_supply_has_its_list() {
        let parts = words::<PartEntry<'static>>();
        assert!(parts.iter().filter(|word| **word != "Core").all(|word| home(word) == Some("parts")), "{parts:?}");
        let supplies = words::<SupplyEntry<'static>>();
        let instruments = words::<InstrumentEntry<'static>>();
        assert!(instruments.iter().all(|word| home(word) == Some("instruments")), "{instruments:?}");
        assert!(supplies.iter().all(|word| home(word) == Some("supplies")), "{supplies:?}");
    }
}
