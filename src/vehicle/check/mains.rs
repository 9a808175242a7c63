//! Is what has mains voltage apart from what has not?

use crate::source::Diagnostic;
use crate::tables::limits::EXTRA_LOW_VOLTS;
use crate::vehicle::circuit::Vehicle;

pub(super) fn check_mains(vehicle: &Vehicle, findings: &mut Vec<Diagnostic>) {
    for id in vehicle.part_ids() {
        let part = vehicle.part(id);
        let made = part.kind.regulated().map(|source| source.set);
        let made_for = part.kind.load().map(|load| load.rated);
        let Some(volts) = made.or(made_for).filter(|&volts| volts > EXTRA_LOW_VOLTS) else { continue };
        let is_joined = made.is_some() && vehicle.is_mains(vehicle.black);
        if is_joined || (made_for.is_some() && !vehicle.is_on_mains(id)) {
            findings.push(Diagnostic::error(
                part.span,
                format!("`{}` has {:.0} V and is joined to the {:.0} V side", part.name, volts.0, vehicle.nominal.0),
                "must stand apart",
                "mains is drawn by itself, from the + to the - of the output that makes it, without its earth; or correct `volts`",
            ));
        }
    }
}
