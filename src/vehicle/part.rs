//! What current flows through. The facts of each kind of part stand here, in
//! matches without a fallback: a new kind must be placed in each of them.

use super::control::Position;
use super::id::{BundleId, ControlId, PlaceId, PointId};
use super::instrument::FittedInstrument;
use super::load::Load;
use super::place::Markings;
use super::relay::{Coil, Contact};
use super::supply::{Battery, Regulated, Supply};
use crate::quantity::{Amps, Metres, Ohms, SquareMillimetres, Volts};
use crate::source::Span;
use crate::tables::Sourced;
use crate::tables::ampacity::Surroundings;

/// A cable with its two terminations.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cable {
    pub length: Metres,
    pub area: SquareMillimetres,
    /// What it lies among.
    pub around: Surroundings,
}

/// What a part is.
#[derive(Debug, Clone, PartialEq)]
pub enum PartKind {
    /// One contact of a fuse holder.
    HolderContact,
    /// Fuse element.
    Fuse {
        rating: Amps,
    },
    /// Thermal breaker.
    Breaker {
        rating: Amps,
    },
    Cable(Cable),
    /// Joint of two conductors.
    Joint,
    /// Mated pair of pins.
    Pin,
    Switch,
    Isolator,
    Contact(Contact),
    Coil(Coil),
    /// Current-measuring shunt.
    Shunt,
    /// Diode, forward from its first end.
    Diode {
        forward: Volts,
        /// What leaks back through it at the vehicle's voltage, where that is known.
        leak: Option<Amps>,
    },
    /// Body metal.
    Chassis,
    Load(Load),
    /// Supply; its first end is the negative post.
    Supply(Supply),
    /// Instrument that shows what is between its ends; it carries nothing.
    Instrument(FittedInstrument),
}

/// What a part is there for; what holds of several kinds alike hangs on this.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    /// Makes voltage.
    Source,
    /// Draws current to do something.
    Load,
    /// Draws current to work relay contacts.
    Coil,
    /// Opens above a current.
    Protection,
    /// Opens and closes as a hand, what it senses or a coil will have it.
    Switchgear,
    /// Joins conductors by a contact that can corrode or work loose.
    Connection,
    /// Leads current.
    Conductor,
    /// Lets current through one way.
    Rectifier,
    /// Shows what others carry.
    Display,
}

impl Role {
    /// Whether it draws current from a supply.
    pub fn is_sink(self) -> bool {
        match self {
            Self::Load | Self::Coil => true,
            Self::Source
            | Self::Protection
            | Self::Switchgear
            | Self::Connection
            | Self::Conductor
            | Self::Rectifier
            | Self::Display => false,
        }
    }
}

/// What holds of every part of a kind.
struct Facts {
    /// The kind in trade words.
    words: &'static str,
    role: Role,
    /// Whether more resistance in it acts as a resistor in series with it would.
    is_series: bool,
    /// What parts the name on its label from its own.
    parted_by: Option<char>,
}

impl PartKind {
    /// One row a kind.
    fn facts(&self) -> Facts {
        let row = |words, role, is_series, parted_by| Facts { words, role, is_series, parted_by };
        match self {
            Self::HolderContact => row("fuse-holder contact", Role::Connection, true, Some('/')),
            Self::Fuse { .. } => row("fuse", Role::Protection, true, None),
            Self::Breaker { .. } => row("breaker", Role::Protection, true, None),
            Self::Cable(_) => row("cable", Role::Conductor, true, None),
            Self::Joint => row("joint", Role::Connection, true, None),
            Self::Pin => row("plug pin", Role::Connection, true, None),
            Self::Switch => row("switch", Role::Switchgear, true, None),
            Self::Isolator => row("isolator", Role::Switchgear, true, None),
            Self::Contact(_) => row("relay contact", Role::Switchgear, false, Some('.')),
            Self::Coil(_) => row("relay coil", Role::Coil, false, Some('.')),
            Self::Shunt => row("shunt", Role::Conductor, true, None),
            Self::Diode { .. } => row("diode", Role::Rectifier, false, None),
            Self::Chassis => row("body metal", Role::Conductor, true, None),
            Self::Load(_) => row("load", Role::Load, false, None),
            Self::Supply(Supply::Battery(_)) => row("battery", Role::Source, false, None),
            Self::Supply(Supply::Regulated(_)) => row("charging source", Role::Source, false, None),
            Self::Instrument(_) => row("instrument", Role::Display, false, None),
        }
    }

