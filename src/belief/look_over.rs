//! A look over a vehicle of which nobody complains: which readings are not those of a
//! sound one, judged by soundness alone, before any fault is weighed.
//!
//! A resistance lies about the drawn one as a ratio, so a drop may be several times what
//! is drawn and still be of a sound part, but is never gone. A reading that is d above
//! what was foretold, m with deviation s, is as many deviations off as the least of
//! these: d / s, and ln(1 + d / cᵢ) / sᵢ for each part i of spread sᵢ with a share cᵢ in
//! it. One that is below is |ln(1 + d / m)| m / s off. What is known from the handover is
//! in m and s.

use super::evidence::Reading;
use super::gaussian::Joint;
use super::normal::Forecast;
use super::outlier::Taken;
use crate::predict::{Prediction, Uncertain, Uncertainties};
use crate::tables::belief::Weighing;

/// Numerical: deviations of its own noise within which a display is still.
const NOISE: f64 = 2.0;
/// Numerical: relative spread below which a reading is far from nought.
const RELATIVE: f64 = 0.1;

/// What came of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum LookOver {
    /// Every reading is one of a sound vehicle.
    Well,
    /// This one is not, and is to be read again.
    ReadAgain {
        reading: usize,
        /// What it should have shown.
        expected: f64,
    },
    /// Something is amiss: another meter says so too, or more readings than anybody
    /// misreads.
    Amiss,
}

/// What readings look like, and which of them are not those of a sound vehicle.
pub(super) fn look_over(
    figures: &Weighing,
    joint: &Joint,
    (readings, taken): (&[&Reading], &[Taken]),
    theta: &Uncertainties,
) -> (LookOver, Vec<usize>) {
    let is_twin = |one: &Reading, other: &Reading| one.probe == other.probe && one.state == other.state;
    let rest = |at: usize| joint.by_the_rest(at, taken[at].value);
    if readings.iter().any(|reading| reading.probe.instrument().is_some()) {
        // What fixed instruments show is weighed as a whole: one speaks for another.
        let is_as_expected = |at: usize| {
            let Forecast { mean, variance } = rest(at);
            !joint.is_outlier(at) && (taken[at].value - mean).abs() < figures.as_expected * variance.sqrt()
        };
        return match (0..readings.len()).all(is_as_expected) {
            true => (LookOver::Well, Vec::new()),
            false => (LookOver::Amiss, (0..readings.len()).collect()),
        };
    }
    let off = |at: usize| deviations(taken[at].value, rest(at), &joint.predictions[at], theta);
    let offs: Vec<f64> = (0..readings.len()).map(off).collect();
    let is_amiss = |at: usize| offs[at] > figures.amiss;
    let by_another = |at: usize| {
        let others = (0..readings.len()).filter(move |&other| readings[other].meter != readings[at].meter);
        others.filter(move |&other| is_twin(readings[at], readings[other]))
    };
    // What another meter does not find was a misread.
    let is_refuted = |at: usize| by_another(at).any(|other| !is_amiss(other));
    let amiss: Vec<usize> = (0..readings.len()).filter(|&at| is_amiss(at) && !is_refuted(at)).collect();
    let Some(&worst) = amiss.iter().max_by(|a, b| offs[**a].total_cmp(&offs[**b])) else {
        return (LookOver::Well, amiss);
    };
    let is_confirmed = |&at: &usize| by_another(at).next().is_some();
    let is_first = |at: &&usize| !amiss.iter().any(|other| other < at && is_twin(readings[**at], readings[*other]));
    let look = match amiss.iter().any(is_confirmed) || amiss.iter().filter(is_first).count() >= figures.amiss_together {
        true => LookOver::Amiss,
        false => LookOver::ReadAgain { reading: worst, expected: rest(worst).mean },
    };
    (look, amiss)
}

/// How many deviations a value is off, by whatever explains it best in a sound vehicle.
fn deviations(value: f64, rest: Forecast, shown: &Prediction, theta: &Uncertainties) -> f64 {
    if shown.floating {
        return 0.0;
    }
    let (mean, own, deviation) = (shown.mean, shown.own_variance.sqrt(), shown.variance().sqrt());
    let plain = (value - mean).abs() / deviation;
    // Within the noise of its display nothing is off.
    let off = (value - mean).signum() * ((value - mean).abs() - NOISE * own).max(0.0);
    let ratio = |whole: f64, spread: f64| match 1.0 + off / whole {
        left if left > 0.0 => left.ln().abs() / spread,
        _ => f64::INFINITY,
    };
    let parts: Vec<(f64, f64)> = (shown.loadings.iter())
        .filter_map(|(at, loading)| match theta.entries().get(at) {
            Some((Uncertain::Resistance(_), spread)) if *spread > 0.0 => Some((loading, *spread)),
            _ => None,
        })
        .collect();
    let widest = parts.iter().map(|(_, spread)| *spread).fold(0.0, f64::max);
    let relative = deviation / mean.abs();
    if relative < RELATIVE {
        // Far from nought, ratios and differences are one, and the rest tells more.
        return (value - rest.mean).abs() / rest.variance.sqrt();
    }
    if off * mean < 0.0 {
        // Where drops go against each other what is left of them may be anything.
        return if relative < widest { ratio(mean, relative) } else { plain };
    }
    let of_part = |(loading, spread): (f64, f64)| ratio(off.signum() * (loading / spread).abs(), spread);
    parts.into_iter().map(of_part).fold(plain, f64::min)
}
