//! Quantities: units as types. Each wraps one `f64` in the unit its name says,
//! so that a voltage cannot be handed over where a resistance is wanted, and
//! only what physics multiplies or divides can be multiplied or divided.

use serde::{Deserialize, Serialize};
use std::cmp::Ordering;
use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Div, DivAssign, Mul, MulAssign, Neg, Sub};
use thiserror::Error;

/// What is a number of some unit.
pub trait Quantity: Copy {
    fn of(number: f64) -> Self;

    fn number(self) -> f64;
}

impl Quantity for f64 {
    fn of(number: f64) -> Self {
        number
    }

    fn number(self) -> f64 {
        self
    }
}

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(pub f64);

        impl $name {
            pub const ZERO: Self = Self(0.0);

            /// Size without sign.
            pub fn abs(self) -> Self {
                Self(self.0.abs())
            }

            /// The smaller of two; what is a number, of one that is none.
            pub fn min(self, other: Self) -> Self {
                Self(self.0.min(other.0))
            }

            /// The larger of two; what is a number, of one that is none.
            pub fn max(self, other: Self) -> Self {
                Self(self.0.max(other.0))
            }

            /// IEEE 754 total order.
            pub fn total_cmp(&self, other: &Self) -> Ordering {
                self.0.total_cmp(&other.0)
            }
        }
        impl Quantity for $name {
            fn of(number: f64) -> Self {
                Self(number)
            }

            fn number(self) -> f64 {
                self.0
            }
        }
        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }
        impl AddAssign for $name {
            fn add_assign(&mut self, other: Self) {
                self.0 += other.0;
            }
        }
        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }
        impl Sum for $name {
            fn sum<I: Iterator<Item = Self>>(all: I) -> Self {
                Self(all.map(|one| one.0).sum())
            }
        }
        impl Neg for $name {
            type Output = Self;
            fn neg(self) -> Self {
                Self(-self.0)
            }
        }
        impl Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self(self.0 * factor)
            }
        }
        impl MulAssign<f64> for $name {
            fn mul_assign(&mut self, factor: f64) {
                self.0 *= factor;
            }
        }
        impl Div<f64> for $name {
            type Output = Self;
            fn div(self, divisor: f64) -> Self {
                Self(self.0 / divisor)
            }
        }
        impl DivAssign<f64> for $name {
            fn div_assign(&mut self, divisor: f64) {
                self.0 /= divisor;
            }
        }
        /// How many times one goes into the other.
        impl Div for $name {
            type Output = f64;
            fn div(self, other: Self) -> f64 {
                self.0 / other.0
            }
        }
    };
}

quantity!(
    /// Electrical potential difference, V.
    Volts
);
quantity!(
    /// Current, A.
    Amps
);
quantity!(
    /// Resistance, Ω.
    Ohms
);
quantity!(
    /// Conductance, S.
    Siemens
);
quantity!(
    /// Power, W.
    Watts
);
quantity!(
    /// Length, m.
    Metres
);
quantity!(
    /// Conductor cross-section, mm².
    SquareMillimetres
);
quantity!(
    /// A person's time, min.
    Minutes
);
quantity!(
    /// Temperature, °C.
    Celsius
);

/// One quantity by another makes a third.
macro_rules! law {
    ($left:ident / $right:ident = $out:ident) => {
        impl Div<$right> for $left {
            type Output = $out;
            fn div(self, other: $right) -> $out {
                $out(self.0 / other.0)
            }
        }
    };
    ($left:ident * $right:ident = $out:ident) => {
        impl Mul<$right> for $left {
            type Output = $out;
            fn mul(self, other: $right) -> $out {
                $out(self.0 * other.0)
            }
        }
    };
}

law!(Volts / Ohms = Amps);
law!(Volts / Amps = Ohms);
law!(Amps / Volts = Siemens);
law!(Amps / Siemens = Volts);
law!(Watts / Volts = Amps);
law!(Watts / Amps = Volts);
law!(Volts * Amps = Watts);
law!(Amps * Ohms = Volts);
law!(Siemens * Volts = Amps);

impl Ohms {
    /// The conductance of this resistance.
    pub fn conductance(self) -> Siemens {
        Siemens(1.0 / self.0)
    }
}

impl Siemens {
    /// The resistance of this conductance.
    pub fn resistance(self) -> Ohms {
        Ohms(1.0 / self.0)
    }
}

