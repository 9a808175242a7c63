//! What a conductor may carry, and so what fuse may stand before it.

use super::interpolate;
use crate::quantity::{Amps, SquareMillimetres};
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
pub const TABLE_NAME: &str = "33 CFR 183.425 table 5, 105 °C";

/// Derating for conductors bundled or in one sheath; common practice, no source.
pub const BUNDLED_FACTOR: f64 = 0.7;

/// How conductors lie.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
pub enum Laying {
    /// Alone or nearly so.
    #[default]
    Single,
    /// In a bundle or a multi-core sheath.
    Bundled,
}

/// The largest current a conductor may carry.
pub fn allowable(area: SquareMillimetres, laying: Laying) -> Amps {
    let alone = interpolate(&CFR_TABLE_5, area.0);
    Amps(match laying {
        Laying::Single => alone,
        Laying::Bundled => alone * BUNDLED_FACTOR,
    })
}
