//! Is a resistance that the file gives one that such a part can have?

use crate::quantity::Ohms;
use crate::source::Diagnostic;
use crate::tables::conductor::{ConductorSize, TABLES_AT, cable};
use crate::tables::contact::{
    IsolatorStyle, JointStyle, PinStyle, SwitchStyle, breaker, isolator, joint, pin, relay_contact, switch,
};
use crate::tables::fuse::{FuseStyle, element, holder_contact};
use crate::tables::limits::{ODD_CABLE, ODD_CONTACT, ODD_METAL, ODD_SOURCE};
use crate::tables::supply::internal_resistance;
use crate::tables::{Origin, Sourced};
use crate::vehicle::circuit::Vehicle;
use crate::vehicle::part::{Part, PartKind};
use crate::vehicle::supply::Supply;

/// Resistances given many times what the worst sound part of the kind has; of a cable
/// also those far below.
pub(super) fn check_odd(vehicle: &Vehicle, findings: &mut Vec<Diagnostic>) {
    for part in vehicle.parts.iter().filter(|part| matches!(part.resistance.origin, Origin::Given)) {
        let Some((usual, factor)) = usual(part) else { continue };
        let given = part.resistance.value;
        let is_thin = part.kind.is_cable() && given.0 * factor < usual.0;
        if given.0 <= usual.0 * factor && !is_thin {
            continue;
        }
        let much = if is_thin { "little" } else { "much" };
        findings.push(Diagnostic::warning(
            part.span,
            format!("{given} is {much} for {} `{}`: a sound one has about {usual}", part.kind.words(), part.name),
            "odd resistance",
            "resistances are in ohms: 3 mΩ is `0.003`; leave `ohms` out, and the usual is taken",
        ));
    }
}

/// The most that a sound one usually has, and how many times that is odd.
fn usual(part: &Part) -> Option<(Ohms, f64)> {
    let contact = |usual: Sourced<Ohms>| Some((usual.value, ODD_CONTACT));
    match &part.kind {
        PartKind::HolderContact => contact(holder_contact(FuseStyle::Glass)),
        PartKind::Fuse { rating } => contact(element(FuseStyle::Blade, *rating)),
        PartKind::Breaker { rating } => contact(breaker(rating.0)),
        PartKind::Cable(of) => Some((cable(ConductorSize::Metric(of.area), of.length, TABLES_AT).value, ODD_CABLE)),
        PartKind::Joint => contact(joint(JointStyle::Screw)),
        PartKind::Pin => contact(pin(PinStyle::Accessory)),
        PartKind::Switch => contact(switch(SwitchStyle::Thermostat)),
        PartKind::Isolator => contact(isolator(IsolatorStyle::Hand)),
        PartKind::Contact(_) => contact(relay_contact(1.0)),
        PartKind::Chassis => Some((ODD_METAL, 1.0)),
        PartKind::Supply(Supply::Battery(of)) => {
            let usual = internal_resistance(of.chemistry, of.ampere_hours, of.rest, TABLES_AT);
            Some((usual.value, ODD_SOURCE))
        }
        // Of these any resistance may be meant.
        PartKind::Coil(_)
        | PartKind::Shunt
        | PartKind::Diode { .. }
        | PartKind::Load(_)
        | PartKind::Supply(Supply::Regulated(_))
        | PartKind::Instrument(_) => None,
    }
}
