//! Probabilities and log-weights: two kinds of number that look alike and may
//! not be mixed up. A weight is a probability but for a factor that all share.

use std::cmp::Ordering;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Mul, Sub};

/// ln of a weight. Evidence multiplies weights, so it adds here.
#[derive(Debug, Clone, Copy, Default, PartialEq, PartialOrd)]
pub struct LogWeight(f64);

impl LogWeight {
    /// Of what is certain, and of what says nothing.
    pub const ONE: Self = Self(0.0);
    /// Of what cannot be.
    pub const NEVER: Self = Self(f64::NEG_INFINITY);

    /// Of a weight, such as a chance or a density.
    pub fn of(weight: f64) -> Self {
        Self(weight.ln())
    }

    /// From its logarithm.
    pub const fn from_ln(ln: f64) -> Self {
        Self(ln)
    }

    /// The logarithm.
    pub const fn ln(self) -> f64 {
        self.0
    }

    /// The weight.
    pub fn weight(self) -> f64 {
        self.0.exp()
    }

    /// The heavier.
    pub fn max(self, other: Self) -> Self {
        Self(self.0.max(other.0))
    }

    /// The lighter.
    pub fn min(self, other: Self) -> Self {
        Self(self.0.min(other.0))
    }

    /// Lightest first; `NaN` has a place too, so that sorting never panics.
    pub fn total_cmp(&self, other: &Self) -> Ordering {
        self.0.total_cmp(&other.0)
    }
}

impl Add for LogWeight {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl AddAssign for LogWeight {
    fn add_assign(&mut self, other: Self) {
        self.0 += other.0;
    }
}

impl Sub for LogWeight {
    type Output = Self;

    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

/// So many times over: a power of the weight.
impl Mul<f64> for LogWeight {
    type Output = Self;

    fn mul(self, times: f64) -> Self {
        Self(self.0 * times)
    }
}

impl Sum for LogWeight {
    fn sum<I: Iterator<Item = Self>>(all: I) -> Self {
        Self(all.map(|one| one.0).sum())
    }
}

/// A probability: from nought to one.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
pub struct Probability(f64);

impl Probability {
    /// Of what cannot be.
    pub const ZERO: Self = Self(0.0);

    /// From a share; what rounding has led a hair outside comes back in.
    pub fn of(share: f64) -> Self {
        Self(share.clamp(0.0, 1.0))
    }

    /// From nought to one.
    pub const fn value(self) -> f64 {
        self.0
    }

    /// Least first.
    pub fn total_cmp(&self, other: &Self) -> Ordering {
        self.0.total_cmp(&other.0)
    }
}

impl PartialEq<f64> for Probability {
    fn eq(&self, share: &f64) -> bool {
        self.0 == *share
    }
}

/// Thresholds are plain shares.
impl PartialOrd<f64> for Probability {
    fn partial_cmp(&self, share: &f64) -> Option<Ordering> {
        self.0.partial_cmp(share)
    }
}

/// What several hold together is a plain share.
impl AddAssign<Probability> for f64 {
    fn add_assign(&mut self, other: Probability) {
        *self += other.0;
    }
}

impl Sum<Probability> for f64 {
    fn sum<I: Iterator<Item = Probability>>(all: I) -> Self {
        all.map(|one| one.0).sum()
    }
}
