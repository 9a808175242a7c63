//! Companion model of a branch: the conductance and the current source that
//! stand for it at an operating point, i = g·u + i₀.

/// Slope and offset of the current: i = conductance·u + offset.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Companion {
    /// ∂i/∂u, S.
    pub conductance: f64,
    /// Current at u = 0, A.
    pub offset: f64,
}
