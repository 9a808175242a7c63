//! First-order spread of a circuit: the uncertain quantities where it has them.

use crate::network::Outputs;

/// The uncertain quantities where a view has them, in the order of
/// [`Uncertainties`](super::Uncertainties).
pub(super) struct Spread {
    pub outputs: Outputs,
    /// Volts between the leads that one deviation of each makes per ohm of
    /// transfer resistance to it, A.
    pub pushes: Vec<f64>,
    /// The same of the supplies' wander from reading to reading, A.
    pub wander: Vec<f64>,
}
