//! A reading before it is taken: a normal variable on the scale of its probe.
//!
//! Reading i is y_i = μ_i + Σ_j a_ij θ_j + ε_i with θ_j ~ N(0, 1) shared by all
//! readings and ε_i ~ N(0, own variance) its own, so that
//! cov(y_i, y_k) = Σ_j a_ij a_kj (i ≠ k): all sag when the battery is low.
//!
//! A supply drifts as a random walk from reading to reading, of variance d² a
//! step in units of that of its voltage. Two readings share of it what had gone
//! by at the earlier one: cov gains d² min(m_i, m_k) Σ_supplies a_ij a_kj, m the
//! number of readings taken before.

use super::probe::Scale;
use super::uncertainties::Uncertainties;

/// A reading before it is taken.
#[derive(Debug, Clone, PartialEq)]
pub struct Prediction {
    /// The scale that its numbers are on.
    pub scale: Scale,
    /// Expected value.
    pub mean: f64,
    /// Whether a probe is on a point that hangs in the air.
    pub floating: bool,
    /// Standard deviation from each uncertain quantity, with sign, in
    /// [`Uncertainties`] order; last the sizes of the faults, of which there may be two.
    pub loadings: Vec<f64>,
    /// Variance of its own.
    pub own_variance: f64,
    /// How many of the loadings, from the first, are those of supplies.
    pub supplies: usize,
    /// Readings taken before it.
    pub moment: usize,
    /// Variance of what a supply drifts from one reading to the next, as a share
    /// of that of its voltage.
    pub drift: f64,
}

/// Format: loadings that belong to sizes of faults, one for each of two.
pub const SIZES: usize = 2;

impl Prediction {
    /// Variance of the reading alone.
    pub fn variance(&self) -> f64 {
        self.own_variance + self.covariance(self)
    }

    /// Covariance with another reading.
    pub fn covariance(&self, other: &Self) -> f64 {
        let shared = |count: usize| dot(&self.loadings[..count], &other.loadings[..count]);
        let drifted = self.drift * self.moment.min(other.moment) as f64;
        shared(self.loadings.len()) + drifted * shared(self.supplies)
    }

    /// Loading of the size of the first fault.
    pub fn size_loading(&self) -> f64 {
        self.loadings[self.loadings.len() - SIZES]
    }

    /// The same of a fault that is the second of two.
    pub fn of_second(&self) -> Self {
        let mut second = self.clone();
        let first = second.loadings.len() - SIZES;
        second.loadings.swap(first, first + 1);
        second
    }

    pub(super) fn alone(scale: Scale, mean: f64, deviation: f64, theta: &Uncertainties) -> Self {
        let loadings = vec![0.0; theta.entries().len() + SIZES];
        Self {
            scale,
            mean,
            floating: false,
            loadings,
            own_variance: deviation * deviation,
            supplies: 0,
            moment: 0,
            drift: 0.0,
        }
    }
}

/// In four sums side by side, which a processor takes at once.
fn dot(a: &[f64], b: &[f64]) -> f64 {
    let (a_fours, b_fours) = (a.chunks_exact(4), b.chunks_exact(4));
    let rest: f64 = a_fours.remainder().iter().zip(b_fours.remainder()).map(|(a, b)| a * b).sum();
    let mut sums = [0.0; 4];
    for (a, b) in a_fours.zip(b_fours) {
        (0..4).for_each(|lane| sums[lane] += a[lane] * b[lane]);
    }
    (sums[0] + sums[1]) + (sums[2] + sums[3]) + rest
}
