//! The walk at handover as the record stands: what comes next, and a value for it.

use super::{Case, CaseError, Entry};
use crate::belief::Symptom;
use crate::plan::walk::{Leg, Scope, Under, Yield, left, told_of, wanted};
use crate::predict::Probe;
use crate::vehicle::{Reach, State};
use std::cell::RefCell;
use std::rc::Rc;

/// Readings of a walk, with how everything stands for each.
type Readings = Rc<Vec<(State, Probe)>>;

/// Walks worked out so far: they follow from the vehicle alone.
#[derive(Default)]
pub(super) struct Known(RefCell<Vec<(Scope, Readings)>>);

/// A walk, from where the record stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Walk {
    /// Which readings it takes.
    pub scope: Scope,
    /// What of it is left.
    pub legs: Vec<Leg>,
}

/// The walk of the record.
///
/// # Errors
/// [`CaseError::Unsolvable`] if a state that it needs has no solution.
pub fn walk(case: &Case) -> Result<Walk, CaseError> {
    let scope = case.standing().walk;
    Ok(Walk { scope, legs: legs(case, scope)? })
}

/// What of a walk is left, from where the record stands.
///
/// # Errors
/// As [`walk`].
pub fn legs(case: &Case, scope: Scope) -> Result<Vec<Leg>, CaseError> {
    let wanted = readings(case, scope)?;
    let standing = case.standing();
    let counting = standing.readings.iter().filter(|numbered| numbered.counts());
    let done: Vec<(State, Probe)> =
        counting.map(|numbered| (numbered.reading.state.clone(), numbered.reading.probe)).collect();
    let under =
        Under { state: &standing.state, opened: &standing.opened, out_of_reach: &standing.out_of_reach, done: &done };
    Ok(left(case.engine().tables(), case.vehicle(), &wanted, &under))
}

/// What the readings of a walk tell.
///
/// # Errors
/// As [`walk`].
pub fn tells(case: &Case, scope: Scope) -> Result<Yield, CaseError> {
    Ok(told_of(case.predictor(), &readings(case, scope)?)?)
}

fn readings(case: &Case, scope: Scope) -> Result<Readings, CaseError> {
    let known = case.walks.0.borrow().iter().find(|(known, _)| *known == scope).map(|(_, walk)| Rc::clone(walk));
    if let Some(known) = known {
        return Ok(known);
    }
    let found = Rc::new(wanted(case.predictor(), scope)?);
    case.walks.0.borrow_mut().push((scope, Rc::clone(&found)));
    Ok(found)
}

/// A value alone is of the next point; `cannot` alone is its harder end.
pub fn answered(case: &Case, line: &str) -> Option<Entry> {
    let line = line.trim();
    let measured = line.split_whitespace().collect::<String>().parse().ok();
    if measured.is_none() && !line.eq_ignore_ascii_case("cannot") {
        return None;
    }
    let leg = walk(case).ok()?.legs.into_iter().next()?;
    match measured {
        Some(measured) if leg.probe.fits(&measured) => {
            Some(Entry::Read { settings: leg.settings, probe: leg.probe, measured, symptom: Symptom::Present })
        }
        Some(_) => None,
        None => {
            let vehicle = case.vehicle();
            let (red, black) = leg.probe.points(vehicle);
            let minutes = |point| match vehicle.reach(point) {
                Reach::At(place) => vehicle.place(place).effort().0,
                Reach::Never => f64::INFINITY,
            };
            // The supply is where every walk begins; what is further off is meant.
            let point = if black != vehicle.black && minutes(black) >= minutes(red) { black } else { red };
            Some(Entry::OutOfReach { point })
        }
    }
}
