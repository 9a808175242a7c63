//! Orders of elimination, each worked out once for all networks with the same
//! branches.

use super::error::SolveError;
use super::factor::Pattern;
use super::graph::Network;
use super::newton::solve_in_order;
use super::solution::Solution;
use crate::memo::{Capacity, Memo};
use std::rc::Rc;

/// Numerical: orders held, at most: states of a vehicle have one, and each fault
/// that adds a path another.
const ORDERS: usize = 16;

/// Those known.
pub struct Orders(Memo<Ends, Rc<Pattern>>);

/// Number of points, and the ends of each branch.
type Ends = (usize, Box<[(usize, usize)]>);

impl Default for Orders {
    fn default() -> Self {
        Self(Memo::new(Capacity(ORDERS)))
    }
}

impl Orders {
    /// Solves a network, every law in the region that holds.
    ///
    /// # Errors
    /// As [`solve`](super::solve).
    pub fn solve(&self, network: Network) -> Result<Solution, SolveError> {
        let ends = network.branches.iter().map(|branch| (branch.from, branch.to)).collect();
        let order = || Rc::new(Pattern::of(network.points, &network.branches));
        let order = self.0.get_or((network.points, ends), order);
        solve_in_order(network, order)
    }
}
