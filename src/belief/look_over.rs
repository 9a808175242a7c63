//! A look over a vehicle of which nobody complains: which readings are not those of a
//! sound one, judged by soundness alone, before any fault is weighed.
//!
//! A resistance lies about the drawn one as a ratio, so a drop may be several times what
//! is drawn and still be of a sound part, but is never gone. A reading that is d from
//! what was foretold, m with deviation s, is as many deviations off as the least of
//! these: |d| / s; |ln(1 + d / m)| / σ, σ² = ln(1 + s² / m²), as if all of it lay about m
//! as a ratio; and, where there is more than foretold, ln(1 + |d| / cᵢ) / sᵢ for each part
//! i of spread sᵢ with a share cᵢ in it, as if that part alone were off. What is known
//! from the handover is in m and s.

use super::evidence::Reading;
use super::gaussian::Joint;
use super::normal::Forecast;
use super::outlier::Taken;
use crate::predict::{Prediction, Uncertain, Uncertainties};
use crate::tables::belief::Weighing;

/// Numerical: deviations of its own noise within which a display is still.
const NOISE: f64 = 2.0;

/// From: common practice, no source. Times that a reading is found again with the
/// meter that took it before it is believed.
const AGREED: usize = 2;

/// What came of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum LookOver {
    /// Every reading may be one of a sound vehicle.
    Well,
    /// This one hardly is, and is to be read again.
    ReadAgain {
        /// Which.
        reading: usize,
        /// What it should have shown.
        expected: f64,
    },
    /// Something is amiss: another meter says so too, or the same one twice more, or
    /// more readings than anybody misreads.
    Amiss,
}

/// What readings look like, and which of them are not those of a sound vehicle.
pub(super) fn look_over(
    figures: &Weighing,
    joint: &Joint,
    (readings, taken): (&[&Reading], &[Taken]),
    theta: &Uncertainties,
) -> (LookOver, Vec<usize>) {
    let all = 0..readings.len();
    let rest = |at: usize| joint.by_the_rest(at, taken[at].value);
    if readings.iter().any(|reading| reading.probe.instrument().is_some()) {
        // What fixed instruments show is weighed as a whole: one speaks for another.
        let is_as_expected = |at: usize| {
            let Forecast { mean, variance } = rest(at);
            !joint.is_misread(at) && (taken[at].value - mean).abs() < figures.as_expected * variance.sqrt()
        };
        return match all.clone().all(is_as_expected) {
            true => (LookOver::Well, Vec::new()),
            false => (LookOver::Amiss, all.collect()),
        };
    }
    let forecast =
        |at: usize| Forecast { mean: joint.predictions[at].mean, variance: joint.predictions[at].variance() };
    let off = |at: usize, by: Forecast| deviations(taken[at].value, by, &joint.predictions[at], theta);
    let offs: Vec<f64> = all.clone().map(|at| off(at, forecast(at))).collect();
    let others_of = |at: usize| {
        let others = all.clone().filter(move |&other| readings[other].meter != readings[at].meter);
        others.filter(move |&other| {
            readings[at].probe == readings[other].probe && readings[at].state == readings[other].state
        })
    };
    let is_over = |at: usize| offs[at] > figures.amiss;
    // What another meter does not find was a misread.
    let is_refuted = |at: usize| is_over(at) && others_of(at).any(|other| !is_over(other));
    let amiss: Vec<usize> = all.clone().filter(|&at| is_over(at) && !is_refuted(at)).collect();
    let by_one_meter = amiss.iter().filter(|&&at| !others_of(at).any(|other| other < at));
    // Who has no other meter reads once more.
    let is_confirmed = |&at: &usize| others_of(at).next().is_some() || readings[at].agreed >= AGREED;
    if by_one_meter.count() >= figures.amiss_together || amiss.iter().any(is_confirmed) {
        return (LookOver::Amiss, amiss);
    }
    // What lies between is taken for sound once it has shown the same again.
    let is_doubtful = |at: usize| {
        let is_unlike_the_rest = || off(at, rest(at)) > figures.amiss;
        is_over(at) || readings[at].agreed == 0 && (offs[at] > figures.doubtful || is_unlike_the_rest())
    };
    let doubtful = all.clone().filter(|&at| is_doubtful(at) && others_of(at).next().is_none());
    let unlike = |at: usize| offs[at].max(off(at, rest(at)));
    match doubtful.max_by(|&a, &b| unlike(a).total_cmp(&unlike(b))) {
        Some(reading) => (LookOver::ReadAgain { reading, expected: rest(reading).mean }, amiss),
        None => (LookOver::Well, amiss),
    }
}

/// How many deviations a value is off, by whatever explains it best in a sound vehicle.
fn deviations(value: f64, foretold: Forecast, shown: &Prediction, theta: &Uncertainties) -> f64 {
    let (mean, deviation) = (foretold.mean, foretold.variance.sqrt());
    let plain = (value - mean).abs() / deviation;
    // What hangs in the air shows some stray volts, and never a supply's.
    if shown.floating {
        return plain;
    }
    // Within the noise of its display nothing is off.
    let off = (value - mean).signum() * ((value - mean).abs() - NOISE * shown.own_variance.sqrt()).max(0.0);
    let ratio = |whole: f64, spread: f64| match 1.0 + off / whole {
        left if left > 0.0 => left.ln().abs() / spread,
        _ => f64::INFINITY,
    };
    let relative = deviation / mean;
    // Where drops go against each other what is left of them is no ratio.
    let as_ratio = if relative.abs() < 1.0 { ratio(mean, relative.powi(2).ln_1p().sqrt()) } else { f64::INFINITY };
    let least = plain.min(as_ratio);
    if off * mean <= 0.0 {
        return least;
    }
    let of_part = |(at, loading): (usize, f64)| match theta.entries().get(at) {
        Some((Uncertain::Resistance(_), spread)) if *spread > 0.0 && loading != 0.0 => {
            ratio(off.signum() * (loading / spread).abs(), *spread)
        }
        _ => f64::INFINITY,
    };
    shown.loadings.iter().map(of_part).fold(least, f64::min)
}
