//! Bars of the common return: where a black lead finds a negative near the work.

use super::circuit::Vehicle;
use super::id::PointId;
use super::part::{Part, PartKind, Role};
use petgraph::visit::{Dfs, EdgeFiltered};

/// Format: wires that make a point a bar.
const WIRES: usize = 3;

/// Points that lead to the usual black point through wires, joints, pins and what
/// isolates or measures alone, and at which several wires meet.
pub fn return_bars(vehicle: &Vehicle) -> Vec<PointId> {
    let is_return = |part: &Part| {
        matches!(part.kind.role(), Role::Conductor | Role::Connection)
            || matches!(part.kind, PartKind::Isolator | PartKind::Shunt)
    };
    let mut wires = vec![0; vehicle.points.len()];
    for part in &vehicle.parts {
        wires[part.from.index()] += 1;
        wires[part.to.index()] += 1;
    }
    let returns = EdgeFiltered::from_fn(&vehicle.graph, |edge| is_return(vehicle.part(*edge.weight())));
    let mut joined = Dfs::new(&returns, vehicle.black.node());
    let mut bars = Vec::new();
    while let Some(node) = joined.next(&returns) {
        bars.extend(Some(vehicle.graph[node]).filter(|point| wires[point.index()] >= WIRES));
    }
    bars.sort_unstable();
    bars
}
