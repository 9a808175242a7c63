//! First-order spread of a circuit: the uncertain quantities where it has them.

use super::loadings::Loadings;
use crate::network::Outputs;

/// The uncertain quantities that make a difference in a view.
pub(super) struct Spread {
    /// Their positions in [`Uncertainties`](super::Uncertainties), lowest first.
    pub at: Vec<usize>,
    pub outputs: Outputs,
    /// Volts between the leads that one deviation of each makes per ohm of
    /// transfer resistance to it, A.
    pub pushes: Vec<f64>,
    /// The same of the supplies' wander from reading to reading, A; supplies come
    /// first.
    pub wander: Vec<f64>,
}

impl Spread {
    /// Loadings of a voltage, from its transfer resistances to each.
    pub fn moved(&self, across: &[f64]) -> Loadings {
        self.moved_by(across, 1.0)
    }

    /// The same of something that is a multiple of a voltage.
    pub fn moved_by(&self, across: &[f64], factor: f64) -> Loadings {
        let each = self.at.iter().zip(across).zip(&self.pushes);
        Loadings::of(each.map(|((&at, across), push)| (at, factor * across * push)))
    }
}