/// Voltage the way a hand-held meter shows it: the range follows the size.
impl fmt::Display for Volts {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let size = self.0.abs();
        // Layout: digits as far as a display has them; each edge lies where the
        // figure before would round to one digit more.
        // "-0.0 mV" would make a person look for a reversed lead.
        let value = if size < 5e-5 { 0.0 } else { self.0 };
        match size {
            _ if size < 0.3995 => write!(out, "{:.1} mV", value * KILO),
            _ if size < 3.9995 => write!(out, "{value:.3} V"),
            _ => write!(out, "{value:.2} V"),
        }
    }
}

impl fmt::Display for Ohms {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        // Layout: as for volts, with two figures.
        let size = self.0.abs();
        match size {
            _ if size < 0.000_95 => write!(out, "{:.2} mΩ", self.0 * KILO),
            _ if size < 0.0995 => write!(out, "{} mΩ", two_figures(self.0 * KILO)),
            _ if size < 995.0 => write!(out, "{} Ω", two_figures(self.0)),
            _ if size < 995e3 => write!(out, "{} kΩ", two_figures(self.0 / KILO)),
            _ => write!(out, "{} MΩ", two_figures(self.0 / MEGA)),
        }
    }
}

impl fmt::Display for Amps {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        // Layout: as for volts, with two figures.
        if self.0.abs() < 0.0995 {
            write!(out, "{} mA", two_figures(self.0 * KILO))
        } else {
            write!(out, "{} A", two_figures(self.0))
        }
    }
}

impl fmt::Display for Watts {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{} W", two_figures(self.0))
    }
}

impl fmt::Display for Minutes {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{} min", two_figures(self.0))
    }
}

fn two_figures(value: f64) -> String {
    // Layout: each edge lies where the figure before would round to three.
    match value.abs() {
        size if size < 0.0995 => format!("{value:.2}"),
        size if size < 0.995 => format!("{value:.2}"),
        size if size < 9.95 => format!("{value:.1}"),
        size if size < 99.5 => format!("{value:.0}"),
        _ => format!("{:.0}", (value / 10.0).round() * 10.0),
    }
}

/// A quantity as somebody typed it, with the step of its last digit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Typed<Q> {
    pub value: Q,
    /// One unit of the last digit typed: `12.3` carries 0.1 V.
    pub step: Q,
}

/// What a display showed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub enum Measured {
    Volts(Typed<Volts>),
    Ohms(Typed<Ohms>),
    /// Over the range of an ohmmeter: no path.
    NoPath,
    Amps(Typed<Amps>),
}

impl fmt::Display for Measured {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Volts(volts) => volts.value.fmt(out),
            Self::Ohms(ohms) => ohms.value.fmt(out),
            Self::NoPath => write!(out, "no path"),
            Self::Amps(amps) => amps.value.fmt(out),
        }
    }
}

/// From: common practice, no source. A voltage said without decimals is about
/// that: `12` is said of 11.5 and of 12.7. Its step, V.
const ABOUT: Volts = Volts(2.0);
/// From: common practice, no source. What is called the same as another point is
/// within half of this of it, V.
const SAME: Volts = Volts(0.6);

impl Measured {
    /// About no difference, as people compare two voltages.
    pub const THE_SAME: Self = Self::Volts(Typed { value: Volts::ZERO, step: SAME });

    /// What a display showed that wandered between two values: anything between
    /// them; of a resistance on a logarithmic scale, as ohmmeters span decades.
    pub fn wandering(one: Self, other: Self) -> Option<Self> {
        Some(match (one, other) {
            (Self::Volts(a), Self::Volts(b)) => Self::Volts(between(a, b)),
            (Self::Amps(a), Self::Amps(b)) => Self::Amps(between(a, b)),
            (Self::Ohms(a), Self::Ohms(b)) => {
                let [a, b] = [a, b].map(|ohms| ohms.value.max(ohms.step));
                let middle = (a.0 * b.0).sqrt();
                Self::Ohms(Typed { value: Ohms(middle), step: Ohms(middle * (b / a).ln().abs()) })
            }
            _ => return None,
        })
    }

    /// The values that something wandered between, lowest first.
    pub fn wandered_between(self) -> [Self; 2] {
        [-0.5, 0.5].map(|side| match self {
            Self::Volts(Typed { value, step }) => Self::Volts(Typed { value: value + step * side, step }),
            Self::Amps(Typed { value, step }) => Self::Amps(Typed { value: value + step * side, step }),
            Self::Ohms(Typed { value, step }) => {
                Self::Ohms(Typed { value: value * (side * (step / value)).exp(), step })
            }
            Self::NoPath => self,
        })
    }

    /// The same with the sign of a drop, `-1` for less.
    pub fn signed(self, sign: f64) -> Self {
        match self {
            Self::Volts(volts) => Self::Volts(Typed { value: volts.value * sign, ..volts }),
            Self::Ohms(_) | Self::NoPath | Self::Amps(_) => self,
        }
    }
}

