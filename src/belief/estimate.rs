//! Estimates from a mixture of normal distributions.

use super::normal::normal_below;

/// Low, middle and high estimate: 5th, 50th and 95th percentile.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate<T> {
    /// 5th percentile.
    pub low: T,
    /// Median.
    pub middle: T,
    /// 95th percentile.
    pub high: T,
}

impl<T> Estimate<T> {
    /// From the quantile of each share.
    pub(super) fn of(at: impl Fn(f64) -> T) -> Self {
        let [low, middle, high] = PERCENTILES.map(at);
        Self { low, middle, high }
    }
}

/// Format: shares of belief below the ends and the middle of an [`Estimate`].
const PERCENTILES: [f64; 3] = [0.05, 0.5, 0.95];
/// Numerical: deviations within which a quantile is looked for.
const TAILS: f64 = 6.0;
/// Quantile of a mixture of normals (mean, deviation, weight), by bisection.
pub(super) fn quantile(pieces: &[(f64, f64, f64)], share: f64) -> f64 {
    let total: f64 = pieces.iter().map(|piece| piece.2).sum();
    let below = |x: f64| -> f64 {
        pieces.iter().map(|&(mean, deviation, weight)| weight * normal_below((x - mean) / deviation)).sum::<f64>()
            / total
    };
    let reach = |sign: f64| pieces.iter().map(move |piece| piece.0 + sign * TAILS * piece.1);
    let mut low = reach(-1.0).fold(f64::INFINITY, f64::min);
    let mut high = reach(1.0).fold(f64::NEG_INFINITY, f64::max);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if below(middle) < share { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}
