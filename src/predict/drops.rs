//! Does the drawing keep its drop limits at full load, and does every load get
//! the volts that it is made for?

use super::model::{LEAST_AMPS, Predictor};
use crate::network::Between;
use crate::quantity::{Amps, PERCENT};
use crate::source::Diagnostic;
use crate::vehicle::{Load, PartId, State};

/// Loads whose wiring drops more than their limit when they run alone, and
/// loads that get too little to run, with the figures. A load that cannot be
/// solved is left to the solve to report.
pub fn check_drops(predictor: &Predictor) -> Vec<Diagnostic> {
    let vehicle = predictor.vehicle();
    let rest = State::rest(vehicle);
    let mut findings = Vec::new();
    let Ok(model) = predictor.in_state(&rest) else { return findings };
    let leads = model.leads(vehicle);
    for load in vehicle.loads() {
        let part = vehicle.part(load);
        let Some(&Load { allowed_drop, rated, .. }) = part.kind.load() else { continue };
        let state = rest.with_all(&leads.settings_for(vehicle, &rest, load));
        let Ok(running) = model.set_otherwise(vehicle, &state) else { continue };
        let (from, to) = part.ends();
        let Between::Volts(volts) = running.between(from.index(), to.index()) else { continue };
        let amps = Amps(running.current_at(load.index(), volts.0));
        if amps.0.abs() < LEAST_AMPS {
            continue;
        }
        let gets = volts.abs();
        // Such as a 12 V load behind a converter of a 24 V vehicle.
        if gets < rated * predictor.tables().spreads.runs_from {
            findings.push(Diagnostic::warning(
                part.span,
                format!("`{}` is made for {rated} and gets {gets} when everything is sound", part.name),
                "too little to run",
                "say what it is made for (`volts: 12`), or look at what feeds it",
            ));
            continue;
        }
        let across = |id: PartId| running.across(id.index()).0.abs();
        let drop: f64 = leads.there_and_back(vehicle, load).into_iter().map(across).sum();
        let limit = allowed_drop * rated.0;
        if drop > limit {
            findings.push(Diagnostic::warning(
                part.span,
                format!(
                    "the wiring of `{}` drops {drop:.2} V at {}; {:.0} % of {:.0} V is {limit:.2} V (ISO 10133)",
                    part.name,
                    amps,
                    allowed_drop * PERCENT,
                    rated.0,
                ),
                "running alone",
                "a bigger cable or a shorter way; `trace` shows where the volts go",
            ));
        }
    }
    findings
}
