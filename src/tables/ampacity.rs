//! What a conductor may carry, and so what fuse may stand before it.

use super::interpolate;
use crate::quantity::{Amps, Celsius, SquareMillimetres};
use serde::Deserialize;

/// Allowable current, mm² and A, for 105 °C insulation at 30 °C ambient:
/// 33 CFR 183.425, table 5, its gauge sizes as cross-sections (ASTM B258).
pub const CFR_TABLE_5: [(f64, f64); 15] = [
    (0.823, 20.0),
    (1.309, 25.0),
    (2.081, 35.0),
    (3.309, 45.0),
    (5.261, 60.0),
    (8.366, 80.0),
    (13.30, 120.0),
    (21.15, 160.0),
    (26.67, 180.0),
    (33.63, 210.0),
    (42.41, 245.0),
    (53.48, 285.0),
    (67.43, 330.0),
    (85.03, 385.0),
    (107.2, 445.0),
];

/// Name of the table behind [`allowable`].
pub const TABLE_NAME: &str = "33 CFR 183.425 table 5 for small craft, 105 °C insulation";

/// What a conductor thinner than the table goes may carry: as much for its area as
/// the thinnest of the table, which no bundle of thin wires exceeds. From: common
/// practice, no source.
const THINNEST: (f64, f64) = CFR_TABLE_5[0];

/// Temperature of its insulation and of the air that the table is for, °C: 33 CFR
/// 183.425, table 5.
const INSULATION: f64 = 105.0;
/// The same.
const AIR: f64 = 30.0;

/// Share of the table for conductors of one bundle or sheath, by how many they are at
/// most: ABYC E-11, from memory.
const BUNDLES: [(usize, f64); 3] = [(3, 0.7), (6, 0.6), (24, 0.5)];
/// The same of more.
const LARGEST_BUNDLE: f64 = 0.4;
/// Conductors of a bundle of which only that is said. From: common practice, no source.
const SOME: usize = 3;

/// How conductors lie, as a file says it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
pub enum Laying {
    /// Alone or nearly so.
    #[default]
    Single,
    /// In a bundle or a multi-core sheath.
    Bundled,
}

/// What keeps a conductor from shedding its heat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Surroundings {
    /// Conductors in its bundle or sheath, itself among them.
    pub together: usize,
    /// How warm it is where it lies.
    pub air: Celsius,
}

impl Surroundings {
    /// As a file says it; what is colder than the table gains nothing.
    pub fn new(laying: Laying, air: Celsius) -> Self {
        let together = match laying {
            Laying::Single => 1,
            Laying::Bundled => SOME,
        };
        Self { together, air }
    }

    /// The share that they leave of what the table allows: by the bundle, and by the
    /// root of how far the air is below the insulation, as note 1 of 33 CFR 183.425
    /// table 5 has it for engine spaces (from memory).
    pub fn share(self) -> f64 {
        let bundle = match self.together {
            0 | 1 => 1.0,
            count => BUNDLES.iter().find(|(most, _)| count <= *most).map_or(LARGEST_BUNDLE, |(_, share)| *share),
        };
        let heat = ((INSULATION - self.air.0) / (INSULATION - AIR)).clamp(0.0, 1.0).sqrt();
        bundle * heat
    }

    /// In words, where it is not alone in mild air.
    pub fn words(self) -> String {
        let bundle = (self.together > 1).then(|| format!("{} in a bundle", self.together));
        let heat = (self.air.0 > AIR).then(|| format!("at {:.0} °C", self.air.0));
        let all: Vec<String> = bundle.into_iter().chain(heat).collect();
        if all.is_empty() { format!("alone, at {AIR:.0} °C; less in a bundle or in heat") } else { all.join(", ") }
    }
}

/// The largest current a conductor may carry.
pub fn allowable(area: SquareMillimetres, around: Surroundings) -> Amps {
    let (least, amps) = THINNEST;
    let alone = if area.0 < least { amps * area.0 / least } else { interpolate(&CFR_TABLE_5, area.0) };
    Amps(alone * around.share())
}
