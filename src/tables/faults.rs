//! Sizes that faults can have: ladders of log-normal stretches that leave no
//! gap (a mixture distribution of ln(size)), and what is beside what.

use super::row::{COUNT, POSITIVE, SHARE, Value, parameters};
use crate::quantity::Ohms;
use serde::{Deserialize, Serialize};

/// Log-spaced middles of stretches.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Ladder {
    /// The first.
    pub first: f64,
    /// Each to the one before.
    pub ratio: f64,
    /// How many.
    pub count: u16,
}

impl Value for Ladder {
    fn numbers(&self) -> Vec<f64> {
        vec![self.first, self.ratio, f64::from(self.count)]
    }

    fn disorder(&self) -> Option<&'static str> {
        not_rising(self.ratio)
    }
}

/// The same where the program fixes how many.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Steps {
    /// The first.
    pub first: f64,
    /// Each to the one before.
    pub ratio: f64,
}

impl Value for Steps {
    fn numbers(&self) -> Vec<f64> {
        vec![self.first, self.ratio]
    }

    fn disorder(&self) -> Option<&'static str> {
        not_rising(self.ratio)
    }
}

/// The width of a stretch is the logarithm of the ratio.
fn not_rising(ratio: f64) -> Option<&'static str> {
    (ratio <= 1.0).then_some("must rise: its `ratio` is above 1")
}

parameters! {
    /// Sizes of faults.
    Faults {
        /// Added resistance, the usual ones, Ω.
        resistive: Ladder where POSITIVE,
        /// Added resistance beyond, up to what only a meter can see, Ω.
        resistive_coarse: Ladder where POSITIVE,
        /// Share of the frequency that those beyond have.
        coarse_share: f64 where SHARE,
        /// A path to body metal, Ω.
        leak: Ladder where POSITIVE,
        /// A path to a neighbour in a plug or cable, Ω.
        bridged: Ladder where POSITIVE,
        /// A path across an open contact, Ω.
        seeping: Ladder where POSITIVE,
        /// A path that no drawing shows, Ω.
        undrawn: Steps where POSITIVE,
        /// Current drawn, as a multiple of what it should be.
        high_draw: Ladder where POSITIVE,
        /// Current drawn where it is less, as a share of what it should be.
        low_draw: Ladder where POSITIVE,
        /// Resistance of a cable too thin or too long, as a multiple.
        undersized: Ladder where POSITIVE,
        /// Ratings of a fuse that is too small, as shares of the drawn one.
        wrong_rating: [f64; 2] where POSITIVE,
        /// Voltage that a source lacks, V.
        missing_voltage: Ladder where POSITIVE,
        /// Share of stuck instruments that show nothing at all.
        stuck_at_nought: f64 where SHARE,
        /// Resistance of a dead short.
        dead_short: Ohms where POSITIVE,
        /// Ways through a plug up to which each is beside every other.
        round_plug: usize where COUNT,
        /// Ways that come next to one in a larger plug or in a cable, on one side.
        neighbours: usize where COUNT,
        /// Cables after one that begin or end at one place with it and may have changed
        /// places with it, at most.
        beside: usize where COUNT,
    }
}
