//! Where a test sets something going, wherever the probe is: what moves, what gets
//! hot and what has mains on it does so at its own place.

use super::Case;
use crate::plan::Advice;
use crate::vehicle::{Hazard, PlaceId, State, Vehicle};

impl Case {
    /// The places at which a test sets something going that did not run already when
    /// something was read or looked at. As the drawing has it: what is dead now may
    /// start in somebody's hands.
    pub fn sets_going(&self, advice: &Advice) -> Vec<PlaceId> {
        let mut going = self.running_at(&self.standing.state.with_all(&advice.settings));
        let evidence = &self.standing.evidence;
        let looks = evidence.all_observations().filter(|seen| !seen.is_complaint()).map(|seen| &seen.state);
        let mut before: Vec<&State> = Vec::new();
        for state in looks.chain(evidence.all_readings().map(|reading| &reading.state)) {
            if !going.is_empty() && !before.contains(&state) {
                before.push(state);
                let went = self.running_at(state);
                going.retain(|place| !went.contains(place));
            }
        }
        going
    }

    /// Where something that can hurt runs in a state; nowhere if that has no solution.
    fn running_at(&self, state: &State) -> Vec<PlaceId> {
        let vehicle = self.vehicle();
        let Ok(model) = self.predictor().in_state(state) else { return Vec::new() };
        let placed = vehicle.loads().filter_map(|load| Some((load, vehicle.part(load).place?)));
        let hurting = placed.filter(|&(_, place)| is_of_running(vehicle, place));
        hurting.filter(|&(load, _)| model.is_served(vehicle, load)).map(|(_, place)| place).collect()
    }
}

/// Whether a place has a hazard that comes of what runs there.
fn is_of_running(vehicle: &Vehicle, place: PlaceId) -> bool {
    let is_one = |hazard: Hazard| match hazard {
        Hazard::Moving | Hazard::Hot | Hazard::Mains => true,
        Hazard::Battery | Hazard::Restraint | Hazard::HighVoltage | Hazard::Gas => false,
    };
    vehicle.cautions.iter().any(|caution| caution.place == place && is_one(caution.hazard))
}