fn between<Q: Quantity>(one: Typed<Q>, other: Typed<Q>) -> Typed<Q> {
    let (a, b) = (one.value.number(), other.value.number());
    Typed { value: Q::of(0.5 * (a + b)), step: Q::of((a - b).abs()) }
}

/// Why a word is not what a display shows.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum MeasuredError {
    /// The word does not start like a number.
    #[error("expected a reading such as `12.31`, `340mV`, `0.4ohm`, `2.1A` or `-0.2`, but found `{text}`")]
    NotANumber {
        /// The word as typed.
        text: String,
    },
    /// The number is followed by something that is no unit of a meter.
    #[error(
        "expected volts (`V`, `mV`), ohms (`ohm`, `kohm`, `Mohm`) or amperes (`A`, `mA`) after `{number}`, but found `{unit}`"
    )]
    UnknownUnit {
        /// The digits.
        number: String,
        /// What followed them.
        unit: String,
    },
    /// More than any low-voltage system can show.
    #[error("{value} is outside what a 12/24 V system can show (at most {limit})")]
    OutOfRange {
        /// What was typed, with its unit.
        value: String,
        /// The bound, with its unit.
        limit: String,
    },
    /// Less than nothing.
    #[error("a resistance below nothing: the circuit was live, or the leads were joined badly; read it dead")]
    NegativeOhms,
}

/// From: ISO 16750-2:2010, range code F, where a 24 V system on charge is below
/// 32 V; doubled for a wrongly stacked battery. Largest reading accepted, V.
pub const LARGEST_READING: Volts = Volts(64.0);
/// Format: nominal voltages that a vehicle has.
pub const NOMINAL: [Volts; 2] = [TWELVE_VOLTS, Volts(24.0)];
/// Format: the nominal voltage that figures of a table are for where they go
/// with it.
pub const TWELVE_VOLTS: Volts = Volts(12.0);
/// Format: hundredths of a share.
pub const PERCENT: f64 = 100.0;
/// Format: of a unit with this prefix.
pub const MILLI: f64 = 1e-3;
/// Format: the same.
pub const KILO: f64 = 1e3;
/// Format: the same.
pub const MEGA: f64 = 1e6;
/// Format: seconds of a minute.
pub const SECONDS_A_MINUTE: f64 = 60.0;
/// Format: hours of a day.
pub const HOURS_A_DAY: f64 = 24.0;
/// Format: seconds of an hour.
pub const SECONDS_AN_HOUR: f64 = 3600.0;
/// Format: largest current accepted, A: a starter draws less.
pub const LARGEST_CURRENT: Amps = Amps(2000.0);

impl std::str::FromStr for Measured {
    type Err = MeasuredError;

    fn from_str(text: &str) -> Result<Self, MeasuredError> {
        if matches!(text.to_lowercase().as_str(), "ol" | "o.l" | "nopath" | "over") {
            return Ok(Self::NoPath);
        }
        let plain = text.replace(',', ".").replace('\u{2212}', "-");
        let digits_end =
            plain.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '-' | '+'))).unwrap_or(plain.len());
        let (number, unit) = plain.split_at(digits_end);
        let value: f64 = number.parse().map_err(|_| MeasuredError::NotANumber { text: text.to_string() })?;
        let decimals = number.split_once('.').map_or(0, |(_, fraction)| fraction.len()) as i32;
        let step = 10f64.powi(-decimals);
        let too_large = |value: String, limit: String| Err(MeasuredError::OutOfRange { value, limit });
        let volts = |scale: f64| match value * scale {
            volts if volts.abs() > LARGEST_READING.0 => {
                too_large(format!("{volts} V"), format!("{} V", LARGEST_READING.0))
            }
            volts if decimals == 0 && scale == 1.0 && volts.abs() >= 1.0 => {
                Ok(Self::Volts(Typed { value: Volts(volts), step: ABOUT }))
            }
            volts => Ok(Self::Volts(Typed { value: Volts(volts), step: Volts(scale * step) })),
        };
        let ohms = |scale: f64| match value * scale {
            ohms if ohms < 0.0 => Err(MeasuredError::NegativeOhms),
            ohms => Ok(Self::Ohms(Typed { value: Ohms(ohms), step: Ohms(scale * step) })),
        };
        let amps = |scale: f64| match value * scale {
            amps if amps.abs() > LARGEST_CURRENT.0 => {
                too_large(format!("{amps} A"), format!("{} A", LARGEST_CURRENT.0))
            }
            amps => Ok(Self::Amps(Typed { value: Amps(amps), step: Amps(scale * step) })),
        };
        // Milli and mega differ by a capital, as on the meter.
        match unit {
            "mV" | "mv" | "MV" => volts(MILLI),
            "mA" | "ma" => amps(MILLI),
            "M" | "MΩ" | "Mohm" | "Mohms" | "megohm" | "MOhm" => ohms(MEGA),
            "mΩ" | "mohm" | "mohms" => ohms(MILLI),
            _ => match unit.to_lowercase().as_str() {
                "" | "v" | "volt" | "volts" => volts(1.0),
                "a" | "amp" | "amps" => amps(1.0),
                "ω" | "ohm" | "ohms" | "r" => ohms(1.0),
                "k" | "kω" | "kohm" | "kohms" => ohms(KILO),
                _ => Err(MeasuredError::UnknownUnit { number: number.to_string(), unit: unit.to_string() }),
            },
        }
    }
}

