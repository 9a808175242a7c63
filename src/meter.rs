//! How an instrument reads: ranges, digits, gain, input resistance.

use crate::quantity::{Ohms, Volts};
pub use crate::tables::instruments::Meter;
use crate::tables::instruments::{AmmeterError, Instruments};
use serde::{Deserialize, Serialize};

/// Build of a meter.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
pub enum MeterKind {
    /// 4000 counts, ±(0.8 % + 2 digits); the kind in every glove box.
    #[default]
    Cheap,
    /// 6000 counts, ±(0.1 % + 2 digits).
    Good,
}

impl MeterKind {
    /// All of them.
    pub const ALL: [Self; 2] = [Self::Cheap, Self::Good];

    /// The data sheet.
    pub fn meter(self, instruments: &Instruments) -> Meter {
        match self {
            Self::Cheap => instruments.cheap_meter,
            Self::Good => instruments.good_meter,
        }
    }

    /// The word for it at the prompt.
    pub fn word(self) -> &'static str {
        match self {
            Self::Cheap => "cheap",
            Self::Good => "good",
        }
    }
}

/// What a current is read with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ammeter {
    /// A clamp for tens of amperes.
    Clamp,
    /// A clamp for milliamperes, or an ammeter in line.
    Fine,
}

impl Ammeter {
    /// All of them.
    pub const ALL: [Self; 2] = [Self::Clamp, Self::Fine];

    /// By the step of its last digit; unknown, it is a clamp.
    pub fn of(instruments: &Instruments, step: f64) -> Self {
        if step > 0.0 && step < instruments.fine_step.0 { Self::Fine } else { Self::Clamp }
    }

    /// How far it is off.
    pub fn error(self, instruments: &Instruments) -> AmmeterError {
        match self {
            Self::Clamp => instruments.clamp,
            Self::Fine => instruments.ammeter,
        }
    }
}

/// Variance of what a display's last digit leaves open: it is even over its step.
pub fn rounding_variance(step: f64) -> f64 {
    // From: variance of the uniform distribution, a twelfth of its squared width.
    step * step / 12.0
}

/// From: usual figure of such data sheets. The last digit on the lowest range.
const FINEST_DIGIT: Volts = Volts(1e-4);
/// Format: that digit of the highest range over it.
const COARSEST: f64 = 1e4;

impl Meter {
    /// One digit at a voltage: 0.1 mV, 1 mV or 10 mV as the range follows.
    pub fn step(&self, volts: Volts) -> Volts {
        let lowest = self.counts * FINEST_DIGIT.0;
        let range = (0..4).map(|decade| 10f64.powi(decade)).find(|factor| volts.abs().0 < lowest * factor);
        FINEST_DIGIT * range.unwrap_or(COARSEST)
    }

    /// What the display shows for a voltage at its terminals.
    pub fn shows(&self, volts: Volts) -> Volts {
        let step = self.step(volts).0;
        Volts((volts.0 / step).round() * step)
    }

    /// Standard deviation of the gain error.
    pub fn gain_deviation(&self) -> f64 {
        self.accuracy / 2.0
    }

    /// Standard deviation of the offset at a voltage.
    pub fn offset_deviation(&self, volts: Volts) -> Volts {
        self.step(volts) * (self.digits / 2.0)
    }

    /// Share of an open-circuit voltage that is left with the meter on a point
    /// of source resistance `source`.
    pub fn loading(&self, source: Ohms) -> f64 {
        self.input.0 / (self.input.0 + source.0.max(0.0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const METER: Meter = Meter { counts: 4000.0, accuracy: 0.008, digits: 2.0, input: Ohms(10e6) };

    /// Lessons In Electric Circuits I, ch. 8, voltmeter impact: two 250 MΩ on
    /// 24 V, a 10 MΩ meter across one reads 0.8889 V.
    #[test]
    fn a_meter_loads_what_it_measures() {
        let shown = 12.0 * METER.loading(Ohms(125e6));
        assert!((shown - 0.8889).abs() < 1e-4, "{shown}");
    }

    #[test]
    fn the_display_follows_the_range() {
        assert_eq!(METER.shows(Volts(12.3456)).0, 12.35);
        assert!((METER.shows(Volts(0.65432)).0 - 0.654).abs() < 1e-12);
        assert!((METER.shows(Volts(0.012345)).0 - 0.0123).abs() < 1e-12);
        assert!((METER.shows(Volts(-25.123)).0 + 25.12).abs() < 1e-12);
    }
}
