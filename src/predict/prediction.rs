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

use super::loadings::Loadings;
use super::probe::Scale;
use std::rc::Rc;

/// A reading before it is taken.
#[derive(Debug, Clone, PartialEq)]
pub struct Prediction {
    /// The scale that its numbers are on.
    pub scale: Scale,
    /// Expected value.
    pub mean: f64,
    /// Whether a probe is on a point that hangs in the air.
    pub floating: bool,
    /// Standard deviation from each uncertain quantity, with sign, by its position
    /// in [`Uncertainties`](super::Uncertainties).
    pub loadings: Rc<Loadings>,
    /// The same from the sizes of the faults, of which there may be two.
    pub sizes: [f64; SIZES],
    /// Variance of its own.
    pub own_variance: f64,
    /// How many of the quantities, from the first, are supplies.
    pub supplies: usize,
    /// Readings taken before it.
    pub moment: usize,
    /// Variance of what a supply drifts from one reading to the next, as a share
    /// of that of its voltage.
    pub drift: f64,
}

/// Format: loadings that belong to sizes of faults, one for each of two.
pub const SIZES: usize = 2;

/// Numerical: places read by turns, of which the products of loadings are
/// remembered; readings of one place share theirs.
const PLACES: usize = 8;

impl Prediction {
    /// Variance of the reading alone.
    pub fn variance(&self) -> f64 {
        self.own_variance + self.covariance(self)
    }

    /// Covariance with another reading.
    pub fn covariance(&self, other: &Self) -> f64 {
        self.shared(other, self.loadings.dot(&other.loadings, self.supplies))
    }

    /// Those of many readings with this one.
    pub fn covariances<'p>(&self, others: impl Iterator<Item = &'p Self>) -> Vec<f64> {
        let dense = self.loadings.dense();
        let mut known = [(std::ptr::null(), (0.0, 0.0)); PLACES];
        let mut next = (0..PLACES).cycle();
        let mut products = |other: &Self| {
            let of = Rc::as_ptr(&other.loadings);
            if let Some((_, products)) = known.iter().find(|(known, _)| *known == of) {
                return *products;
            }
            let products = other.loadings.dot_dense(&dense, other.supplies);
            next.by_ref().take(1).for_each(|at| known[at] = (of, products));
            products
        };
        others.map(|other| other.shared(self, products(other))).collect()
    }

    /// Covariance from the products of the loadings, of supplies and of all.
    fn shared(&self, other: &Self, (supplies, all): (f64, f64)) -> f64 {
        let drifted = self.drift * self.moment.min(other.moment) as f64;
        let sizes: f64 = self.sizes.iter().zip(&other.sizes).map(|(a, b)| a * b).sum();
        all + drifted * supplies + sizes
    }

    /// Loading of the size of the first fault.
    pub fn size_loading(&self) -> f64 {
        self.sizes[0]
    }

    /// The same of a fault that is the second of two.
    pub fn of_second(&self) -> Self {
        let mut second = self.clone();
        second.sizes.reverse();
        second
    }

    /// How much more is to be read here than there, by the same meter.
    pub(super) fn less(self, other: &Self) -> Self {
        Self {
            mean: self.mean - other.mean,
            floating: false,
            loadings: Rc::unwrap_or_clone(self.loadings).less(&other.loadings).into(),
            sizes: std::array::from_fn(|index| self.sizes[index] - other.sizes[index]),
            own_variance: self.own_variance + other.own_variance,
            ..self
        }
    }

    /// One that hangs on nothing that is shared.
    pub(super) fn alone(scale: Scale, mean: f64, deviation: f64) -> Self {
        Self {
            scale,
            mean,
            floating: false,
            loadings: Rc::default(),
            sizes: [0.0; SIZES],
            own_variance: deviation * deviation,
            supplies: 0,
            moment: 0,
            drift: 0.0,
        }
    }
}
