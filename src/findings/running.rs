//! Does every load run, once what it needs is set?

use crate::network::Altered;
use crate::predict::Predictor;
use crate::quantity::Volts;
use crate::source::Diagnostic;
use crate::vehicle::{ContactRest, PartId, State, Vehicle};

/// Numerical: a load with less carries nothing, A.
const LEAST_AMPS: f64 = 1e-7;

/// Loads that carry nothing whatever is set, each with what stands in the way.
pub fn check_running(predictor: &Predictor) -> Vec<Diagnostic> {
    let vehicle = predictor.vehicle();
    let rest = State::rest(vehicle);
    let Ok(model) = predictor.in_state(&rest) else { return Vec::new() };
    let leads = model.leads(vehicle);
    let mut findings = Vec::new();
    for load in vehicle.loads() {
        let state = rest.with_all(&leads.settings_for(vehicle, &rest, load));
        let Ok(running) = model.set_otherwise(vehicle, &state) else { continue };
        if running.current(load.index()).0.abs() >= LEAST_AMPS {
            continue;
        }
        let feed = leads.feed(vehicle, load);
        let way: Vec<PartId> = feed.parts().chain(feed.source).collect();
        let part = vehicle.part(load);
        let why = hindrance(vehicle, &state, &running, &way)
            .unwrap_or_else(|| "no current reaches it, with everything on that it needs".to_string());
        findings.push(Diagnostic::warning(
            part.span,
            format!("`{}` does not run as drawn: {why}", part.name),
            "dead though all is sound",
            format!("`trace {}` shows its way; correct what stands in it", part.name),
        ));
    }
    findings
}

/// The first thing on a way that lets nothing through.
fn hindrance(vehicle: &Vehicle, state: &State, running: &Altered, way: &[PartId]) -> Option<String> {
    way.iter().find_map(|&id| {
        let part = vehicle.part(id);
        let shut = part.gates.iter().find(|&&(control, position)| state.position(control) != position);
        if let Some(&(control, position)) = shut {
            let name = &vehicle.control(control).name;
            return Some(format!(
                "`{}` wants `{name}` {position:?}, and something else on its way the contrary",
                part.name
            ));
        }
        if let Some(contact) = part.kind.contact().filter(|contact| contact.rest == ContactRest::Make) {
            let coil = vehicle.part(contact.coil);
            let gets = Volts(running.across(contact.coil.index()).0.abs());
            let pulls_in = coil.kind.coil()?.pull_in;
            if gets < pulls_in {
                let name = coil.label_name();
                return Some(format!("relay `{name}` does not pull in: its coil gets {gets} and needs {pulls_in}"));
            }
        }
        let needs = part.kind.regulated().into_iter().flat_map(|source| &source.needs);
        let unmet = needs.filter(|need| running.across(need.load.index()).0.abs() < need.volts.0);
        if let Some(need) = unmet.into_iter().next() {
            let gets = Volts(running.across(need.load.index()).0.abs());
            let name = &vehicle.part(need.load).name;
            return Some(format!("`{}` gives nothing: `{name}` gets {gets} and needs {}", part.name, need.volts));
        }
        part.kind.forward().filter(|_| !part.kind.is_load()).and_then(|_| {
            let backwards = running.current(id.index()).0.abs() < LEAST_AMPS;
            backwards.then(|| format!("diode `{}` on its way lets nothing through that way round", part.name))
        })
    })
}
