//! Draws from the distributions of the world.

use crate::tables::world::{LogNormal, LogUniform, Weibull};
use rand::{Rng, RngExt};
use rand_distr::{Distribution, StandardNormal};

/// Even in the logarithm.
pub fn log_uniform(of: LogUniform, random: &mut impl Rng) -> f64 {
    (random.random_range(of.least.ln()..of.most.ln())).exp()
}

/// Normal in the logarithm, at its ends where it would pass them.
pub fn log_normal(of: LogNormal, random: &mut impl Rng) -> f64 {
    let unit: f64 = StandardNormal.sample(random);
    (of.median * (of.sigma * unit).exp()).clamp(of.least, of.most)
}

/// Weibull's by its inverse, above its least, at its most where it would pass it.
pub fn weibull(of: Weibull, random: &mut impl Rng) -> f64 {
    let left = 1.0 - random.random::<f64>();
    (of.least + of.scale * (-left.ln()).powf(1.0 / of.shape)).min(of.most)
}

/// Even between two ends, which may be one.
pub fn between([from, to]: [f64; 2], random: &mut impl Rng) -> f64 {
    from + (to - from) * random.random::<f64>()
}

/// Even to so much either way.
pub fn either_way(most: f64, random: &mut impl Rng) -> f64 {
    between([-most, most], random)
}

/// Laplace's of a scale, by its inverse.
pub fn laplace(scale: f64, random: &mut impl Rng) -> f64 {
    let at = either_way(0.5, random);
    -scale * at.signum() * (1.0 - 2.0 * at.abs()).max(f64::MIN_POSITIVE).ln()
}