/// Whether a word looks as if a number was meant, so that `12.3x` is told
/// "not a voltage" rather than "no such point".
pub fn looks_like_number(word: &str) -> bool {
    let rest = word.trim_start_matches(['-', '+', '\u{2212}', '.', ',']);
    rest.starts_with(|c: char| c.is_ascii_digit())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn reads(text: &str, value: f64, step: f64) {
        let (typed, last) = match text.parse().unwrap() {
            Measured::Volts(volts) => (volts.value.0, volts.step.0),
            Measured::Ohms(ohms) => (ohms.value.0, ohms.step.0),
            Measured::Amps(amps) => (amps.value.0, amps.step.0),
            Measured::NoPath => panic!("{text} has no value"),
        };
        assert!((typed - value).abs() < 1e-9 * value.abs().max(1.0), "{text}: {typed}");
        assert!((last - step).abs() < 1e-9 * step.max(1.0), "{text}: step {last}");
    }

    #[test]
    fn readings_as_people_type_them() {
        reads("12.31", 12.31, 0.01);
        reads("12,3", 12.3, 0.1);
        reads("340mV", 0.34, 0.001);
        reads("-0.2", -0.2, 0.1);
        reads("\u{2212}7.5mV", -0.0075, 0.0001);
        reads("13V", 13.0, 2.0);
        reads("0", 0.0, 1.0);
        reads("0.4ohm", 0.4, 0.1);
        reads("4.7k", 4700.0, 100.0);
        reads("1.2MΩ", 1.2e6, 1e5);
        reads("48mA", 0.048, 0.001);
        reads("3.1A", 3.1, 0.1);
        assert_eq!("OL".parse(), Ok(Measured::NoPath));
    }

    #[test]
    fn what_wanders_holds_all_between() {
        let between = |one: &str, other: &str| {
            let wide = Measured::wandering(one.parse().unwrap(), other.parse().unwrap()).unwrap();
            wide.wandered_between().map(|end| match end {
                Measured::Volts(volts) => volts.value.0,
                Measured::Ohms(ohms) => ohms.value.0,
                Measured::Amps(amps) => amps.value.0,
                Measured::NoPath => panic!("a value"),
            })
        };
        for (one, other, low, high) in
            [("4.8", "11.9", 4.8, 11.9), ("11ohm", "4ohm", 4.0, 11.0), ("2A", "1A", 1.0, 2.0)]
        {
            let [a, b] = between(one, other);
            assert!((a - low).abs() < 1e-9 && (b - high).abs() < 1e-9, "{one} {other}: {a} {b}");
        }
        assert_eq!(Measured::wandering("12.1".parse().unwrap(), "3ohm".parse().unwrap()), None);
    }

    #[test]
    fn what_is_no_reading_is_said() {
        let refused = |text: &str| text.parse::<Measured>().unwrap_err();
        assert!(matches!(refused("twelve"), MeasuredError::NotANumber { .. }));
        assert!(matches!(refused("12.3x"), MeasuredError::UnknownUnit { .. }));
        assert!(matches!(refused("1231"), MeasuredError::OutOfRange { .. }));
        assert!(matches!(refused("1.2.3"), MeasuredError::NotANumber { .. }));
        assert!(matches!(refused("-3ohm"), MeasuredError::NegativeOhms));
        assert!(matches!(refused("nan"), MeasuredError::NotANumber { .. }));
    }

    #[test]
    fn voltages_look_as_on_a_meter() {
        assert_eq!(Volts(12.306).to_string(), "12.31 V");
        assert_eq!(Volts(0.6543).to_string(), "0.654 V");
        assert_eq!(Volts(0.0304).to_string(), "30.4 mV");
        assert_eq!(Volts(-0.00001).to_string(), "0.0 mV");
    }
}
