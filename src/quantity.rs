//! Units as types. Each wraps one `f64` in the SI unit its name says, so a
//! voltage cannot be handed over where a resistance is wanted.

use serde::{Deserialize, Serialize};
use std::fmt;
use std::ops::{Add, Div, Mul, Neg, Sub};
use thiserror::Error;

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(pub f64);

        impl $name {
            /// Size without sign.
            pub fn abs(self) -> Self {
                Self(self.0.abs())
            }
        }
        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }
        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
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

impl Div<Ohms> for Volts {
    type Output = Amps;
    fn div(self, resistance: Ohms) -> Amps {
        Amps(self.0 / resistance.0)
    }
}

impl Div<Amps> for Volts {
    type Output = Ohms;
    fn div(self, current: Amps) -> Ohms {
        Ohms(self.0 / current.0)
    }
}

impl Mul<Amps> for Volts {
    type Output = Watts;
    fn mul(self, current: Amps) -> Watts {
        Watts(self.0 * current.0)
    }
}

impl Ohms {
    /// The conductance of this resistance.
    pub fn conductance(self) -> Siemens {
        Siemens(1.0 / self.0)
    }
}

/// Voltage the way a hand-held meter shows it: the range follows the size.
impl fmt::Display for Volts {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let size = self.0.abs();
        // "-0.0 mV" would make a person look for a reversed lead.
        let value = if size < 5e-5 { 0.0 } else { self.0 };
        match size {
            _ if size < 0.3995 => write!(out, "{:.1} mV", value * 1e3),
            _ if size < 3.9995 => write!(out, "{value:.3} V"),
            _ => write!(out, "{value:.2} V"),
        }
    }
}

impl fmt::Display for Ohms {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let size = self.0.abs();
        match size {
            _ if size < 0.000_95 => write!(out, "{:.2} mΩ", self.0 * 1e3),
            _ if size < 0.0995 => write!(out, "{} mΩ", two_figures(self.0 * 1e3)),
            _ if size < 995.0 => write!(out, "{} Ω", two_figures(self.0)),
            _ if size < 995e3 => write!(out, "{} kΩ", two_figures(self.0 / 1e3)),
            _ => write!(out, "{} MΩ", two_figures(self.0 / 1e6)),
        }
    }
}

impl fmt::Display for Amps {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.0.abs() < 0.0995 {
            write!(out, "{} mA", two_figures(self.0 * 1e3))
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
    match value.abs() {
        size if size < 0.0995 => format!("{value:.2}"),
        size if size < 0.995 => format!("{value:.2}"),
        size if size < 9.95 => format!("{value:.1}"),
        size if size < 99.5 => format!("{value:.0}"),
        _ => format!("{:.0}", (value / 10.0).round() * 10.0),
    }
}

/// A voltage as somebody typed it, with the step of its last digit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct TypedVolts {
    /// The value typed.
    pub value: Volts,
    /// One unit of the last digit typed: `12.3` carries 0.1 V.
    pub step: Volts,
}

/// Why a word is not a voltage.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum VoltsError {
    /// The word does not start like a number.
    #[error("expected a voltage such as `12.31`, `12,3`, `340mV` or `-0.2`, but found `{text}`")]
    NotANumber {
        /// The word as typed.
        text: String,
    },
    /// The number is followed by something that is no unit of voltage.
    #[error("expected volts (`V`) or millivolts (`mV`) after `{number}`, but found `{unit}`")]
    UnknownUnit {
        /// The digits.
        number: String,
        /// What followed them.
        unit: String,
    },
    /// More than any low-voltage system can show.
    #[error("{value} V is outside what a 12/24 V system can show (at most {limit} V)")]
    OutOfRange {
        /// What was typed, V.
        value: f64,
        /// The bound, V.
        limit: f64,
    },
}

/// Largest reading accepted, V: a 24 V system on charge is below 32 V
/// (ISO 16750-2:2010, range code F); doubled for a wrongly stacked battery.
pub const LARGEST_READING: Volts = Volts(64.0);

impl std::str::FromStr for TypedVolts {
    type Err = VoltsError;

    fn from_str(text: &str) -> Result<Self, VoltsError> {
        let not_a_number = || VoltsError::NotANumber { text: text.to_string() };
        let plain = text.replace(',', ".").replace('\u{2212}', "-");
        let digits_end =
            plain.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '-' | '+'))).unwrap_or(plain.len());
        let (number, unit) = plain.split_at(digits_end);
        let value: f64 = number.parse().map_err(|_| not_a_number())?;
        let scale = match unit {
            "" | "V" | "v" => 1.0,
            "mV" | "mv" | "MV" => 1e-3,
            _ => {
                return Err(VoltsError::UnknownUnit { number: number.to_string(), unit: unit.to_string() });
            }
        };
        let decimals = number.split_once('.').map_or(0, |(_, fraction)| fraction.len()) as i32;
        let value = value * scale;
        if value.abs() > LARGEST_READING.0 {
            return Err(VoltsError::OutOfRange { value, limit: LARGEST_READING.0 });
        }
        Ok(Self { value: Volts(value), step: Volts(scale * 10f64.powi(-decimals)) })
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
        let typed: TypedVolts = text.parse().unwrap();
        assert!((typed.value.0 - value).abs() < 1e-12, "{text}: {}", typed.value.0);
        assert!((typed.step.0 - step).abs() < 1e-12, "{text}: step {}", typed.step.0);
    }

    #[test]
    fn voltages_as_people_type_them() {
        reads("12.31", 12.31, 0.01);
        reads("12,3", 12.3, 0.1);
        reads("340mV", 0.34, 0.001);
        reads("-0.2", -0.2, 0.1);
        reads("\u{2212}7.5mV", -0.0075, 0.0001);
        reads("13V", 13.0, 1.0);
    }

    #[test]
    fn what_is_no_voltage_is_said() {
        assert!(matches!("twelve".parse::<TypedVolts>(), Err(VoltsError::NotANumber { .. })));
        assert!(matches!("12.3A".parse::<TypedVolts>(), Err(VoltsError::UnknownUnit { .. })));
        assert!(matches!("1231".parse::<TypedVolts>(), Err(VoltsError::OutOfRange { .. })));
        assert!(matches!("1.2.3".parse::<TypedVolts>(), Err(VoltsError::NotANumber { .. })));
        assert!("nan".parse::<TypedVolts>().is_err());
    }

    #[test]
    fn voltages_look_as_on_a_meter() {
        assert_eq!(Volts(12.306).to_string(), "12.31 V");
        assert_eq!(Volts(0.6543).to_string(), "0.654 V");
        assert_eq!(Volts(0.0304).to_string(), "30.4 mV");
        assert_eq!(Volts(-0.00001).to_string(), "0.0 mV");
    }
}
