//! Is the input of a converter drawn as if it drew by itself? A load of its own does
//! not follow what the output gives.

use super::model::Predictor;
use crate::quantity::{Amps, Volts, Watts};
use crate::source::Diagnostic;
use crate::vehicle::{LoadKind, PartId, State};

/// From: common practice, no source. Share of what it takes that a converter gives
/// at least.
const LEAST_YIELD: f64 = 0.5;

/// From: common practice, no source. What a converter takes for itself at most.
const IDLE: Watts = Watts(10.0);

/// Inputs of converters that draw at rest although their output gives little.
pub fn check_converters(predictor: &Predictor) -> Vec<Diagnostic> {
    let vehicle = predictor.vehicle();
    let Ok(model) = predictor.in_state(&State::rest(vehicle)) else { return Vec::new() };
    let watts = |part: PartId| {
        let (amps, volts) = (model.solution().current(part.index()), model.solution().across(part.index()));
        Watts(amps.0.abs() * volts.0.abs())
    };
    let mut findings = Vec::new();
    for source in vehicle.supplies() {
        let needs = vehicle.part(source).kind.regulated().map_or(&[][..], |regulated| &regulated.needs);
        for input in needs.iter().map(|need| need.load) {
            let part = vehicle.part(input);
            let is_input = part.kind.load().is_some_and(|load| load.kind == LoadKind::Charger);
            let (takes, gives) = (watts(input), watts(source));
            if is_input && takes.0 * LEAST_YIELD > gives.0 + IDLE.0 {
                let volts = Volts(model.solution().across(input.index()).0.abs());
                findings.push(Diagnostic::warning(
                    part.span,
                    format!(
                        "`{}` draws {} at rest, and `{}` gives {:.0} W for it",
                        part.name,
                        Amps(takes.0 / volts.0),
                        vehicle.part(source).name,
                        gives.0,
                    ),
                    "an input drawn as a load draws whatever the output gives",
                    "size it for what the output usually gives, or let it run with a control (`rest: Off`)",
                ));
            }
        }
    }
    findings
}
