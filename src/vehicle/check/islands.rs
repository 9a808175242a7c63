//! Is everything joined to a supply? Connected components of the graph.

use super::wiring::joined;
use crate::source::Diagnostic;
use crate::vehicle::circuit::Vehicle;
use crate::vehicle::id::PointId;
use petgraph::unionfind::UnionFind;
use std::collections::HashSet;

/// Reports islands; gives the sets of points that a supply is in.
pub(super) fn check_islands(vehicle: &Vehicle, doubtful: &[PointId], findings: &mut Vec<Diagnostic>) -> Supplied {
    let sets = joined(vehicle, |_, _| true);
    let supplied: HashSet<usize> = vehicle.supplies().map(|id| sets.find(vehicle.part(id).from.index())).collect();
    let mut reported: HashSet<usize> = doubtful.iter().map(|point| sets.find(point.index())).collect();
    for id in vehicle.part_ids() {
        let part = vehicle.part(id);
        let island = sets.find(part.from.index());
        if !supplied.contains(&island) && reported.insert(island) {
            findings.push(Diagnostic::error(
                part.span,
                format!("`{}` is on an island: nothing joins it to a supply", part.label_name()),
                "this part and all it is joined to",
                "start its run at a bus or point that a supply feeds, and end it at one that leads back",
            ));
        }
    }
    Supplied { sets, supplied }
}

/// What is joined to a supply in any way.
pub(super) struct Supplied {
    sets: UnionFind<usize>,
    supplied: HashSet<usize>,
}

impl Supplied {
    pub fn reaches(&self, point: PointId) -> bool {
        self.supplied.contains(&self.sets.find(point.index()))
    }
}
