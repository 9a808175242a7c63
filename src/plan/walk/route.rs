//! The order of a walk: nearest neighbour, setting by setting.

use super::leg::{Leg, Scope, Under, leg};
use super::{circuits, worth};
use crate::network::SolveError;
use crate::predict::{Predictor, Probe};
use crate::tables::Tables;
use crate::vehicle::{PlaceId, Reach, State, Vehicle};

/// Numerical: minutes are ranked to this part of one.
const RANKS: f64 = 100.0;

/// The readings of a walk, in no order.
///
/// # Errors
/// [`SolveError`] if a state has no solution.
pub fn wanted(predictor: &Predictor, scope: Scope) -> Result<Vec<(State, Probe)>, SolveError> {
    match scope {
        Scope::Short => worth::short(predictor),
        Scope::All => Ok(circuits::all(predictor)),
        Scope::Of(load) => Ok(circuits::of_load(predictor, load)),
    }
}

/// What of it is left, in the order in which to read it: setting by setting, and
/// from where one stands always what takes least.
pub fn left(tables: &Tables, vehicle: &Vehicle, wanted: &[(State, Probe)], under: &Under<'_>) -> Vec<Leg> {
    let mut left: Vec<&(State, Probe)> = wanted.iter().filter(|one| is_left(vehicle, one, under)).collect();
    let (mut state, mut opened) = (under.state.clone(), under.opened.to_vec());
    let mut at: Option<PlaceId> = None;
    let mut legs: Vec<Leg> = Vec::new();
    while !left.is_empty() {
        let legs_from_here = left.iter().map(|(wanted, probe)| leg((tables, vehicle), &state, &opened, wanted, *probe));
        // One setting is walked to its end, since each change of it is one more
        // thing to get wrong. Of what takes as long, what lies at the same place,
        // then what the drawing has first.
        let rank = |leg: &Leg| {
            let place = vehicle.reach(leg.probe.points(vehicle).0);
            let cents = (leg.minutes.0 * RANKS).round() as i64;
            (leg.state != state, cents, at.is_some_and(|at| place != Reach::At(at)))
        };
        let Some((index, next)) = legs_from_here.enumerate().min_by_key(|(index, leg)| (rank(leg), *index)) else {
            break;
        };
        if let Reach::At(place) = vehicle.reach(next.probe.points(vehicle).0) {
            at = Some(place);
        }
        state = next.state.clone();
        opened.extend(&next.opens);
        left.remove(index);
        legs.push(next);
    }
    legs
}

fn is_left(vehicle: &Vehicle, (state, probe): &(State, Probe), under: &Under<'_>) -> bool {
    let (red, black) = probe.points(vehicle);
    let is_done = under.done.iter().any(|(then, done)| then == state && done.is_same(*probe));
    !is_done && ![red, black].iter().any(|point| under.out_of_reach.contains(point))
}
