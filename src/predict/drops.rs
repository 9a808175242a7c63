//! Does the drawing keep its drop limits at full load?

use super::Predictor;
use crate::source::Diagnostic;
use crate::vehicle::trace::{settings_for, way_there_and_back};
use crate::vehicle::{PartKind, State};

/// Loads whose wiring drops more than their limit when they run alone, with
/// the figures. A load that cannot be solved is left to the solve to report.
pub fn check_drops(predictor: &Predictor) -> Vec<Diagnostic> {
    let vehicle = predictor.vehicle();
    let rest = State::rest(vehicle);
    let mut findings = Vec::new();
    for load in vehicle.loads() {
        let part = vehicle.part(load);
        let PartKind::Load { allowed_drop, rated, .. } = part.kind else { continue };
        let state = rest.with_all(&settings_for(vehicle, &rest, load));
        let Ok(model) = predictor.in_state(&state) else { continue };
        if !model.carries_current(load) {
            continue;
        }
        let way = way_there_and_back(vehicle, &state, load);
        let drop: f64 = way.iter().map(|&id| model.solution().across(id.index()).0.abs()).sum();
        let limit = allowed_drop * rated.0;
        if drop > limit {
            findings.push(Diagnostic::warning(
                part.span,
                format!(
                    "the wiring of `{}` drops {drop:.2} V at {}; {:.0} % of {:.0} V is {limit:.2} V (ISO 10133)",
                    part.name,
                    model.solution().current(load.index()),
                    allowed_drop * 100.0,
                    rated.0,
                ),
                "running alone",
                "a bigger cable or a shorter way; `trace` shows where the volts go",
            ));
        }
    }
    findings
}
