//! Wrong drawings that are no wrong drawings: a path to chassis or past a switch
//! reads like a drawn fault at every point, and then is that fault.

use super::bench::Bench;
use super::trouble::Trouble;
use super::world::range;
use crate::fault::{FailureMode, Size};
use crate::network::SolveError;
use crate::predict::Hypothesis;
use crate::vehicle::{PointId, State};

/// Numerical: sizes tried for a drawn fault over all that it can have; between
/// two of them a reading moves by less than tells one thing from another.
const TRIED: usize = 40;

impl Bench {
    /// Whether a wrong drawing reads like a drawn fault at every point.
    pub(super) fn reads_as_drawn(&self, trouble: Trouble, state: &State) -> Result<bool, SolveError> {
        let Trouble::Undrawn { from, to, ohms } = trouble else { return Ok(false) };
        let model = self.engine.predictor().in_state(state)?;
        let volts = |hypothesis: &Hypothesis| -> Vec<f64> {
            let view = model.view(&self.vehicle, hypothesis);
            (0..self.vehicle.points.len()).map(|point| view.volts(PointId::new(point), self.vehicle.black)).collect()
        };
        let size = Size { value: ohms.0, width: 0.0, share: 1.0 };
        let real = volts(&Hypothesis::UndrawnPath { from, to, size, opened: None });
        let alike = |hypothesis: &Hypothesis| {
            let drawn = volts(hypothesis);
            real.iter().zip(&drawn).all(|(a, b)| (a - b).abs() < self.tables.trial.telling * self.vehicle.nominal.0)
        };
        let drawn = self.catalogue.iter().flat_map(|likely| {
            let fault = likely.fault;
            self.sizes_tried(fault.mode).into_iter().map(move |size| Hypothesis::Faulty { fault, size })
        });
        Ok(drawn.into_iter().any(|hypothesis| alike(&hypothesis)))
    }

    /// Sizes throughout the range of a way to fail.
    fn sizes_tried(&self, mode: FailureMode) -> Vec<Option<Size>> {
        let Some(range) = range(&self.tables.world, mode) else { return vec![None] };
        let at = |step: usize| {
            let share = step as f64 / (TRIED - 1) as f64;
            let value = range.least * (range.most / range.least).powf(share);
            Some(Size { value, width: 0.0, share: 1.0 })
        };
        (0..TRIED).map(at).collect()
    }
}
