//! Where a test sets something going, wherever the probe is: what moves, what gets
//! hot and what has mains on it does so at its own place.

use crate::network::SolveError;
use crate::predict::Predictor;
use crate::vehicle::{Hazard, PlaceId, State, Vehicle};

/// The places of what runs in a state, as the drawing has it: what is dead now may
/// start in somebody's hands.
///
/// # Errors
/// [`SolveError`] if the circuit has no solution in that state.
pub fn running_at(predictor: &Predictor, state: &State) -> Result<Vec<PlaceId>, SolveError> {
    let vehicle = predictor.vehicle();
    let model = predictor.in_state(state)?;
    let running = vehicle.loads().filter(|&load| model.is_served(vehicle, load));
    Ok(running.filter_map(|load| vehicle.part(load).place).filter(|&place| is_of_running(vehicle, place)).collect())
}

/// Whether a place has a hazard that comes of what runs there.
fn is_of_running(vehicle: &Vehicle, place: PlaceId) -> bool {
    let is_one = |hazard: Hazard| match hazard {
        Hazard::Moving | Hazard::Hot | Hazard::Mains => true,
        Hazard::Battery | Hazard::Restraint | Hazard::HighVoltage | Hazard::Gas => false,
    };
    vehicle.cautions.iter().any(|caution| caution.place == place && is_one(caution.hazard))
}
