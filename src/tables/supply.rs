//! How supplies behave where the file does not say.

use crate::quantity::Ohms;
use serde::Deserialize;

/// Battery chemistry.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize)]
pub enum BatteryChemistry {
    /// Flooded, gel or AGM.
    LeadAcid,
    /// Lithium iron phosphate with its protection.
    LithiumIron,
}

/// Resistance that a battery sets against charging current: a lead-acid one
/// takes about 0.15 of its capacity per hour at 1.5 V above rest, a lithium
/// iron phosphate one 0.3 at 1 V; common practice, no source.
pub fn charging_resistance(chemistry: BatteryChemistry, ampere_hours: f64) -> Ohms {
    Ohms(match chemistry {
        BatteryChemistry::LeadAcid => 10.0 / ampere_hours,
        BatteryChemistry::LithiumIron => 3.3 / ampere_hours,
    })
}
