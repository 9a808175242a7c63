//! Which quantities of a vehicle are uncertain, and by how much: supplies,
//! resistances, forward voltages, the temperature of all copper, the grounds of places, the instruments.
//! They are the same in every state and under every fault: what carries current
//! only under a fault has its spread too.
//!
//! A resistance R is log-normal, ln R ~ N(ln R₀, σ²), and enters by a first order
//! in ln R whose deviation is ½(e^{2σ} − 1): exact two deviations up, since real
//! contacts lie far above their usual resistance more often than far below.

use super::uncertain::Uncertain;
use super::uncertainties::{Content, Uncertainties};
use crate::meter::{Ammeter, MeterKind};
use crate::tables::Tables;
use crate::tables::conductor::COPPER_PER_KELVIN;
use crate::vehicle::{FittedInstrument, PlaceId, Supply, Vehicle};

impl Uncertainties {
    /// Those of a vehicle and of every meter.
    pub(super) fn of(tables: &Tables, vehicle: &Vehicle) -> Self {
        let spreads = &tables.spreads;
        let deviation = |supply: &Supply| match supply {
            Supply::Battery(battery) => battery.rest.0 * spreads.battery_voltage,
            Supply::Regulated(source) => source.set.0 * spreads.regulated_voltage,
        };
        let of_supply = |id| Some((Uncertain::SupplyVoltage(id), deviation(vehicle.part(id).kind.supply()?)));
        let mut entries: Vec<(Uncertain, f64)> = vehicle.supplies().filter_map(of_supply).collect();
        let supplies = entries.len();
        let fixed = |own: FittedInstrument| tables.instruments.fixed(own.shows_amps(), vehicle.nominal);
        let mut copper = vec![false; supplies];
        for id in vehicle.part_ids() {
            let part = vehicle.part(id);
            copper.push(part.kind.is_cable());
            entries.push(match (part.kind.forward(), part.kind.instrument()) {
                (Some(forward), _) => (Uncertain::Forward(id), spreads.forward_voltage * forward.0),
                (_, Some(own)) => (Uncertain::InstrumentGain(id), fixed(own).gain),
                _ => (Uncertain::Resistance(id), upward(part.spread)),
            });
        }
        entries.push((Uncertain::Warmth, spreads.conductor_temperature * COPPER_PER_KELVIN));
        let ground = |place| (Uncertain::Ground(place), spreads.ground.0 / std::f64::consts::SQRT_2);
        entries.extend((0..vehicle.places.len()).map(PlaceId::new).map(ground));
        let offset = |id| Some((Uncertain::InstrumentOffset(id), fixed(vehicle.part(id).kind.instrument()?).zero));
        entries.extend(vehicle.instruments().filter_map(offset));
        for kind in MeterKind::ALL {
            let sheet = kind.meter(&tables.instruments);
            entries.push((Uncertain::Gain(kind), sheet.gain_deviation()));
            entries.push((Uncertain::Offset(kind), sheet.digits / 2.0));
        }
        for kind in Ammeter::ALL {
            entries.push((Uncertain::Zero(kind), kind.error(&tables.instruments).zero.0));
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
