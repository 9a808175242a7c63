//! What somebody says of their vehicle, answer by answer.

use super::super::error::SketchError;
use super::battery::{self, House};
use super::circuit::{self, OwnCircuit};
use super::extras::{self, Extra};
use super::text::plain;
use crate::tables::sketch::Sketching;

/// What somebody said of their vehicle.
#[derive(Debug, Clone, PartialEq)]
pub struct Own {
    pub name: String,
    /// 12 V or 24 V.
    pub volts: f64,
    pub battery: House,
    pub circuits: Vec<OwnCircuit>,
    pub extras: Vec<Extra>,
}

impl Own {
    /// A vehicle without circuits.
    pub fn usual(figures: &Sketching) -> Self {
        Self {
            name: "My van".to_string(),
            volts: figures.nominal.0,
            battery: House { ampere_hours: figures.ampere_hours, is_lithium: false },
            circuits: Vec::new(),
            extras: Vec::new(),
        }
    }

    /// A circuit from its line.
    ///
    /// # Errors
    /// [`SketchError`] for what is not understood.
    pub fn add_circuit(&mut self, line: &str) -> Result<(), SketchError> {
        self.circuits.push(circuit::read(line)?);
        Ok(())
    }

    /// Name of the vehicle; nothing leaves it as it is.
    pub fn call(&mut self, said: &str) {
        if !said.trim().is_empty() {
            self.name = plain(said);
        }
    }

    /// The battery from its line; nothing leaves it as it is.
    ///
    /// # Errors
    /// [`SketchError`] for what is not understood.
    pub fn take_battery(&mut self, line: &str) -> Result<(), SketchError> {
        (self.volts, self.battery) = battery::read(line, self.volts, self.battery)?;
        Ok(())
    }

    /// What else is in it, by the words of a line.
    ///
    /// # Errors
    /// [`SketchError`] for what is not understood.
    pub fn take_extras(&mut self, line: &str) -> Result<(), SketchError> {
        self.extras = extras::read(line)?;
        Ok(())
    }
}
