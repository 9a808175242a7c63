//! How often each kind of part fails in each way: one table that can be edited.

use super::row::{NOT_NEGATIVE, ParameterTable, Row, RowReader};
use serde::Deserialize;

/// Kind of part, as the table of rates tells them apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Deserialize)]
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
    /// Battery monitor, charger display, panel meter.
    Instrument,
}

/// A way to fail.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Deserialize)]
pub enum FailureMode {
    /// No path: broken, blown, tripped, off its terminal, dead.
    OpenCircuit,
    /// Added series resistance of unknown size.
    HighResistance,
    /// Conducts when it should not.
    ContactWelded,
    /// Its two ends joined.
    ShortAcross,
    /// A path to body metal, from a hard short to damp.
    ShortToGround,
    /// Too little voltage.
    LowVoltage,
    /// Draws more than it should.
    HighDraw,
    /// Draws less than it should: part of it is open or worn.
    LowDraw,
    /// Does not go to sleep.
    StaysAwake,
    /// A relay contact wired to the terminal of its opposite.
    WrongTerminal,
    /// A fuse of too small a rating.
    WrongRating,
    /// A cable thinner or longer than drawn.
    Undersized,
    /// A path to its neighbour in the same plug or cable.
    ShortBetweenCircuits,
    /// Changed places with its neighbour in the same plug or at the same place.
    Crossed,
    /// A path across it where it should be open: a pilot lamp, dirt, a leaking
    /// transistor.
    Leakage,
    /// Added resistance in it and in others of the same plug or cable, which
    /// have failed of one cause: water, a crushed or chafed sheath.
    CommonCause,
    /// An instrument that shows the same whatever is.
    Stuck,
    /// An instrument that shows so much more or less than there is.
    ReadsOff,
    /// An instrument that shows a multiple of what there is.
    WrongScale,
    /// An instrument that is off by more from reading to reading.
    Drifts,
}

/// One row of the table.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rate {
    /// Kind of part.
    pub part: PartClass,
    /// Way to fail.
    pub mode: FailureMode,
    /// Relative frequency of one piece.
    pub each: f64,
    /// What each metre adds.
    #[serde(default)]
    pub per_metre: f64,
    /// Where the figure comes from.
    pub source: String,
}

/// The table.
#[derive(Debug, Clone, PartialEq)]
pub struct Rates {
    rows: Vec<Rate>,
}

impl Rates {
    /// Ways to fail of a kind of part and how often, for a length in metres.
    pub fn of(&self, part: PartClass, metres: f64) -> impl Iterator<Item = (FailureMode, f64)> + '_ {
        self.rows
            .iter()
            .filter(move |row| row.part == part)
            .map(move |row| (row.mode, row.each + row.per_metre * metres))
    }

    /// Takes a row in place of that of the same kind of part and way to fail.
    fn put(&mut self, rate: Rate) {
        match self.rows.iter_mut().find(|row| (row.part, row.mode) == (rate.part, rate.mode)) {
            Some(row) => *row = rate,
            None => self.rows.push(rate),
        }
    }
}

impl ParameterTable for Rates {
    const WORD: &'static str = "Rates";
    const KEYS: &'static [&'static str] = &["rows"];

    fn read(known: Option<&Self>, rows: &mut impl RowReader) -> Option<Self> {
        let mut rates = known.cloned().unwrap_or(Self { rows: Vec::new() });
        for (rate, span) in rows.list::<Rate>("rows") {
            let all = NOT_NEGATIVE;
            if !(all.contains(&rate.each) && all.contains(&rate.per_metre)) {
                rows.reject(span, "`each` and `per_metre` must not be negative", "only their ratios matter");
            } else if rate.source.trim().is_empty() {
                rows.reject(span, "a rate needs a source", "say where the figure comes from");
            }
            rates.put(rate);
        }
        Some(rates)
    }

    fn rows(&self) -> Vec<Row<'_>> {
        let name = |rate: &Rate| format!("{:?} {:?}", rate.part, rate.mode);
        let rows = self.rows.iter();
        rows.map(|rate| Row::of(Self::WORD, name(rate), &[rate.each, rate.per_metre], &rate.source)).collect()
    }
}
