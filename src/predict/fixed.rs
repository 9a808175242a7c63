//! What an instrument shows that the vehicle carries.
//!
//! It shows y = (1 + g) x + o of what is there, x, with a gain g and an offset o of
//! its own that all its readings share. One at fault shows x + d with d ~ N(0, σ²)
//! (off), (1 + d) x (scale), x + d m at its m-th reading (drifts), or c + d whatever
//! x is (stuck): d is the size of its fault, and of either sign.

use super::loadings::Loadings;
use super::prediction::{Prediction, SIZES};
use super::probe::Scale;
use super::uncertain::Uncertain;
use super::uncertainties::Uncertainties;
use super::view::View;
use crate::fault::FailureMode;
use crate::meter::{MeterKind, rounding_variance};
use crate::vehicle::{PartId, Shows};
use std::rc::Rc;

/// Numerical: digits within which a display that shows nothing shows nought.
const NOUGHT_WITHIN: f64 = 2.0;

impl View<'_> {
    /// What an instrument shows, read to `step` at least.
    pub(super) fn fixed(&self, instrument: PartId, shows: Shows, step: f64, theta: &Uncertainties) -> Prediction {
        let tables = self.tables();
        let Some(own) = self.vehicle().part(instrument).kind.instrument() else {
            return Prediction::alone(Scale::Volts, 0.0, tables.instruments.floating.0);
        };
        let step = step.max(own.resolution);
        let mut shown = match shows {
            Shows::Volts { red, black } => self.voltage(red, black, MeterKind::Good, step, theta),
            Shows::Amps { part } => self.current_itself(part, step, theta),
        };
        let loadings = Rc::make_mut(&mut shown.loadings);
        theta.without_meters(loadings);
        let there = shown.mean;
        for (at, quantity, deviation) in theta.of_instrument(instrument) {
            let moves = if matches!(quantity, Uncertain::InstrumentGain(_)) { there } else { 1.0 };
            loadings.add(at, deviation * moves);
        }
        let figures = tables.instruments.fixed(own.shows_amps(), self.vehicle().nominal);
        let faults = self.hypothesis().faults().enumerate();
        for (index, (fault, size)) in faults.filter(|(_, (fault, _))| fault.part == instrument) {
            match fault.mode {
                FailureMode::ReadsOff => shown.sizes[index] = figures.off,
                FailureMode::WrongScale => shown.sizes[index] = figures.scale * there,
                FailureMode::Drifts => shown.sizes[index] = figures.drift * theta.moment() as f64,
                FailureMode::Stuck => {
                    let usual = size.map_or(1.0, |size| size.value);
                    let at = if own.shows_amps() { 0.0 } else { tables.belief.misread_supply };
                    shown.mean = usual * at * self.vehicle().nominal.0;
                    shown.loadings = Loadings::default().into();
                    shown.sizes = [0.0; SIZES];
                    shown.sizes[index] = (usual * figures.stuck).max(NOUGHT_WITHIN * step);
                    shown.own_variance = rounding_variance(step);
                    shown.floating = false;
                }
                _ => {}
            }
        }
        shown
    }
}
