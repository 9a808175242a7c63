//! The walk at handover as the record stands: what comes next, and a value for it.

use super::{Case, Entry};
use crate::belief::Symptom;
use crate::plan::walk::{Leg, Under, left, wanted};
use crate::predict::Probe;
use crate::vehicle::{Reach, State};

/// What of the walk is left, from where the record stands.
pub fn legs(case: &Case) -> Vec<Leg> {
    let standing = case.standing();
    let counting = standing.readings.iter().filter(|numbered| numbered.counts());
    let done: Vec<(State, Probe)> =
        counting.map(|numbered| (numbered.reading.state.clone(), numbered.reading.probe)).collect();
    let under =
        Under { state: &standing.state, opened: &standing.opened, out_of_reach: &standing.out_of_reach, done: &done };
    left(case.vehicle(), &wanted(case.predictor()), &under)
}

/// A value alone is of the next point; `cannot` alone is its harder end.
pub fn answered(case: &Case, line: &str) -> Option<Entry> {
    let line = line.trim();
    let measured = line.split_whitespace().collect::<String>().parse().ok();
    if measured.is_none() && !line.eq_ignore_ascii_case("cannot") {
        return None;
    }
    let leg = legs(case).into_iter().next()?;
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
