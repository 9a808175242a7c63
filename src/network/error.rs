//! Why there is no solution.

use thiserror::Error;

/// Why a circuit cannot be solved.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum SolveError {
    /// The matrix is not positive definite: a value is not a resistance.
    #[error("the circuit matrix cannot be factored (a part has a value that is no resistance)")]
    Factor,
    /// A voltage came out as no number.
    #[error("the solve gave no finite voltage at point number {point}")]
    NotFinite {
        /// Index of the point.
        point: usize,
    },
}
