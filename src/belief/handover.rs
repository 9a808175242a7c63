//! Conditioning on readings of the day of handover, when all was well. They are
//! further readings of the same parts; the supplies and the meter of that day are
//! other ones, and are integrated out.
//!
//! The parts' deviations have mean JᵀS⁻¹(y − μ) and covariance I − JᵀS⁻¹J, with J the
//! loadings and S the covariance of the readings. A reading that is hardly one of a
//! sound vehicle tells nothing. How what is known serves later readings stands in
//! [`PartKnowledge`].

use super::evidence::{Reading, Symptom};
use super::gaussian::Joint;
use super::normal::Forecast;
use super::outlier::Taken;
use crate::meter::MeterKind;
use crate::network::SolveError;
use crate::predict::{Hypothesis, PartKnowledge, Prediction, Predictor, Probe, StateModel, Uncertain, Uncertainties};
use crate::tables::instruments::Instruments;
use crate::vehicle::State;
use std::rc::Rc;

/// What was read at handover and what it tells.
#[derive(Debug, Clone)]
pub struct Handover {
    readings: Vec<Reading>,
    theta: Uncertainties,
    joint: Joint,
    known: PartKnowledge,
}

impl Handover {
    /// From readings of a vehicle in order.
    ///
    /// # Errors
    /// [`SolveError`] if a state has no solution.
    pub fn of(predictor: &Predictor, readings: Vec<Reading>) -> Result<Self, SolveError> {
        let (vehicle, tables) = (predictor.vehicle(), predictor.tables());
        let models: Vec<Rc<StateModel>> =
            readings.iter().map(|reading| predictor.in_state(&reading.state)).collect::<Result<_, _>>()?;
        let theta = predictor.uncertainties().clone();
        let shown = readings.iter().zip(&models).map(|(reading, model)| {
            let step = reading.on_scale(&tables.instruments).1;
            let shown = model.view(vehicle, &Hypothesis::Sound).shown(reading.probe, reading.meter, step, &theta);
            Rc::new(Prediction { moment: reading.moment, ..shown })
        });
        let joint = Joint::of(shown, &Taken::of(predictor, readings.iter()));
        let quantities: Vec<Uncertain> = theta.entries().iter().map(|(quantity, _)| *quantity).collect();
        let (mean, gone) = joint.told(quantities.len());
        let known = PartKnowledge::of(&tables.spreads, &quantities, &mean, &gone);
        Ok(Self { readings, theta, joint, known })
    }

    /// What it tells of the parts.
    pub fn known(&self) -> &PartKnowledge {
        &self.known
    }

    /// The readings.
    pub fn readings(&self) -> &[Reading] {
        &self.readings
    }

    /// What was read for that in that state, if it was.
    pub fn read(&self, instruments: &Instruments, state: &State, probe: Probe) -> Option<f64> {
        let is_it = |reading: &&Reading| reading.symptom == Symptom::Present && reading.state == *state;
        let mut found = self.readings.iter().rev().filter(is_it);
        found.find(|reading| reading.probe == probe).map(|reading| reading.on_scale(instruments).0)
    }

    /// What the readings of that day say that it read for that in that state.
    ///
    /// # Errors
    /// [`SolveError`] if the state has no solution.
    pub fn would_have_read(
        &self,
        predictor: &Predictor,
        state: &State,
        probe: Probe,
        meter: MeterKind,
    ) -> Result<Forecast, SolveError> {
        let model = predictor.in_state(state)?;
        let next = model.view(predictor.vehicle(), &Hypothesis::Sound).shown(probe, meter, 0.0, &self.theta);
        Ok(self.joint.forecast(&next))
    }
}
