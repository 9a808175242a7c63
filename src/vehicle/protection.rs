//! Is every conductor behind a fuse that opens before it burns?

use super::check::is_wiring;
use super::check::joined;
use super::part::{Part, PartId, PartKind, Supply};
use super::Vehicle;
use crate::quantity::Amps;
use crate::source::Diagnostic;
use crate::tables::ampacity;
use crate::tables::limits::UNPROTECTED_METRES;
use petgraph::unionfind::UnionFind;
use std::collections::HashMap;

/// Rating of a protective part.
pub(super) fn rating(part: &Part) -> Option<Amps> {
    match part.kind {
        PartKind::Fuse { rating } | PartKind::Breaker { rating } => Some(rating),
        _ => None,
    }
}

/// Checks protection zone by zone; a zone is what wire joins between fuses.
pub(super) fn check_protection(vehicle: &Vehicle, findings: &mut Vec<Diagnostic>) {
    let zones = joined(vehicle, |_, part| is_wiring(part) && rating(part).is_none());
    check_unprotected(vehicle, &zones, findings);
    check_ratings(vehicle, &zones, findings);
}

fn is_return(vehicle: &Vehicle, zones: &UnionFind<usize>, zone: usize) -> bool {
    vehicle.supplies().any(|id| zones.find(vehicle.part(id).from.index()) == zone)
}

fn check_unprotected(vehicle: &Vehicle, zones: &UnionFind<usize>, findings: &mut Vec<Diagnostic>) {
    let mut done = Vec::new();
    for supply in vehicle.supplies() {
        let zone = zones.find(vehicle.part(supply).to.index());
        if done.contains(&zone) || is_return(vehicle, zones, zone) {
            continue;
        }
        done.push(zone);
        let in_zone = |id: &PartId| zones.find(vehicle.part(*id).from.index()) == zone;
        for id in vehicle.loads().filter(in_zone) {
            let part = vehicle.part(id);
            findings.push(
                Diagnostic::error(
                    part.span,
                    format!("the circuit of `{}` has no protection", part.name),
                    "fed without a fuse or breaker",
                    "put a `Fuse` at the supply end of its run",
                )
                .with_also(vehicle.part(supply).span, "fed from here"),
            );
        }
        if !matches!(vehicle.part(supply).kind, PartKind::Supply(Supply::Battery { .. })) {
            continue;
        }
        let cables: Vec<(PartId, f64)> = vehicle
            .part_ids()
            .filter(in_zone)
            .filter_map(|id| match vehicle.part(id).kind {
                PartKind::Cable { length, .. } => Some((id, length.0)),
                _ => None,
            })
            .collect();
        let total: f64 = cables.iter().map(|(_, metres)| metres).sum();
        if let Some(&(longest, _)) = cables.iter().max_by(|a, b| a.1.total_cmp(&b.1)).filter(|_| total > UNPROTECTED_METRES) {
            findings.push(Diagnostic::warning(
                vehicle.part(longest).span,
                format!(
                    "{total:.1} m of cable from battery `{}` before any fuse; 33 CFR 183.460 allows {UNPROTECTED_METRES} m",
                    vehicle.part(supply).name
                ),
                "the longest of them",
                "move the main fuse nearer to the battery",
            ));
        }
    }
}

fn check_ratings(vehicle: &Vehicle, zones: &UnionFind<usize>, findings: &mut Vec<Diagnostic>) {
    // A zone fed by several fuses can carry as much as the largest lets through.
    let mut feeding: HashMap<usize, (Amps, PartId)> = HashMap::new();
    for id in vehicle.part_ids() {
        let part = vehicle.part(id);
        let Some(rating) = rating(part) else { continue };
        let zone = zones.find(part.to.index());
        let largest = feeding.entry(zone).or_insert((rating, id));
        if rating.0 > largest.0.0 {
            *largest = (rating, id);
        }
    }
    for id in vehicle.part_ids() {
        let part = vehicle.part(id);
        let PartKind::Cable { area, laying, .. } = part.kind else { continue };
        let zone = zones.find(part.from.index());
        let Some(&(rating, fuse)) = feeding.get(&zone) else { continue };
        if is_return(vehicle, zones, zone) {
            continue;
        }
        let allowed = ampacity::allowable(area, laying);
        if rating.0 > allowed.0 * 1.005 {
            findings.push(
                Diagnostic::warning(
                    part.span,
                    format!(
                        "fuse `{}` ({} A) is bigger than cable `{}` can carry ({:.0} A, {})",
                        vehicle.part(fuse).name,
                        rating.0,
                        part.name,
                        allowed.0,
                        ampacity::TABLE_NAME
                    ),
                    format!("{:.2} mm² here", area.0),
                    "fit a smaller fuse or a bigger cable",
                )
                .with_also(vehicle.part(fuse).span, "its fuse"),
            );
        }
    }
}
