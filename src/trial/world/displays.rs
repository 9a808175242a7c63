//! What an instrument shows that the vehicle carries: off a little, each in its
//! own way, or wrong.

use super::as_is::{Condition, World};
use super::chance::{between, either_way};
use super::instruments::{DisplayError, shows_amps};
use crate::fault::{FailureMode, Fault};
use crate::meter::MeterKind;
use crate::network::SolveError;
use crate::predict::Burden;
use crate::quantity::{Amps, Measured, TWELVE_VOLTS, Typed, Volts};
use crate::tables::world::Workshop;
use crate::vehicle::{PartId, Shows, State, Vehicle};
use rand::{Rng, RngExt};

/// By how much an instrument is wrong: what it is stuck at, what it shows too
/// much, its gain too much, or what it drifts by from reading to reading.
pub(super) fn misshown(of: &Workshop, vehicle: &Vehicle, fault: Fault, random: &mut impl Rng) -> f64 {
    let amps = shows_amps(vehicle, fault.part);
    let full = if amps { of.display_amps.0 } else { vehicle.nominal.0 };
    let sign = if random.random_bool(0.5) { 1.0 } else { -1.0 };
    match fault.mode {
        FailureMode::ReadsOff => sign * full * between(of.display_off, random),
        FailureMode::WrongScale => sign * between(of.display_scale, random),
        FailureMode::Drifts if amps => sign * between(of.display_drift, random),
        FailureMode::Drifts => sign * vehicle.nominal.0 / TWELVE_VOLTS.0 * between(of.display_drift_volts, random),
        _ if random.random_bool(of.display_blank) => 0.0,
        _ if amps => either_way(full, random),
        _ => full * between(of.display_frozen, random),
    }
}

impl World {
    /// Whether somebody with a meter beside it would see that an instrument is
    /// wrong: by twice what a sound one may be off.
    ///
    /// # Errors
    /// [`SolveError`] if the state has no solution.
    pub fn shows_wrong(&self, state: &State, (fault, size): (Fault, f64)) -> Result<bool, SolveError> {
        let of = &self.tables.world;
        let solved = self.solved(state, Condition::Faulty)?;
        let there = match self.vehicle.shown_by(fault.part) {
            Some(Shows::Volts { red, black }) => solved.volts(red.index()) - solved.volts(black.index()),
            Some(Shows::Amps { part }) => solved.current(part.index()).0,
            None => return Ok(false),
        };
        let off = match fault.mode {
            FailureMode::ReadsOff => size,
            FailureMode::WrongScale => size * there,
            FailureMode::Stuck => size - there,
            _ => return Ok(true),
        };
        let sound = of.display_zero[usize::from(shows_amps(&self.vehicle, fault.part))] + of.display_gain * there.abs();
        Ok(off.abs() > 2.0 * sound)
    }

    /// What an instrument of the vehicle shows.
    pub(super) fn displayed(
        &self,
        state: &State,
        (instrument, shows): (PartId, Shows),
        random: &mut impl Rng,
    ) -> Result<Measured, SolveError> {
        let there = match shows {
            Shows::Volts { red, black } => self.volts(state, red, black, Burden::Bare, MeterKind::Good, random)?.0,
            Shows::Amps { part } => self.solved(state, Condition::Faulty)?.current(part.index()).0,
        };
        let own = self.displays.iter().find(|(id, _)| *id == instrument).map(|(_, error)| *error);
        let mut shown = own.map_or(there, |DisplayError { zero, gain }| there * (1.0 + gain) + zero);
        for (fault, size) in self.trouble.faults().filter(|(fault, _)| fault.part == instrument) {
            match fault.mode {
                FailureMode::Stuck => shown = size,
                FailureMode::ReadsOff => shown += size,
                FailureMode::WrongScale => shown *= 1.0 + size,
                FailureMode::Drifts => shown += size * self.hand.taken() as f64,
                _ => {}
            }
        }
        let step = self.vehicle.part(instrument).kind.instrument().map_or(1.0, |own| own.resolution);
        let shown = (shown / step).round() * step;
        Ok(match shows {
            Shows::Volts { .. } => Measured::Volts(Typed { value: Volts(shown), step: Volts(step) }),
            Shows::Amps { .. } => Measured::Amps(Typed { value: Amps(shown), step: Amps(step) }),
        })
    }
}
