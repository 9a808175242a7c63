//! The instruments of a case, each off in its own way and the same all day.

use super::chance::{between, either_way};
use crate::meter::{Meter, MeterKind};
use crate::tables::world::Workshop;
use crate::vehicle::{PartId, Vehicle};
use rand::Rng;

/// How far the instruments of a case are off.
#[derive(Debug, Clone, Copy)]
pub(super) struct Errors {
    /// Share of its gain that the meter has too much, of what it may.
    pub gain: f64,
    /// Its offset, of what it may.
    pub offset: f64,
    /// Resistance of its leads, Ω.
    pub leads: f64,
    /// Gain of its ohmmeter.
    pub ohms: f64,
    /// Zero of the clamp, of what it may.
    pub zero: f64,
    /// Its gain.
    pub clamp: f64,
}

impl Errors {
    /// Of instruments that are not off; leads have their resistance all the same.
    pub fn none(of: &Workshop) -> Self {
        let [least, most] = of.leads;
        Self { gain: 0.0, offset: 0.0, leads: 0.5 * (least + most), ohms: 0.0, zero: 0.0, clamp: 0.0 }
    }

    /// Of those at hand today.
    pub fn today(of: &Workshop, random: &mut impl Rng) -> Self {
        Self {
            gain: either_way(1.0, random),
            offset: either_way(1.0, random),
            leads: between(of.leads, random),
            ohms: either_way(of.ohms_gain, random),
            zero: either_way(1.0, random),
            clamp: either_way(of.clamp_gain, random),
        }
    }
}

/// How a sound instrument is off.
#[derive(Debug, Clone, Copy)]
pub(super) struct DisplayError {
    pub zero: f64,
    pub gain: f64,
}

/// How each instrument of a vehicle is off.
pub(super) fn display_errors(
    of: &Workshop,
    vehicle: &Vehicle,
    is_real: bool,
    random: &mut impl Rng,
) -> Vec<(PartId, DisplayError)> {
    let share = if is_real { 1.0 } else { 0.0 };
    let mut error = |id: PartId| {
        let zero = of.display_zero[usize::from(shows_amps(vehicle, id))];
        let error =
            DisplayError { zero: share * either_way(zero, random), gain: share * either_way(of.display_gain, random) };
        (id, error)
    };
    vehicle.instruments().map(&mut error).collect()
}

/// Whether an instrument shows amperes.
pub(super) fn shows_amps(vehicle: &Vehicle, id: PartId) -> bool {
    vehicle.part(id).kind.instrument().is_some_and(|own| own.shows_amps())
}

/// What a meter of a build is really like.
pub(super) fn sheet(of: &Workshop, kind: MeterKind) -> Meter {
    match kind {
        MeterKind::Cheap => of.cheap_meter,
        MeterKind::Good => of.good_meter,
    }
}
