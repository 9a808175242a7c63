//! The walk at handover: what to read of every circuit while all is well, in an
//! order that takes little time.
//!
//! A few loads run together, so that little is switched. What is read is volts
//! lost, from point to point at one place, and since the supply from place to
//! place: a drop shows on a range of millivolts, which tells more of a part than
//! the difference of two readings of twelve volts.

mod circuits;
mod worth;

pub use circuits::all;
pub use worth::{Yield, told_of};

use super::Test;
use super::effort::Situation;
use crate::belief::Evidence;
use crate::network::SolveError;
use crate::predict::{Predictor, Probe};
use crate::quantity::Minutes;
use crate::vehicle::{ControlId, PartId, PlaceId, PointId, Position, Reach, State, Vehicle};

/// Which readings a walk takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Scope {
    /// Those that tell most of what loads lose in two and a half hours.
    #[default]
    Short,
    /// Every point of every circuit.
    All,
    /// Every point of the circuit of a load.
    Of(PartId),
}

/// One reading of the walk.
#[derive(Debug, Clone, PartialEq)]
pub struct Leg {
    /// What to set first.
    pub settings: Vec<(ControlId, Position)>,
    /// How everything then stands.
    pub state: State,
    /// What to measure.
    pub probe: Probe,
    /// Places to open first.
    pub opens: Vec<PlaceId>,
    /// Time it takes.
    pub minutes: Minutes,
}

/// Where the walk stands.
#[derive(Debug, Clone)]
pub struct Under<'a> {
    /// How everything is set.
    pub state: &'a State,
    /// Places that are open.
    pub opened: &'a [PlaceId],
    /// Points that cannot be reached.
    pub out_of_reach: &'a [PointId],
    /// What has been read, and in which state.
    pub done: &'a [(State, Probe)],
}

/// The readings of a walk, in no order.
///
/// # Errors
/// [`SolveError`] if a state has no solution.
pub fn wanted(predictor: &Predictor, scope: Scope) -> Result<Vec<(State, Probe)>, SolveError> {
    match scope {
        Scope::Short => worth::short(predictor),
        Scope::All => Ok(all(predictor)),
        Scope::Of(load) => Ok(circuits::of_load(predictor, load)),
    }
}

/// What of it is left, in the order in which to read it: setting by setting, and
/// from where one stands always what takes least.
pub fn left(vehicle: &Vehicle, wanted: &[(State, Probe)], under: &Under<'_>) -> Vec<Leg> {
    let mut left: Vec<&(State, Probe)> = wanted.iter().filter(|one| is_left(vehicle, one, under)).collect();
    let (mut state, mut opened) = (under.state.clone(), under.opened.to_vec());
    let mut at: Option<PlaceId> = None;
    let mut legs: Vec<Leg> = Vec::new();
    while !left.is_empty() {
        let legs_from_here = left.iter().map(|(wanted, probe)| leg(vehicle, &state, &opened, wanted, *probe));
        // One setting is walked to its end, since each change of it is one more
        // thing to get wrong. Of what takes as long, what lies at the same place,
        // then what the drawing has first.
        let rank = |leg: &Leg| {
            let place = vehicle.reach(leg.probe.points(vehicle).0);
            let cents = (leg.minutes.0 * 100.0).round() as i64;
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

fn leg(vehicle: &Vehicle, now: &State, opened: &[PlaceId], state: &State, probe: Probe) -> Leg {
    let settings = now.settings_to(state, vehicle);
    let nothing = Evidence::default();
    let effort = Situation::untouched(vehicle, &nothing, now, opened).effort(vehicle, Test::Measure(probe), &settings);
    Leg { settings, state: state.clone(), probe, opens: effort.opens, minutes: effort.minutes }
}
