//! Proof of an instrument that was renewed or set: a meter where it measures, then
//! it itself, which must show the same.

use super::check::{Check, What};
use crate::case::{Case, CaseError};
use crate::plan::Range;
use crate::predict::{Hypothesis, Prediction, Probe};
use crate::vehicle::{PartId, State};

/// The two readings; none where the part is no instrument.
pub fn checks(case: &Case, repaired: PartId, state: &State) -> Result<Vec<Check>, CaseError> {
    let Some(fixed) = Probe::fixed(case.vehicle(), repaired) else { return Ok(Vec::new()) };
    let model = case.predictor().in_state(state)?;
    let view = model.view(case.vehicle(), &Hypothesis::Sound);
    let theta = case.predictor().uncertainties();
    let shown = |probe: Probe| view.shown(probe, case.standing().meter, 0.0, theta);
    let (by_hand, display) = (shown(fixed.by_hand()), shown(fixed));
    let instruments = &case.engine().tables().instruments;
    let mut readings = case.standing().evidence.readings.iter().rev();
    let read = readings.find(|reading| reading.probe == fixed.by_hand() && reading.state == *state);
    let reach = case.engine().tables().proof.band;
    let beside = match read {
        Some(reading) => given(&display, &by_hand, reading.on_scale(instruments).0),
        None => (display.mean, display.variance()),
    };
    let check = |probe: Probe, (mean, variance): (f64, f64)| {
        let off = reach * variance.sqrt();
        let band = Range { scale: probe.scale(), low: mean - off, high: mean + off };
        let what = What::Read { probe, band, limit: None };
        Check::open(state.clone(), what, vec![repaired])
    };
    Ok(vec![check(fixed.by_hand(), (by_hand.mean, by_hand.variance())), check(fixed, beside)])
}

/// Mean and variance of one normal variable given another.
fn given(next: &Prediction, known: &Prediction, value: f64) -> (f64, f64) {
    let share = next.covariance(known) / known.variance();
    (next.mean + share * (value - known.mean), next.variance() - share * next.covariance(known))
}
