//! What to set where a battery is said not to be charged.

use super::names;
use crate::belief::Sign;
use crate::case::Case;

/// What to set, while nothing is set that would charge it.
pub fn what_should_charge(case: &Case) -> Option<String> {
    let said = case.standing().evidence.observations.iter().rev();
    let mut batteries =
        said.filter(|seen| matches!(seen.sign, Sign::Uncharged | Sign::ChargesLittle)).map(|seen| seen.subject);
    let battery = batteries.find(|&battery| !case.predictor().charges(&case.standing().state, battery))?;
    let vehicle = case.vehicle();
    let ways = case.ways_to_charge(battery);
    let ways: Vec<String> = ways.iter().map(|way| names::settings(vehicle, way)).collect();
    let how = if ways.is_empty() { "what should charge it".to_string() } else { ways.join("; or ") };
    let name = names::part(vehicle, battery);
    Some(format!("set {how}. As things are set nothing would charge {name} anyway."))
}
