//! How often each kind of part fails in each way: one table that can be edited.

use serde::Deserialize;

/// Kind of part, as the table of rates tells them apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize)]
pub enum PartClass {
    /// One contact of a fuse holder.
    HolderContact,
    /// Fuse element.
    Fuse,
    /// Thermal breaker.
    Breaker,
    /// Cable with its terminations.
    Cable,
    /// Bolted, clamped or spliced joint.
    Joint,
    /// Plug pin.
    Pin,
    /// Switch.
    Switch,
    /// Isolator.
    Isolator,
    /// Relay contact.
    Contact,
    /// Relay coil.
    Coil,
    /// Shunt.
    Shunt,
    /// Diode.
    Diode,
    /// Body metal.
    Chassis,
    /// Any load.
    Load,
    /// Battery.
    Battery,
    /// Alternator, charger, solar regulator, bench supply.
    Regulated,
}

/// A way to fail.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Deserialize)]
pub enum Mode {
    /// No path: broken, blown, tripped, off its terminal, dead.
    Open,
    /// Added series resistance of unknown size.
    Resistive,
    /// Conducts when it should not.
    StuckClosed,
    /// Its two ends joined.
    Shorted,
    /// A path to body metal, from a hard short to damp.
    Leak,
    /// Too little voltage.
    LowVoltage,
    /// Draws more than it should.
    HighDraw,
    /// Does not go to sleep.
    Awake,
    /// A relay contact wired to the terminal of its opposite.
    WrongTerminal,
    /// A fuse of too small a rating.
    WrongRating,
    /// A cable thinner or longer than drawn.
    Undersized,
    /// A path to its neighbour in the same plug or cable.
    Bridged,
    /// Changed places with its neighbour in the same plug.
    Crossed,
    /// A path across it where it should be open: a pilot lamp, dirt, a leaking
    /// transistor.
    Seeping,
    /// Added resistance in it and in others of the same plug or cable, which
    /// have failed of one cause: water, a crushed or chafed sheath.
    Together,
}

impl Mode {
    /// Whether it takes a neighbour in the same plug or cable.
    pub fn takes_two(self) -> bool {
        matches!(self, Self::Bridged | Self::Crossed | Self::Together)
    }

    /// Whether it is more resistance where current is to flow, of some size or
    /// without end: opening the part does at least as much.
    pub fn is_in_series(self) -> bool {
        matches!(self, Self::Open | Self::Resistive | Self::Undersized | Self::Together)
    }
}

/// One row of the table.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rate {
    /// Kind of part.
    pub part: PartClass,
    /// Way to fail.
    pub mode: Mode,
    /// Relative frequency of one piece.
    pub each: f64,
    /// What each metre adds.
    #[serde(default)]
    pub per_metre: f64,
    /// Where the figure comes from.
    pub source: String,
}

/// The table, and what goes beside faults of parts.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rates {
    /// Share of complaints where the wiring is as drawn and sound.
    pub nothing_wrong: f64,
    /// Share of complaints where the drawing is not the vehicle.
    pub not_as_drawn: f64,
    /// Chance that a reading is misread or taken at a wrong pin.
    pub misread: f64,
    /// The rows.
    pub rows: Vec<Rate>,
}

impl Rates {
    /// Ways to fail of a kind of part and how often, for a length in metres.
    pub fn of(&self, part: PartClass, metres: f64) -> impl Iterator<Item = (Mode, f64)> + '_ {
        self.rows
            .iter()
            .filter(move |row| row.part == part)
            .map(move |row| (row.mode, row.each + row.per_metre * metres))
    }
}
