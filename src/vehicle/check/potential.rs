//! Potentials with nothing flowing: do the supplies add up to what the vehicle
//! is said to have?

use crate::quantity::Volts;
use crate::source::{Diagnostic, Span};
use crate::tables::limits::SUPPLY_RANGE;
use crate::vehicle::circuit::Vehicle;
use crate::vehicle::id::PartId;
use crate::vehicle::supply::Supply;
use std::collections::VecDeque;

pub(super) fn check_voltage(vehicle: &Vehicle, black: Span, findings: &mut Vec<Diagnostic>) {
    let Some(&(_, least, most)) = SUPPLY_RANGE.iter().find(|range| range.0 == vehicle.nominal.0) else {
        return;
    };
    let Some((volts, id)) = highest_potential(vehicle) else {
        let help = "name the negative post most readings start from, such as `black: \"B1-\"`";
        findings.push(Diagnostic::error(black, "nothing leads from the black point to a supply", "this point", help));
        return;
    };
    if !(least..=most).contains(&volts.0) {
        let volts = volts.0;
        findings.push(Diagnostic::error(
            vehicle.part(id).span,
            format!("the supplies make {volts:.1} V, but this is a {:.0} V vehicle", vehicle.nominal.0),
            format!("its + is {volts:.1} V over the black point"),
            format!(
                "correct `nominal`, the voltage given here, or how the batteries are linked; {least:.0} to {most:.0} V would fit"
            ),
        ));
    }
}

/// The highest voltage over the black point with nothing flowing, and the
/// supply that makes it.
fn highest_potential(vehicle: &Vehicle) -> Option<(Volts, PartId)> {
    let mut potential: Vec<Option<Volts>> = vec![None; vehicle.points.len()];
    potential[vehicle.black.index()] = Some(Volts::ZERO);
    let mut queue = VecDeque::from([vehicle.black]);
    let mut highest: Option<(Volts, PartId)> = None;
    while let Some(point) = queue.pop_front() {
        let here = potential[point.index()].unwrap_or_default();
        for edge in vehicle.graph.edges(point.node()) {
            let id = *edge.weight();
            let part = vehicle.part(id);
            let far = part.other_end(point);
            let step = match part.kind.supply() {
                Some(Supply::Battery(battery)) if far == part.to => battery.rest,
                Some(Supply::Battery(battery)) => -battery.rest,
                Some(Supply::Regulated(regulated)) if far == part.to => regulated.set,
                Some(Supply::Regulated(_)) => continue,
                None if part.kind.is_wiring() => Volts::ZERO,
                None => continue,
            };
            if potential[far.index()].is_none() {
                potential[far.index()] = Some(here + step);
                queue.push_back(far);
                if step != Volts::ZERO && highest.is_none_or(|(volts, _)| here + step > volts) {
                    highest = Some((here + step, id));
                }
            }
        }
    }
    highest
}
