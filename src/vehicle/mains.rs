//! What hangs on an output above extra-low voltage: a licensed electrician's, and
//! no place for probes.

use super::id::{PartId, PointId};
use super::part::Part;
use crate::tables::limits::EXTRA_LOW_VOLTS;
use petgraph::graph::UnGraph;
use petgraph::visit::Dfs;

/// For each point, whether it is joined to an output above extra-low voltage.
pub(super) fn mains_of(graph: &UnGraph<PointId, PartId>, parts: &[Part]) -> Vec<bool> {
    let mut mains = vec![false; graph.node_count()];
    let is_high = |part: &&Part| part.kind.regulated().is_some_and(|source| source.set > EXTRA_LOW_VOLTS);
    for post in parts.iter().filter(is_high).map(|part| part.to) {
        let mut joined = Dfs::new(graph, post.node());
        while let Some(node) = joined.next(graph) {
            mains[graph[node].index()] = true;
        }
    }
    mains
}
