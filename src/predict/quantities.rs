//! Which quantities are uncertain in some states, and by how much: supplies,
//! resistances, forward voltages, the temperature of all copper, the meters.
//! Those that no meter could tell are left out.
//!
//! A resistance R is log-normal, ln R ~ N(ln R₀, σ²), and enters by a first order
//! in ln R whose deviation is ½(e^{2σ} − 1): exact two deviations up, since real
//! contacts lie far above their usual resistance more often than far below.

use super::model::StateModel;
use super::uncertain::Uncertain;
use super::uncertainties::{Content, Uncertainties};
use crate::meter::MeterKind;
use crate::tables::Tables;
use crate::tables::conductor::COPPER_PER_KELVIN;
use crate::vehicle::{Supply, Vehicle};

impl Uncertainties {
    /// Those that matter in any of `models` read with any of `meters`, which may
    /// repeat.
    pub fn of(tables: &Tables, vehicle: &Vehicle, models: &[&StateModel], meters: &[MeterKind]) -> Self {
        let spreads = &tables.spreads;
        let deviation = |supply: &Supply| match supply {
            Supply::Battery(battery) => battery.rest.0 * spreads.battery_voltage,
            Supply::Regulated(source) => source.set.0 * spreads.regulated_voltage,
        };
        let of_supply = |id| Some((Uncertain::SupplyVoltage(id), deviation(vehicle.part(id).kind.supply()?)));
        let mut entries: Vec<(Uncertain, f64)> = vehicle.supplies().filter_map(of_supply).collect();
        let supplies = entries.len();
        let mut copper = Vec::new();
        for id in vehicle.part_ids() {
            let part = vehicle.part(id);
            if let Some(forward) = part.kind.forward() {
                if models.iter().any(|model| model.carries_current(id)) {
                    entries.push((Uncertain::Forward(id), spreads.forward_voltage * forward.0));
                }
                continue;
            }
            let matters = |model: &&StateModel| {
                let effect = model.solution.across(id.index()).abs() * part.spread;
                effect > spreads.least_effect && model.carries_current(id)
            };
            let is_supply = part.kind.is_supply();
            if is_supply || models.iter().any(matters) {
                if part.kind.is_cable() {
                    copper.push(entries.len());
                }
                entries.push((Uncertain::Resistance(id), upward(part.spread)));
            }
        }
        if !copper.is_empty() {
            entries.push((Uncertain::Warmth, spreads.conductor_temperature * COPPER_PER_KELVIN));
        }
        let mut meters = meters.to_vec();
        meters.sort_unstable_by_key(|kind| kind.word());
        meters.dedup();
        for kind in meters {
            let sheet = kind.meter(&tables.instruments);
            entries.push((Uncertain::Gain(kind), sheet.gain_deviation()));
            entries.push((Uncertain::Offset(kind), sheet.digits / 2.0));
        }
        Self::new(Content { entries, informed: None, supplies, copper })
    }
}

/// Spread of a resistance that is log-normal, for a first order in ln R: two
/// deviations up are where they are, since real contacts lie far above their
/// usual resistance more often than far below.
fn upward(spread: f64) -> f64 {
    0.5 * ((2.0 * spread).exp() - 1.0)
}
