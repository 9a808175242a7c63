//! What is changed in a network: laws replaced, branches added.

use crate::network::graph::{Branch, Network};
use crate::network::law::Law;

/// What is changed in a network.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Alteration {
    /// Branches with another law, each once.
    pub replaced: Vec<(usize, Law)>,
    /// Branches that were not there.
    pub added: Vec<Branch>,
}

impl Alteration {
    /// The network with the alteration in it.
    pub fn applied_to(&self, network: &Network) -> Network {
        let mut network = network.clone();
        for (branch, law) in &self.replaced {
            network.branches[*branch].law = law.clone();
        }
        network.branches.extend(self.added.iter().cloned());
        network
    }

    /// This one and another, of other branches.
    pub fn and(mut self, other: Self) -> Self {
        self.replaced.extend(other.replaced);
        self.added.extend(other.added);
        self
    }
}
