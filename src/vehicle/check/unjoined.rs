//! Is every source joined at both its posts?

use super::wiring::joined;
use crate::source::Diagnostic;
use crate::vehicle::circuit::Vehicle;
use crate::vehicle::id::{PartId, PointId};
use petgraph::unionfind::UnionFind;

/// Chargers, alternators and batteries of which a post leads to nothing that takes
/// or gives current.
pub(super) fn check_unjoined(vehicle: &Vehicle, doubtful: &[PointId], findings: &mut Vec<Diagnostic>) {
    let sets = joined(vehicle, |_, part| part.kind.is_wiring());
    let is_doubtful = |point: PointId| doubtful.iter().any(|&other| sets.equiv(other.index(), point.index()));
    for id in vehicle.supplies() {
        let part = vehicle.part(id);
        let lone = |post: PointId| !is_doubtful(post) && leads_nowhere(vehicle, &sets, id, post);
        let (headline, label) = match (lone(part.from), lone(part.to)) {
            (false, false) => continue,
            (true, true) => (format!("`{}` is joined to nothing", part.name), "both its posts"),
            (true, false) => (format!("the negative of `{}` is joined to nothing", part.name), "its - post"),
            (false, true) => (format!("the + of `{}` is joined to nothing", part.name), "its + post"),
        };
        let help = format!(
            "it gives nothing so: draw a run from `{0}+`, and one that ends at `{0}-`; if its case is its negative, a run from body metal to `{0}-`",
            part.name
        );
        findings.push(Diagnostic::warning(part.span, headline, label, help));
    }
}

/// Whether wire from a post reaches no end of a load, a coil or another source.
fn leads_nowhere(vehicle: &Vehicle, sets: &UnionFind<usize>, own: PartId, post: PointId) -> bool {
    let reached = |point: PointId| sets.equiv(point.index(), post.index());
    !vehicle.part_ids().filter(|&id| id != own).any(|id| {
        let part = vehicle.part(id);
        let takes_or_gives = part.kind.role().is_sink() || part.kind.is_supply();
        takes_or_gives && (reached(part.from) || reached(part.to))
    })
}
