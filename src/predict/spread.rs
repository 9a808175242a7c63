//! The uncertain quantities where a circuit has them, remembered while the same
//! ones matter.

use super::hypothesis::{HypothesisKey, Phase};
use super::uncertainties::Uncertainties;
use crate::network::Outputs;
use rustc_hash::FxHashMap;
use std::rc::Rc;

/// What tells the views of one state apart.
pub(super) type ViewName = (HypothesisKey, Phase);

/// The uncertain quantities where a view has them, in [`Uncertainties`] order.
pub(super) struct Spread {
    pub outputs: Outputs,
    /// Volts between the leads that one deviation of each makes per ohm of
    /// transfer resistance to it, A.
    pub pushes: Vec<f64>,
    /// The same of the supplies' wander from reading to reading, A.
    pub wander: Vec<f64>,
}

/// Numerical: loadings kept in all spreads, at most; beyond that it begins anew.
const MOST_LOADINGS: usize = 1 << 19;

/// The spreads of the views of all states, kept while the same quantities are
/// uncertain: each answer asks for those of the one before.
#[derive(Default)]
pub(super) struct SpreadMemo {
    theta: Uncertainties,
    pub known: FxHashMap<(usize, ViewName), Rc<Spread>>,
}

impl SpreadMemo {
    pub fn turn_to(&mut self, theta: &Uncertainties) {
        if !self.theta.is_like(theta) || self.known.len() * theta.entries().len() > MOST_LOADINGS {
            self.known.clear();
            self.theta = theta.clone();
        }
    }
}
