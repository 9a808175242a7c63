//! Bars of the common return: where a black lead finds a negative near the work.

use super::circuit::Vehicle;
use super::id::PointId;
use super::part::{PartKind, Role};

/// Format: wires that make a point a bar.
const WIRES: usize = 3;

/// Points that lead to the usual black point through wires, joints, pins and what
/// isolates or measures alone, and at which several wires meet.
pub fn return_bars(vehicle: &Vehicle) -> Vec<PointId> {
    let mut reached = vec![false; vehicle.points.len()];
    let mut left = vec![vehicle.black];
    reached[vehicle.black.index()] = true;
    while let Some(point) = left.pop() {
        for part in vehicle.parts.iter().filter(|part| part.from == point || part.to == point) {
            let is_wire = matches!(part.kind.role(), Role::Conductor | Role::Connection)
                || matches!(part.kind, PartKind::Isolator | PartKind::Shunt);
            let other = if part.from == point { part.to } else { part.from };
            if is_wire && !reached[other.index()] {
                reached[other.index()] = true;
                left.push(other);
            }
        }
    }
    let wires = |point: PointId| vehicle.parts.iter().filter(|part| part.from == point || part.to == point).count();
    let points = (0..vehicle.points.len()).map(PointId::new);
    points.filter(|&point| reached[point.index()] && wires(point) >= WIRES).collect()
}
