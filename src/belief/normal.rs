//! The normal distribution.

/// Mean and variance of a reading given those already taken.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Forecast {
    /// Expected value.
    pub mean: f64,
    /// Variance.
    pub variance: f64,
}

/// ln of the normal density at a deviation.
pub fn log_normal(deviation: f64, variance: f64) -> f64 {
    -0.5 * (deviation * deviation / variance + (std::f64::consts::TAU * variance).ln())
}

/// Probability that a standard normal lies below `x`.
pub fn normal_below(x: f64) -> f64 {
    0.5 * libm::erfc(-x / std::f64::consts::SQRT_2)
}
