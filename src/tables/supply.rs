//! How supplies behave where the file does not say.

use super::{Origin, Sourced};
use crate::quantity::{Amps, Celsius, Ohms, Volts};
use serde::Deserialize;

/// Battery chemistry.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize)]
pub enum BatteryChemistry {
    /// Flooded, gel or AGM.
    LeadAcid,
    /// Lithium iron phosphate with its protection.
    LithiumIron,
}

/// Capacity of a battery whose file does not say it, A·h. From: common practice, no
/// source.
pub const USUAL_AMPERE_HOURS: f64 = 100.0;

/// How well a converter does where the file does not say.
#[derive(Debug, Clone, Copy)]
pub struct UsualConverter {
    /// What comes out as a share of what goes in.
    pub efficiency: f64,
    /// What it takes for itself, as a share of what it takes at most usually.
    pub idle_share: f64,
}

/// An inverter: data sheets name 85 to 94 % at half load, and 1 to 3 % of the
/// rating with nothing on; from memory.
pub const INVERTER: UsualConverter = UsualConverter { efficiency: 0.89, idle_share: 0.02 };

/// A DC-DC converter or charger: data sheets name 85 to 95 %, and less than 1 % of
/// the rating with nothing on; from memory.
pub const CHARGER: UsualConverter = UsualConverter { efficiency: 0.9, idle_share: 0.005 };

/// Slope resistance of a diode.
pub const DIODE_SLOPE: Sourced<Ohms> =
    Sourced { value: Ohms(0.01), origin: Origin::Default("common practice for a power diode") };

/// Largest share of its rated voltage that the forward voltage of a string of
/// diodes can have: the rest is over its resistor. Common practice, no source.
pub const MOST_STRING_SHARE: f64 = 0.95;

/// Resistance that a battery sets against charging current: a lead-acid one
/// takes about 0.15 of its capacity per hour at 1.5 V above rest, a lithium
/// iron phosphate one 0.3 at 1 V; common practice, no source.
pub fn charging_resistance(chemistry: BatteryChemistry, ampere_hours: f64) -> Ohms {
    Ohms(match chemistry {
        BatteryChemistry::LeadAcid => 10.0 / ampere_hours,
        BatteryChemistry::LithiumIron => 3.3 / ampere_hours,
    })
}

/// Rest voltage of a 12 V battery at a state of charge (0 to 1).
///
/// Lead-acid: the widely used table at 27 °C for flooded ones, 100 % 12.65 V,
/// 75 % 12.45 V, 50 % 12.24 V, 25 % 12.06 V, 0 % 11.89 V. Its temperature
/// correction is bookkeeping of specific gravity and is left out; the spread
/// of a rest voltage covers it. Lithium iron phosphate: published charts
/// disagree between 13.0 and 13.4 V, so the middle of them; empty below 12 V.
pub fn rest_voltage(chemistry: BatteryChemistry, charge: f64) -> Volts {
    const LEAD_ACID: [(f64, f64); 5] = [(0.0, 11.89), (0.25, 12.06), (0.5, 12.24), (0.75, 12.45), (1.0, 12.65)];
    const LITHIUM_IRON: [(f64, f64); 8] =
        [(0.0, 10.0), (0.1, 12.0), (0.2, 12.8), (0.3, 13.0), (0.5, 13.15), (0.7, 13.3), (0.99, 13.4), (1.0, 13.6)];
    let table: &[(f64, f64)] = match chemistry {
        BatteryChemistry::LeadAcid => &LEAD_ACID,
        BatteryChemistry::LithiumIron => &LITHIUM_IRON,
    };
    let above = table.iter().position(|(share, _)| *share >= charge).unwrap_or(table.len() - 1).max(1);
    let ((low, from), (high, to)) = (table[above - 1], table[above]);
    Volts(from + (to - from) * ((charge - low) / (high - low)).clamp(0.0, 1.0))
}

/// Internal resistance of a battery of a capacity at a temperature.
///
/// Lead-acid: 0.5 Ω·Ah, so 5 mΩ at 100 A·h (healthy starter batteries 3 to
/// 8 mΩ, from memory), rising as charge falls. Lithium iron phosphate with its
/// protection: 0.8 Ω·Ah. Both rise in the cold, lithium threefold at 0 °C;
/// common practice, no source.
pub fn internal_resistance(
    chemistry: BatteryChemistry,
    ampere_hours: f64,
    rest: Volts,
    celsius: Celsius,
) -> Sourced<Ohms> {
    let cold = (25.0 - celsius.0).max(0.0) / 25.0;
    let (each, in_the_cold) = match chemistry {
        BatteryChemistry::LeadAcid => (0.5 * (1.0 + (12.65 - rest.0).max(0.0)), 1.5f64),
        BatteryChemistry::LithiumIron => (0.8, 3.0),
    };
    Sourced {
        value: Ohms(each / ampere_hours * in_the_cold.powf(cold)),
        origin: Origin::Default("common practice for a sound battery of that size"),
    }
}

/// Charge that must be left for a battery to start an engine, or to carry its
/// loads; common practice, no source.
pub const LEAST_CHARGE: f64 = 0.4;

/// How long a full battery of a capacity gives a current before it is down to
/// [`LEAST_CHARGE`], h; what gives next to nothing lasts some thousand hours.
pub fn hours_to_flat(ampere_hours: f64, drawn: Amps) -> f64 {
    (1.0 - LEAST_CHARGE) * ampere_hours / drawn.0.max(1e-3)
}

/// The current that does so in some hours.
pub fn drawn_to_flat(ampere_hours: f64, hours: f64) -> Amps {
    Amps((1.0 - LEAST_CHARGE) * ampere_hours / hours)
}

/// Share of rated voltage below which electronics fold back where the file
/// does not say.
pub const FOLD_SHARE: f64 = 0.75;

/// Forward voltage of a diode string as a share of rated voltage where the
/// file does not say: three white diodes on 12 V.
pub const STRING_SHARE: f64 = 0.75;
