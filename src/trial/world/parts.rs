//! Parts that are not quite as drawn.

use super::as_is::World;
use super::chance::{between, either_way, log_uniform};
use super::nature::{by_nature, weaken};
use crate::meter::MeterKind;
use crate::quantity::TWELVE_VOLTS;
use crate::tables::Tables;
use crate::tables::conductor::{COPPER_PER_KELVIN, TABLES_AT};
use crate::trial::conditions::{Conditions, MeterQuality, Tails};
use crate::trial::trouble::Trouble;
use crate::vehicle::{PartKind, Supply, Vehicle};
use rand::{Rng, RngExt};
use rand_distr::{Distribution, StudentT};
use std::f64::consts::PI;

/// From: Euler and Mascheroni's constant, the mean of Gumbel's distribution.
const GUMBEL_MEAN: f64 = 0.577_215_664_9;

/// How real parts of a kind lie about the drawn one.
#[derive(Debug, Clone, Copy)]
enum Scatter {
    /// The worst of many small spots: few far above, none far below.
    Contact,
    /// Cut to length by eye.
    Cut,
    /// Made by a maker, sorted by none.
    Made,
}

/// Real parts for a vehicle that is drawn.
pub fn real_parts(tables: &Tables, drawn: &Vehicle, conditions: &Conditions, random: &mut impl Rng) -> Vehicle {
    let (of, freedom) = (&tables.world, tables.trial.tail_freedom);
    let is_real = conditions.instrument == MeterQuality::Real;
    let volts = drawn.nominal.0 / TWELVE_VOLTS.0;
    let warmth = between(of.degrees, random) - TABLES_AT.0;
    let warmth = if is_real { 1.0 + COPPER_PER_KELVIN * warmth } else { 1.0 };
    let mut real = drawn.clone();
    for part in &mut real.parts {
        let off = deviate(shape(&part.kind), conditions.tails, freedom, random);
        let factor = (part.spread * conditions.spread * off).exp().clamp(1.0 / of.still_sound, of.still_sound);
        part.resistance.value.0 *= factor;
        match &mut part.kind {
            PartKind::Cable(_) => part.resistance.value.0 *= warmth,
            PartKind::Load(load) => {
                if is_real {
                    by_nature(of, load, random);
                    if let Some(converts) = &mut load.converts {
                        converts.efficiency = between(of.conversion, random);
                        converts.idle.0 *= log_uniform(of.idle, random);
                    }
                }
                weaken(&mut load.behaviour, factor);
            }
            PartKind::Supply(Supply::Battery(battery)) => {
                battery.rest.0 += conditions.supplies * volts * between(of.charge, random);
            }
            PartKind::Supply(Supply::Regulated(source)) => {
                source.set.0 += conditions.supplies * volts * either_way(of.regulation.0, random);
            }
            // They have no other value than their resistance that differs.
            PartKind::HolderContact
            | PartKind::Fuse { .. }
            | PartKind::Breaker { .. }
            | PartKind::Joint
            | PartKind::Pin
            | PartKind::Switch
            | PartKind::Isolator
            | PartKind::Contact(_)
            | PartKind::Coil(_)
            | PartKind::Shunt
            | PartKind::Diode { .. }
            | PartKind::Chassis
            | PartKind::Instrument(_) => {}
        }
    }
    real
}

fn shape(kind: &PartKind) -> Scatter {
    match kind {
        PartKind::HolderContact
        | PartKind::Joint
        | PartKind::Pin
        | PartKind::Switch
        | PartKind::Isolator
        | PartKind::Contact(_) => Scatter::Contact,
        PartKind::Cable(_) | PartKind::Chassis => Scatter::Cut,
        PartKind::Fuse { .. }
        | PartKind::Breaker { .. }
        | PartKind::Coil(_)
        | PartKind::Shunt
        | PartKind::Diode { .. }
        | PartKind::Load(_)
        | PartKind::Supply(_)
        | PartKind::Instrument(_) => Scatter::Made,
    }
}

/// A deviation of unit spread about nothing.
fn deviate(shape: Scatter, tails: Tails, freedom: f64, random: &mut impl Rng) -> f64 {
    if tails == Tails::Heavy {
        let wide: f64 = StudentT::new(freedom).map_or(0.0, |tails| tails.sample(random));
        return wide * ((freedom - 2.0) / freedom).sqrt();
    }
    let at = random.random::<f64>().clamp(f64::EPSILON, 1.0 - f64::EPSILON);
    match shape {
        // From: Gumbel's distribution of the largest, whose variance is π²/6.
        Scatter::Contact => (-(-at.ln()).ln() - GUMBEL_MEAN) * 6f64.sqrt() / PI,
        // From: an even distribution, whose variance is a twelfth of its squared width.
        Scatter::Cut => (at - 0.5) * 12f64.sqrt(),
        // From: the logistic distribution, whose variance is π²/3.
        Scatter::Made => (at / (1.0 - at)).ln() * 3f64.sqrt() / PI,
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
                load.converts = now.converts;
                weaken(&mut load.behaviour, aged);
            }
        }
        let meter = MeterKind::default();
        Self::new(&self.tables, vehicle, Trouble::Nothing, meter, &self.conditions, random).departed_as(self)
    }
}
