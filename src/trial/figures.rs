//! Shares, means and scores with their 95 % confidence intervals.

use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// From: 97.5th percentile of the standard normal, by any table of it.
const Z: f64 = 1.959_963_985;
/// From: the usual 95 % of an interval. What it leaves at either end.
const TAIL: f64 = 0.025;
/// Format: share of values that their 95th percentile is not below.
const LATE: f64 = 0.95;
/// Numerical: samples drawn for a bootstrap interval; more move its ends by less
/// than they differ between seeds.
const RESAMPLES: usize = 400;
/// Layout: bins of probability of the calibration error.
const BINS: usize = 20;

/// So many of so many, with Wilson's interval.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Share {
    /// Hits.
    pub hits: usize,
    /// Trials.
    pub of: usize,
}

impl Share {
    /// Counts the hits.
    pub fn count(of: impl IntoIterator<Item = bool>) -> Self {
        of.into_iter()
            .fold(Self { hits: 0, of: 0 }, |share, hit| Self { hits: share.hits + usize::from(hit), of: share.of + 1 })
    }

    /// The share; nothing of nothing is nothing.
    pub fn value(&self) -> f64 {
        if self.of == 0 { 0.0 } else { self.hits as f64 / self.of as f64 }
    }

    /// Interval of Wilson 1927 without continuity correction.
    pub fn interval(&self) -> (f64, f64) {
        wilson(self.value(), self.of)
    }
}

/// Wilson's interval of a share of so many trials, 1927, without continuity
/// correction.
pub fn wilson(share: f64, trials: usize) -> (f64, f64) {
    if trials == 0 {
        return (0.0, 1.0);
    }
    let (n, p) = (trials as f64, share);
    let middle = (p + Z * Z / (2.0 * n)) / (1.0 + Z * Z / n);
    // From: Wilson 1927.
    let half = Z / (1.0 + Z * Z / n) * (p * (1.0 - p) / n + Z * Z / (4.0 * n * n)).sqrt();
    ((middle - half).max(0.0), (middle + half).min(1.0))
}

/// A mean with its normal interval, and the 95th percentile of the values.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mean {
    /// The mean.
    pub mean: f64,
    /// Half the width of its interval.
    pub half: f64,
    /// 95th percentile, the nearest value at or above it.
    pub percentile_95: f64,
    /// How many values.
    pub of: usize,
}

impl Mean {
    /// Of some values; all zero of none.
    pub fn of(values: &[f64]) -> Self {
        let n = values.len();
        if n == 0 {
            return Self { mean: 0.0, half: 0.0, percentile_95: 0.0, of: 0 };
        }
        let mean = values.iter().sum::<f64>() / n as f64;
        let squares: f64 = values.iter().map(|value| (value - mean).powi(2)).sum();
        let deviation = if n > 1 { (squares / (n - 1) as f64).sqrt() } else { 0.0 };
        let mut sorted = values.to_vec();
        sorted.sort_by(f64::total_cmp);
        let rank = (LATE * n as f64).ceil() as usize;
        Self { mean, half: Z * deviation / (n as f64).sqrt(), percentile_95: sorted[rank.max(1) - 1], of: n }
    }

    /// Its interval.
    pub fn interval(&self) -> (f64, f64) {
        (self.mean - self.half, self.mean + self.half)
    }
}

/// Ratio of two means over the same cases, and its bootstrap interval (Efron
/// 1979, percentile). None without cases.
pub fn mean_ratio(pairs: &[(f64, f64)]) -> Option<(f64, (f64, f64))> {
    let ratio = |pairs: &mut dyn Iterator<Item = &(f64, f64)>| {
        let (over, under) = pairs.fold((0.0, 0.0), |(a, b), (c, d)| (a + c, b + d));
        over / under
    };
    let value = ratio(&mut pairs.iter());
    if !value.is_finite() {
        return None;
    }
    Some((value, bootstrapped(pairs, ratio)))
}

/// Bootstrap interval of a figure of some cases (Efron 1979, percentile).
pub fn bootstrapped<T>(cases: &[T], figure: impl Fn(&mut dyn Iterator<Item = &T>) -> f64) -> (f64, f64) {
    let mut random = ChaCha8Rng::seed_from_u64(cases.len() as u64);
    let mut samples: Vec<f64> = (0..RESAMPLES)
        .map(|_| figure(&mut (0..cases.len()).map(|_| &cases[random.random_range(0..cases.len())])))
        .collect();
    samples.sort_by(f64::total_cmp);
    let at = |share: f64| samples[((RESAMPLES - 1) as f64 * share).round() as usize];
    (at(TAIL), at(1.0 - TAIL))
}

/// Expected calibration error: mean distance between what was announced and
/// what held, over bins of what was announced (Naeini, Cooper and Hauskrecht 2015).
pub fn calibration_error(announced: &[(f64, bool)]) -> f64 {
    let mut bins = [(0.0, 0.0, 0usize); BINS];
    for &(probability, held) in announced {
        let bin = ((probability * BINS as f64) as usize).min(BINS - 1);
        bins[bin].0 += probability;
        bins[bin].1 += f64::from(u8::from(held));
        bins[bin].2 += 1;
    }
    bins.iter().map(|(said, held, _)| (said - held).abs()).sum::<f64>() / announced.len().max(1) as f64
}

/// Utility of naming `named` of `parts` parts, with so many sound ones named
/// and so many faulty ones not (the diagnosis competitions' measure; Feldman
/// and others 2010; from memory): 1 − n(N+1)/(f(n+1)) − n̄(N̄+1)/(f(n̄+1)).
pub fn utility(parts: usize, named: usize, wrongly: usize, missed: usize) -> f64 {
    let [f, all, n, m] = [parts, named, wrongly, missed].map(|count| count as f64);
    1.0 - n * (all + 1.0) / (f * (n + 1.0)) - m * (f - all + 1.0) / (f * (m + 1.0))
}
