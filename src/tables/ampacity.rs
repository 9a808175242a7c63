//! What a conductor may carry, and so what fuse may stand before it.

use super::interpolate;
use crate::quantity::{Amps, Celsius, SquareMillimetres};
use serde::Deserialize;

/// What the insulation of a cable stands, as printed on it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Insulation {
    Celsius60,
    Celsius75,
    Celsius80,
    Celsius90,
    Celsius105,
    Celsius125,
    Celsius200,
}

impl Insulation {
    /// Cable that a vehicle file says nothing of: common practice, no source.
    pub const USUAL: Self = Self::Celsius105;
    /// Every one that the table has, in its order.
    pub const ALL: [Self; COLUMNS] = [
        Self::Celsius60,
        Self::Celsius75,
        Self::Celsius80,
        Self::Celsius90,
        Self::Celsius105,
        Self::Celsius125,
        Self::Celsius200,
    ];

    /// The temperature.
    pub fn temperature(self) -> Celsius {
        Celsius(match self {
            Self::Celsius60 => 60.0,
            Self::Celsius75 => 75.0,
            Self::Celsius80 => 80.0,
            Self::Celsius90 => 90.0,
            Self::Celsius105 => 105.0,
            Self::Celsius125 => 125.0,
            Self::Celsius200 => 200.0,
        })
    }
}

/// Columns of [`CFR_TABLE_5`].
const COLUMNS: usize = 7;

/// Allowable current at 30 °C ambient, mm² and A, in the order of
/// [`Insulation::ALL`]: 33 CFR 183.425, table 5, its gauge sizes as
/// cross-sections (ASTM B258).
pub const CFR_TABLE_5: [(f64, [f64; COLUMNS]); 15] = [
    (0.823, [10.0, 10.0, 15.0, 20.0, 20.0, 25.0, 25.0]),
    (1.309, [15.0, 15.0, 20.0, 25.0, 25.0, 30.0, 35.0]),
    (2.081, [20.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0]),
    (3.309, [25.0, 25.0, 35.0, 40.0, 45.0, 50.0, 55.0]),
    (5.261, [40.0, 40.0, 50.0, 55.0, 60.0, 70.0, 70.0]),
    (8.366, [55.0, 65.0, 70.0, 70.0, 80.0, 90.0, 100.0]),
    (13.30, [80.0, 95.0, 100.0, 100.0, 120.0, 125.0, 135.0]),
    (21.15, [105.0, 125.0, 130.0, 135.0, 160.0, 170.0, 180.0]),
    (26.67, [120.0, 145.0, 150.0, 155.0, 180.0, 195.0, 210.0]),
    (33.63, [140.0, 170.0, 175.0, 180.0, 210.0, 225.0, 240.0]),
    (42.41, [165.0, 195.0, 210.0, 210.0, 245.0, 265.0, 280.0]),
    (53.48, [195.0, 230.0, 245.0, 245.0, 285.0, 305.0, 325.0]),
    (67.43, [225.0, 265.0, 285.0, 285.0, 330.0, 355.0, 370.0]),
    (85.03, [260.0, 310.0, 330.0, 330.0, 385.0, 410.0, 430.0]),
    (107.2, [300.0, 360.0, 385.0, 385.0, 445.0, 475.0, 510.0]),
];

/// The table.
pub const TABLE: &str = "33 CFR 183.425 table 5";
/// Name of the column behind [`allowable`], and whom it is for.
pub const TABLE_NAME: &str = "33 CFR 183.425 table 5 for small craft, 105 °C insulation";

/// Ambient temperature that the table is for.
pub const TABLE_AMBIENT: Celsius = Celsius(30.0);

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

impl Laying {
    /// Conductors in a bundle, itself among them.
    fn together(self) -> usize {
        match self {
            Self::Single => 1,
            Self::Bundled => SOME,
        }
    }

    /// What is left of what a conductor may carry alone.
    pub fn factor(self) -> f64 {
        bundle_factor(self.together())
    }
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
        Self { together: laying.together(), air }
    }

    /// The share that they leave of what the table allows.
    pub fn share(self) -> f64 {
        bundle_factor(self.together) * ambient_factor(Insulation::USUAL, self.air).min(1.0)
    }

    /// In words, where it is not alone in mild air.
    pub fn words(self) -> String {
        let bundle = (self.together > 1).then(|| format!("{} in a bundle", self.together));
        let heat = (self.air.0 > TABLE_AMBIENT.0).then(|| format!("at {:.0} °C", self.air.0));
        let all: Vec<String> = bundle.into_iter().chain(heat).collect();
        match all.is_empty() {
            true => format!("alone, at {:.0} °C; less in a bundle or in heat", TABLE_AMBIENT.0),
            false => all.join(", "),
        }
    }
}

/// What a bundle of so many leaves.
fn bundle_factor(together: usize) -> f64 {
    match together {
        0 | 1 => 1.0,
        count => BUNDLES.iter().find(|(most, _)| count <= *most).map_or(LARGEST_BUNDLE, |(_, share)| *share),
    }
}

/// The largest current a conductor may carry alone at the table's ambient; sizes
/// between the gauges are interpolated, and one thinner than all carries as much for
/// its area as the thinnest, which no bundle of thin wires exceeds (common practice, no
/// source).
pub fn allowable_alone(area: SquareMillimetres, insulation: Insulation) -> Amps {
    let column = CFR_TABLE_5.map(|(size, amps)| (size, amps[insulation as usize]));
    let (least, amps) = column[0];
    Amps(if area.0 < least { amps * area.0 / least } else { interpolate(&column, area.0) })
}

/// What is left of it at another ambient: the heat that a conductor gives off goes
/// with how much hotter than the ambient it may get, √((insulation − ambient) /
/// (insulation − 30 °C)). Of the 50 °C factors in note 1 of the table (from memory)
/// it gives all but that of 200 °C insulation, where it is the lower one.
pub fn ambient_factor(insulation: Insulation, ambient: Celsius) -> f64 {
    let rise = |from: Celsius| (insulation.temperature().0 - from.0).max(0.0);
    (rise(ambient) / rise(TABLE_AMBIENT)).sqrt()
}

/// The largest current a conductor of the usual insulation may carry.
pub fn allowable(area: SquareMillimetres, around: Surroundings) -> Amps {
    allowable_alone(area, Insulation::USUAL) * around.share()
}