    /// The kind in trade words.
    pub fn words(&self) -> &'static str {
        self.facts().words
    }

    /// What it is there for.
    pub fn role(&self) -> Role {
        self.facts().role
    }

    /// Whether more resistance in it acts as a resistor in series with it would,
    /// and nothing else hangs on which of its neighbours has it.
    pub fn is_series_resistance(&self) -> bool {
        self.facts().is_series
    }

    /// Whether it is wire or switchgear: neither source, sink nor instrument.
    pub fn is_wiring(&self) -> bool {
        match self.role() {
            Role::Source | Role::Load | Role::Coil | Role::Display => false,
            Role::Protection | Role::Switchgear | Role::Connection | Role::Conductor | Role::Rectifier => true,
        }
    }

    /// Rating of what opens above a current.
    pub fn rating(&self) -> Option<Amps> {
        match self {
            Self::Fuse { rating } | Self::Breaker { rating } => Some(*rating),
            Self::HolderContact
            | Self::Cable(_)
            | Self::Joint
            | Self::Pin
            | Self::Switch
            | Self::Isolator
            | Self::Contact(_)
            | Self::Coil(_)
            | Self::Shunt
            | Self::Diode { .. }
            | Self::Chassis
            | Self::Load(_)
            | Self::Supply(_)
            | Self::Instrument(_) => None,
        }
    }

    /// Forward voltage of what conducts only above one.
    pub fn forward(&self) -> Option<Volts> {
        match self {
            Self::Diode { forward, .. } => Some(*forward),
            Self::Load(load) => load.behaviour.forward(),
            Self::HolderContact
            | Self::Fuse { .. }
            | Self::Breaker { .. }
            | Self::Cable(_)
            | Self::Joint
            | Self::Pin
            | Self::Switch
            | Self::Isolator
            | Self::Contact(_)
            | Self::Coil(_)
            | Self::Shunt
            | Self::Chassis
            | Self::Supply(_)
            | Self::Instrument(_) => None,
        }
    }
}

/// Look-ups of one kind: of any other they are nothing.
impl PartKind {
    /// What a diode leaks back through, where that is known.
    pub fn leak(&self, nominal: Volts) -> Option<Ohms> {
        if let Self::Diode { leak, .. } = self { leak.map(|amps| nominal / amps) } else { None }
    }

    pub fn load(&self) -> Option<&Load> {
        if let Self::Load(load) = self { Some(load) } else { None }
    }

    /// The load, to be completed.
    pub fn load_mut(&mut self) -> Option<&mut Load> {
        if let Self::Load(load) = self { Some(load) } else { None }
    }

    pub fn cable(&self) -> Option<Cable> {
        if let Self::Cable(cable) = self { Some(*cable) } else { None }
    }

    pub fn contact(&self) -> Option<Contact> {
        if let Self::Contact(contact) = self { Some(*contact) } else { None }
    }

    pub fn coil(&self) -> Option<Coil> {
        if let Self::Coil(coil) = self { Some(*coil) } else { None }
    }

    /// The battery or charging source.
    pub fn supply(&self) -> Option<&Supply> {
        if let Self::Supply(supply) = self { Some(supply) } else { None }
    }

    pub fn battery(&self) -> Option<&Battery> {
        if let Self::Supply(Supply::Battery(battery)) = self { Some(battery) } else { None }
    }

    pub fn regulated(&self) -> Option<&Regulated> {
        if let Self::Supply(Supply::Regulated(regulated)) = self { Some(regulated) } else { None }
    }

    /// The charging source, to be completed.
    pub fn regulated_mut(&mut self) -> Option<&mut Regulated> {
        if let Self::Supply(Supply::Regulated(regulated)) = self { Some(regulated) } else { None }
    }

    /// The instrument.
    pub fn instrument(&self) -> Option<FittedInstrument> {
        if let Self::Instrument(instrument) = self { Some(*instrument) } else { None }
    }

    pub fn is_load(&self) -> bool {
        self.load().is_some()
    }

    pub fn is_battery(&self) -> bool {
        self.battery().is_some()
    }

    pub fn is_regulated(&self) -> bool {
        self.regulated().is_some()
    }

    pub fn is_coil(&self) -> bool {
        self.coil().is_some()
    }

    /// Whether it is a battery or a charging source.
    pub fn is_supply(&self) -> bool {
        self.supply().is_some()
    }

    /// Whether it is a fuse, which a hand can pull.
    pub fn is_fuse(&self) -> bool {
        matches!(self, Self::Fuse { .. })
    }

    /// Whether it opens above a current: a fuse or a breaker.
    pub fn is_protection(&self) -> bool {
        self.role() == Role::Protection
    }

    pub fn is_cable(&self) -> bool {
        self.cable().is_some()
    }
}

/// Something between two points.
#[derive(Debug, Clone)]
pub struct Part {
    /// The name on its label.
    pub name: String,
    /// What people call it, where that says more.
    pub label: Option<String>,
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
    /// What tells it from its neighbours.
    pub marks: Markings,
    /// What the file left out and was taken for the usual, as the file would say it.
    pub usual: Vec<String>,
    /// Where it stands in the file.
    pub span: Span,
}

impl Part {
    /// The end that is not `point`.
    pub fn other_end(&self, point: PointId) -> PointId {
        if point == self.from { self.to } else { self.from }
    }

    /// The name on the label of what it belongs to.
    pub fn label_name(&self) -> &str {
        let piece = self.kind.facts().parted_by.and_then(|mark| self.name.rfind(mark));
        &self.name[..piece.unwrap_or(self.name.len())]
    }

    /// The two points across it.
    pub fn ends(&self) -> (PointId, PointId) {
        (self.from, self.to)
    }
}
