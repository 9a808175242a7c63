//! Is every conductor behind a fuse that opens before it burns?

use super::wiring::{Changeovers, Throw, joined};
use crate::quantity::Amps;
use crate::source::Diagnostic;
use crate::tables::ampacity;
use crate::tables::limits::UNPROTECTED_METRES;
use crate::vehicle::circuit::Vehicle;
use crate::vehicle::id::PartId;
use crate::vehicle::part::Cable;
use petgraph::unionfind::UnionFind;
use std::collections::{HashMap, HashSet};

/// Numerical: a rating that rounding has put above what is allowed.
const ROUNDED: f64 = 1.005;

/// Checks protection zone by zone; a zone is what wire joins between fuses,
/// with change-over contacts first in one throw and then in the other.
pub(super) fn check_protection(vehicle: &Vehicle, findings: &mut Vec<Diagnostic>) {
    let changeovers = Changeovers::of(vehicle);
    let mut reported = HashSet::new();
    for throw in [Throw::Worked, Throw::Rest] {
        let zones = joined(vehicle, |_, part| {
            part.kind.is_wiring()
                && part.kind.rating().is_none()
                && changeovers.throw(part).is_none_or(|own| own == throw)
        });
        let mut found = Vec::new();
        check_unprotected(vehicle, &zones, &mut found);
        check_ratings(vehicle, &zones, &mut found);
        let start = |finding: &Diagnostic| finding.span.map(|span| span.start);
        found.retain(|finding| !reported.contains(&start(finding)));
        reported.extend(found.iter().map(start));
        findings.extend(found);
    }
}

/// The zones of negative posts.
fn returns(vehicle: &Vehicle, zones: &UnionFind<usize>) -> HashSet<usize> {
    vehicle.supplies().map(|id| zones.find(vehicle.part(id).from.index())).collect()
}

fn check_unprotected(vehicle: &Vehicle, zones: &UnionFind<usize>, findings: &mut Vec<Diagnostic>) {
    let returns = returns(vehicle, zones);
    let mut done = Vec::new();
    for supply in vehicle.supplies() {
        let zone = zones.find(vehicle.part(supply).to.index());
        if done.contains(&zone) || returns.contains(&zone) {
            continue;
        }
        done.push(zone);
        let in_zone = |id: &PartId| zones.find(vehicle.part(*id).from.index()) == zone;
        let loads: Vec<PartId> = vehicle.loads().filter(in_zone).collect();
        report_unprotected(vehicle, supply, &loads, findings);
        if loads.is_empty() && vehicle.part(supply).kind.is_battery() {
            let cables: Vec<PartId> = vehicle.part_ids().filter(in_zone).collect();
            check_length(vehicle, supply, &cables, findings);
        }
    }
}

/// A few loads without a fuse are that many findings; many are one. Starters, glow
/// plugs and old body feeds are built so: a warning, no error.
fn report_unprotected(vehicle: &Vehicle, supply: PartId, loads: &[PartId], findings: &mut Vec<Diagnostic>) {
    let source = vehicle.part(supply);
    if loads.len() > 4 {
        let names: Vec<&str> = loads[..4].iter().map(|&id| vehicle.part(id).name.as_str()).collect();
        findings.push(Diagnostic::warning(
            source.span,
            format!(
                "`{}` feeds {} loads without a fuse or breaker: `{}`, …",
                source.name,
                loads.len(),
                names.join("`, `")
            ),
            "no fuse between here and them",
            "if the vehicle has fuses there, put them into their runs; if it is built without, beware of shorts: nothing opens them",
        ));
        return;
    }
    for part in loads.iter().map(|&id| vehicle.part(id)) {
        findings.push(
            Diagnostic::warning(
                part.span,
                format!("the circuit of `{}` has no protection", part.name),
                "fed without a fuse or breaker",
                "if the vehicle has a fuse there, put it into the run; if it is built without, beware of a short: nothing opens it",
            )
            .with_also(source.span, "fed from here"),
        );
    }
}

fn check_length(vehicle: &Vehicle, supply: PartId, parts: &[PartId], findings: &mut Vec<Diagnostic>) {
    let lengths = parts.iter().filter_map(|&id| Some((id, vehicle.part(id).kind.cable()?.length.0)));
    let cables: Vec<(PartId, f64)> = lengths.collect();
    let total: f64 = cables.iter().map(|(_, metres)| metres).sum();
    let longest = cables.iter().max_by(|a, b| a.1.total_cmp(&b.1));
    if let Some(&(longest, _)) = longest.filter(|_| total > UNPROTECTED_METRES) {
        findings.push(Diagnostic::warning(
            vehicle.part(longest).span,
            format!(
                "{total:.1} m of cable from battery `{}` before any fuse; 33 CFR 183.460 for small craft allows {UNPROTECTED_METRES} m",
                vehicle.part(supply).name
            ),
            "the longest of them",
            "move the main fuse nearer to the battery",
        ));
    }
}

fn check_ratings(vehicle: &Vehicle, zones: &UnionFind<usize>, findings: &mut Vec<Diagnostic>) {
    let returns = returns(vehicle, zones);
    // A zone fed by several fuses can carry as much as the largest lets through.
    let mut feeding: HashMap<usize, (Amps, PartId)> = HashMap::new();
    for id in vehicle.part_ids() {
        let part = vehicle.part(id);
        let Some(rating) = part.kind.rating() else { continue };
        let zone = zones.find(part.to.index());
        let largest = feeding.entry(zone).or_insert((rating, id));
        if rating > largest.0 {
            *largest = (rating, id);
        }
    }
    for id in vehicle.part_ids() {
        let part = vehicle.part(id);
        let Some(Cable { area, around, .. }) = part.kind.cable() else { continue };
        let zone = zones.find(part.from.index());
        let Some(&(rating, fuse)) = feeding.get(&zone) else {
            continue;
        };
        if returns.contains(&zone) {
            continue;
        }
        let allowed = ampacity::allowable(area, around);
        if rating > allowed * ROUNDED {
            findings.push(
                Diagnostic::warning(
                    part.span,
                    format!(
                        "fuse `{}` ({} A) is bigger than cable `{}` can carry ({:.0} A {}; {})",
                        vehicle.part(fuse).name,
                        rating.0,
                        part.name,
                        allowed.0,
                        around.words(),
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
