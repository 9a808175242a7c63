//! Curved current laws of loads, linearised by Newton's method: the tangent at a
//! voltage uₙ gives another, until uₙ₊₁ ≈ uₙ. Constant power, i = P/u above a
//! fold; a filament, i = I·(u/U)^0.55 above cold.

use super::companion::Companion;
use crate::quantity::{Amps, Volts, Watts};

/// Numerical: grid of the voltages at which a curve is linearised, V.
const GRID: f64 = 1e-4;

/// Numerical: voltage within which a tangent is as good as its curve, V: what it
/// misses is of second order, below a microampere for any load of a vehicle.
const SAME: f64 = 5e-3;

/// Numerical: slope of a falling curve where its tangent would make the matrix
/// indefinite, as a share of the slope at rated voltage.
const FLAT_SLOPE: f64 = 0.01;

/// From: common practice, no source. Conductance of electronics to reversed
/// voltage, as a share of that below the knee: not nothing, since a meter finds
/// some way through a circuit board.
pub const REVERSED_SHARE: f64 = 0.01;

/// From: lamp handbooks, from memory. Exponent of filament current against
/// voltage.
pub const FILAMENT_EXPONENT: f64 = 0.55;

/// Numerical: share of rated voltage below which a filament is as good as cold;
/// by the exponent its resistance there is an eighth of the hot one.
const COLD_SHARE: f64 = 0.01;

/// Current against voltage of a load.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Curve {
    /// Draws the same power at any voltage above a fold, and is a resistance
    /// below; all but blocks reversed voltage.
    ConstantPower {
        watts: Watts,
        /// Voltage at which it folds back.
        fold: Volts,
        /// Voltage it is made for.
        rated: Volts,
        /// At fault, how many times what it should draw.
        times: f64,
    },
    /// A lamp filament: resistance rises as it heats.
    Filament {
        /// Current at rated voltage.
        amps: Amps,
        /// Voltage it is made for.
        rated: Volts,
    },
}

/// A voltage of the grid, in grid steps.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct OperatingPoint(i32);

impl OperatingPoint {
    fn volts(self) -> f64 {
        f64::from(self.0) * GRID
    }

    /// This point, or the one for `u` if that is another.
    pub fn moved_to(self, u: f64) -> Self {
        if (u - self.volts()).abs() <= SAME { self } else { Self::at(u) }
    }

    /// Whether a voltage is of the same sign.
    pub fn is_beside(self, u: f64) -> bool {
        self.volts() * u > 0.0
    }

    /// Voltages at which it is not moved.
    pub fn stays_between(self) -> (f64, f64) {
        (self.volts() - SAME, self.volts() + SAME)
    }

    /// The nearest point to a voltage.
    pub fn at(u: f64) -> Self {
        // Beyond what any vehicle has the cast saturates, and so it may.
        Self((u / GRID).round() as i32)
    }
}

impl Curve {
    /// Current at a voltage beyond the edge.
    fn current(&self, u: f64) -> f64 {
        match self {
            Self::ConstantPower { watts, .. } => watts.0 / u,
            Self::Filament { amps, rated } => amps.0 * u.signum() * (u.abs() / rated.0).powf(FILAMENT_EXPONENT),
        }
    }

    /// Slope of the current there, S.
    fn slope(&self, u: f64) -> f64 {
        match self {
            Self::ConstantPower { watts, .. } => -watts.0 / (u * u),
            Self::Filament { .. } => FILAMENT_EXPONENT * self.current(u) / u,
        }
    }

    /// Voltage below which the load is a resistance.
    pub fn edge(&self) -> f64 {
        match self {
            Self::ConstantPower { fold, .. } => fold.0,
            Self::Filament { rated, .. } => COLD_SHARE * rated.0,
        }
    }

    /// Whether reversed voltage drives next to nothing through it.
    pub fn blocks(&self) -> bool {
        matches!(self, Self::ConstantPower { .. })
    }

    /// Conductance below the edge, S.
    pub fn below(&self) -> f64 {
        self.current(self.edge()) / self.edge()
    }

    /// Where to start: as if the load had what it is made for.
    pub fn start(&self) -> OperatingPoint {
        match self {
            Self::ConstantPower { rated, .. } | Self::Filament { rated, .. } => OperatingPoint::at(rated.0),
        }
    }

    /// The tangent at a point.
    pub fn tangent(&self, at: OperatingPoint) -> Companion {
        let u = at.volts();
        let slope = self.slope(u);
        Companion { conductance: slope, offset: self.current(u) - slope * u }
    }

    /// A line through the same point that does not fall.
    pub fn monotone(&self, at: OperatingPoint) -> Companion {
        let u = at.volts();
        let rated = self.start().volts();
        let slope = self.slope(u).max(-FLAT_SLOPE * self.slope(rated));
        Companion { conductance: slope, offset: self.current(u) - slope * u }
    }
}
