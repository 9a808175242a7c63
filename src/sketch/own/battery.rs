//! The battery that everything is fed from.

use super::super::error::SketchError;
use super::super::item::{Item, made};

/// The battery that everything is fed from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct House {
    /// Capacity, A·h.
    pub ampere_hours: f64,
    pub is_lithium: bool,
}

const WANTED: &str = "say the battery alone, such as `12 V 100 Ah` or `24 V lithium 200 Ah`";

/// Voltage and battery of a line such as `24 V lithium 200 Ah`; nothing leaves them
/// as they are.
///
/// # Errors
/// [`SketchError`] for what is not understood.
pub fn read(line: &str, volts: f64, battery: House) -> Result<(f64, House), SketchError> {
    if line.trim().is_empty() {
        return Ok((volts, battery));
    }
    let made = made(&format!("battery {line}"))?;
    let [only] = &made[..] else {
        return Err(SketchError::NoAnswer { said: line.trim().to_string(), wanted: WANTED });
    };
    let Item::Battery { volts: said, ampere_hours, lithium } = only.item else {
        return Err(SketchError::NoAnswer { said: only.said.clone(), wanted: WANTED });
    };
    let ampere_hours = ampere_hours.unwrap_or(battery.ampere_hours);
    Ok((said.unwrap_or(volts), House { ampere_hours, is_lithium: lithium }))
}
