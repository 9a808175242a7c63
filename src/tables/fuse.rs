//! Fuses: cold resistance, holder contacts, and the current that opens them.

use super::{Origin, Sourced};
use crate::quantity::{Amps, Minutes, Ohms};
use serde::Deserialize;

/// Build of a fuse and its holder.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
pub enum FuseStyle {
    /// Blade in a spring holder.
    #[default]
    Blade,
    /// Bolted strip between studs.
    Bolted,
    /// Glass tube between clips.
    Glass,
}

/// The largest blade that is made. From: usual data sheets, from memory.
const LARGEST_BLADE: Amps = Amps(100.0);

/// Time to take a fuse from under its nuts or to put it there, the supply off meanwhile.
/// From: common practice, no source.
pub const UNDER_NUTS: Minutes = Minutes(5.0);

/// Whether a fuse takes a spanner: bolted, or of a rating that no blade has.
pub fn is_bolted(style: FuseStyle, rating: Amps) -> bool {
    match style {
        FuseStyle::Bolted => true,
        FuseStyle::Blade | FuseStyle::Glass => rating.0 > LARGEST_BLADE.0,
    }
}

/// How the resistance of a blade fuse goes with its rating.
pub const RESISTANCE_EXPONENT: f64 = -1.2;

/// Cold resistance of a fuse element.
///
/// Blade: 123 mΩ·(rating/A)^−1.2, a generic fit from memory, within 4 % of
/// the published points 10 A ↔ 7.69 mΩ and 15 A ↔ 4.59 mΩ.
/// Bolted and glass: about 80 mV at rated current, common practice.
pub fn element(style: FuseStyle, rating: Amps) -> Sourced<Ohms> {
    match style {
        FuseStyle::Blade => Sourced {
            value: Ohms(0.123 * rating.0.powf(RESISTANCE_EXPONENT)),
            origin: Origin::Table("blade fuse cold resistance, generic fit (from memory, ±20 %)"),
        },
        FuseStyle::Bolted | FuseStyle::Glass => {
            Sourced { value: Ohms(0.08 / rating.0), origin: Origin::Default("80 mV at rated current, common practice") }
        }
    }
}

/// One contact of a sound holder; a blade holder has two of about 1 mΩ.
pub fn holder_contact(style: FuseStyle) -> Sourced<Ohms> {
    let milliohms = match style {
        FuseStyle::Blade => 1.0,
        FuseStyle::Bolted => 0.1,
        FuseStyle::Glass => 2.0,
    };
    Sourced { value: Ohms(milliohms * 1e-3), origin: Origin::Default("common practice for a sound fuse holder") }
}

/// Smallest steady current that opens a fuse within ten minutes, as a
/// multiple of its rating: ISO 8820-3 type C, 135 % (from memory).
pub const OPENING_MULTIPLE: f64 = 1.35;

/// Ratings that are made, A: blades up to 40 A by ISO 8820-3, above that blades and
/// bolted strips of ISO 8820-4 and -5 (from memory).
pub const RATINGS: [f64; 28] = [
    1.0, 2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 50.0, 60.0, 70.0, 80.0, 100.0, 125.0,
    150.0, 175.0, 200.0, 225.0, 250.0, 300.0, 350.0, 400.0, 500.0,
];
