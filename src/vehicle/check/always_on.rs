//! Does something big run all the time?

use super::wiring::joined;
use crate::quantity::Watts;
use crate::source::Diagnostic;
use crate::tables::limits::ALWAYS_ON;
use crate::vehicle::circuit::Vehicle;
use crate::vehicle::part::Role;

/// Loads of some power on a battery with nothing on their way that switches them, and
/// nothing said of what they do themselves.
pub(super) fn check_always_on(vehicle: &Vehicle, findings: &mut Vec<Diagnostic>) {
    let sets = joined(vehicle, |_, part| part.kind.is_wiring() && part.kind.role() != Role::Switchgear);
    let batteries: Vec<_> =
        vehicle.supplies().map(|id| vehicle.part(id)).filter(|part| part.kind.is_battery()).collect();
    for id in vehicle.loads() {
        let part = vehicle.part(id);
        let Some(load) = part.kind.load() else { continue };
        let watts = Watts(load.rated.0 * load.rated.0 / load.behaviour.ohms_at(load.rated).0);
        // A converter takes what is taken from it.
        let rests = !part.gates.is_empty() || load.sleep.is_some() || load.converts.is_some();
        let is_fed = || {
            batteries.iter().any(|battery| {
                let joins = |a: crate::vehicle::PointId, b: crate::vehicle::PointId| sets.equiv(a.index(), b.index());
                joins(battery.to, part.from) && joins(battery.from, part.to)
            })
        };
        if watts < ALWAYS_ON || rests || !is_fed() {
            continue;
        }
        findings.push(Diagnostic::warning(
            part.span,
            format!("`{}` ({watts}) runs all the time: nothing on its way switches it", part.name),
            "always on",
            "draw its switch or relay; if it switches itself, say how it stands at rest: `rest: Off`",
        ));
    }
}
