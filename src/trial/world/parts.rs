//! Parts that are not quite as drawn.

use super::as_is::World;
use crate::meter::MeterKind;
use crate::predict::{Uncertain, Uncertainties};
use crate::tables::Tables;
use crate::trial::conditions::{Conditions, Tails};
use crate::trial::trouble::Trouble;
use crate::vehicle::{LoadBehaviour, PartId, PartKind, Supply, Vehicle};
use rand::Rng;
use rand_distr::{Distribution, StandardNormal, StudentT};
use std::collections::HashMap;

/// Real parts for a vehicle that is drawn.
pub fn real_parts(tables: &Tables, drawn: &Vehicle, conditions: &Conditions, random: &mut impl Rng) -> Vehicle {
    let freedom = tables.trial.tail_freedom;
    let mut real = drawn.clone();
    let supplies = Uncertainties::of(tables, drawn);
    let missing: HashMap<PartId, f64> = supplies
        .entries()
        .iter()
        .filter_map(|&(uncertain, deviation)| match uncertain {
            Uncertain::SupplyVoltage(part) => Some((part, deviation)),
            _ => None,
        })
        .collect();
    for (index, part) in real.parts.iter_mut().enumerate() {
        let factor = (part.spread * conditions.spread * deviate(conditions.tails, freedom, random)).exp();
        part.resistance.value.0 *= factor;
        match &mut part.kind {
            PartKind::Load(load) => behave(&mut load.behaviour, factor),
            PartKind::Supply(supply) => {
                let spread = conditions.supplies * missing.get(&PartId::new(index)).copied().unwrap_or(0.0);
                let off = spread * deviate(conditions.tails, freedom, random);
                match supply {
                    Supply::Battery(battery) => battery.rest.0 += off,
                    Supply::Regulated(source) => source.set.0 += off,
                }
            }
            // They have no other value than their resistance that differs.
            PartKind::HolderContact
            | PartKind::Fuse { .. }
            | PartKind::Breaker { .. }
            | PartKind::Cable { .. }
            | PartKind::Joint
            | PartKind::Pin
            | PartKind::Switch
            | PartKind::Isolator
            | PartKind::Contact(_)
            | PartKind::Coil(_)
            | PartKind::Shunt
            | PartKind::Diode { .. }
            | PartKind::Chassis => {}
        }
    }
    real
}

/// A load of so many times the resistance.
fn behave(behaviour: &mut LoadBehaviour, factor: f64) {
    match behaviour {
        LoadBehaviour::ConstantCurrent(amps) | LoadBehaviour::Filament(amps) => amps.0 /= factor,
        LoadBehaviour::ConstantPower { watts, .. } => watts.0 /= factor,
        LoadBehaviour::Resistance(ohms) | LoadBehaviour::DiodeString { ohms, .. } => ohms.0 *= factor,
    }
}

/// A deviation of unit spread.
fn deviate(tails: Tails, freedom: f64, random: &mut impl Rng) -> f64 {
    match tails {
        Tails::Normal => StandardNormal.sample(random),
        Tails::Heavy => {
            let wide: f64 = StudentT::new(freedom).map_or(0.0, |tails| tails.sample(random));
            wide * ((freedom - 2.0) / freedom).sqrt()
        }
    }
}

impl World {
    /// The same vehicle as it was handed over: without the fault, its parts a
    /// little younger, its supplies and the meter as they were that day.
    pub fn at_handover(&self, drawn: &Vehicle, random: &mut impl Rng) -> Self {
        let younger = Conditions { spread: self.conditions.spread * self.tables.trial.aged, ..self.conditions };
        let mut vehicle = real_parts(&self.tables, drawn, &younger, random);
        for (index, part) in vehicle.parts.iter_mut().enumerate() {
            let (now, drawn) = (&self.vehicle.parts[index], &drawn.parts[index]);
            // What was drawn anew is how far it has aged since, not what it is.
            let aged = part.resistance.value.0 / drawn.resistance.value.0;
            part.resistance.value.0 = now.resistance.value.0 * aged;
            if let (Some(load), Some(now)) = (part.kind.load_mut(), now.kind.load()) {
                load.behaviour = now.behaviour;
                behave(&mut load.behaviour, aged);
            }
        }
        Self::new(&self.tables, vehicle, Trouble::Nothing, MeterKind::default(), &self.conditions, random)
    }
}
