//! Voltages and currents of a circuit in a state, and what changing a part
//! does to them. Knows indices and laws, never names of parts.
//!
//! Nodal analysis: Y·v = j with Y = AᵀGA, one sparse factorisation per
//! state. A change of one or a few branches is answered from that factorisation
//! (large-change sensitivity; Woodbury, *Inverting modified matrices*, 1950):
//! it equals a few currents injected at the ends of the changed branches.

mod altered;
mod bridges;
mod change;
mod curve;
mod dead;
mod factor;
mod law;
pub mod netlist;
mod opening;
mod pushes;
mod rig;
mod room;
mod solution;

pub use altered::{Alteration, Altered, Transfer, Watched};
pub use curve::Curve;
pub use dead::as_an_ohmmeter_finds_it;
pub use law::{Branch, Law, Need, Network, Regime};
pub use rig::{awake_law, changed_by_hand, network_of, source_law};
pub use solution::{Settling, Solution, solve, solve_like};

use crate::quantity::Volts;
use thiserror::Error;

/// What stands between two points as far as a meter is concerned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Between {
    /// A definite voltage.
    Volts(Volts),
    /// At least one of the two hangs in the air: no path joins them.
    Floating,
}

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
