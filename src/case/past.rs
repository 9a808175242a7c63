//! Past cases of a vehicle, and of others of its kind: what they raise now, and
//! what each of them came to.

use super::journal::{Listed, Moment, Stamp};
use super::proof::Proof;
use super::{Bearing, Case, CaseError, Entry};
use crate::belief::{Because, Engine, Raise, Sign};
use crate::quantity::{HOURS_A_DAY, SECONDS_AN_HOUR};
use crate::tables::telling::Telling;
use crate::vehicle::trace::way_there_and_back;
use crate::vehicle::{PartId, Vehicle};
use std::rc::Rc;

/// Whose case it was.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Whose {
    /// This vehicle's.
    Ours,
    /// Another's.
    Anothers,
}

/// What past cases raise, as seen from `now`.
pub fn raises(figures: &Telling, vehicle: &Vehicle, cases: &[Listed], whose: Whose, now: &Moment) -> Vec<Raise> {
    let mut raises = Vec::new();
    for listed in cases {
        for kept in &listed.replayed.entries {
            let Entry::Repaired { part } = kept.entry else { continue };
            let days = days_between(&kept.stamp, now);
            let raise = |part, because| Raise { part, because, days, case: listed.name.clone() };
            if whose == Whose::Anothers {
                raises.push(raise(part, Because::RepairedElsewhere));
                continue;
            }
            raises.push(raise(part, Because::Repaired));
            raises.extend(
                beside(figures.at_a_bar, vehicle, part).into_iter().map(|part| raise(part, Because::WorkedBeside)),
            );
        }
    }
    raises
}

fn days_between(stamp: &Stamp, now: &Moment) -> f64 {
    (now.timestamp().as_second() - stamp.at.timestamp().as_second()) as f64 / SECONDS_AN_HOUR / HOURS_A_DAY
}

/// The parts that share an end with one: hands that mended it were on them.
fn beside(at_a_bar: usize, vehicle: &Vehicle, part: PartId) -> Vec<PartId> {
    let (from, to) = vehicle.part(part).ends();
    let shares = |other: &PartId| {
        let (a, b) = vehicle.part(*other).ends();
        *other != part && [a, b].iter().any(|end| *end == from || *end == to)
    };
    let near: Vec<PartId> = vehicle.part_ids().filter(shares).collect();
    // Of a bar or a stud with many wires none was more in hand than others.
    if near.len() > at_a_bar { Vec::new() } else { near }
}

/// What a past case came to.
pub struct Comeback {
    pub name: String,
    /// When it was begun.
    pub begun: Option<Moment>,
    /// What was complained of.
    pub complaints: Vec<(PartId, Sign)>,
    /// For each hunt, the likeliest part before it was repaired, with its odds.
    pub found: Vec<(PartId, f64)>,
    /// What was repaired.
    pub repaired: Vec<PartId>,
    /// What shows that its last repair holds; `None` if nothing was repaired.
    pub proof: Option<Proof>,
    /// Readings that counted or once did.
    pub readings: usize,
    /// Parts on the way of what was complained of that no reading had a lead on.
    pub never_measured: Vec<PartId>,
}

/// What past cases came to, in their order. A case that no longer solves is
/// left out.
///
/// # Errors
/// [`CaseError`] if the vehicle has no solution at rest.
pub fn comebacks(engine: &Rc<Engine>, cases: &[Listed]) -> Result<Vec<Comeback>, CaseError> {
    let mut told = Vec::new();
    for listed in cases {
        // What cannot stand any more was explained when the case was opened.
        let case = Case::of_kept(Rc::clone(engine), &listed.replayed.entries)?;
        told.extend(comeback(&case, listed)?);
    }
    Ok(told)
}

fn comeback(case: &Case, listed: &Listed) -> Result<Option<Comeback>, CaseError> {
    let account = case.account()?;
    if account.seen.is_empty() && account.readings.is_empty() {
        return Ok(None);
    }
    let complaints: Vec<_> = account.seen.iter().filter(|seen| seen.is_complaint()).collect();
    let found = account.hunts.iter().filter_map(|hunt| {
        let suspects = &hunt.assessment.belief.suspects;
        suspects.iter().find_map(|of| of.site.parts().next().map(|part| (part, of.probability.value())))
    });
    let vehicle = case.vehicle();
    let readings = case.standing().readings.iter().filter(|of| of.bearing != Bearing::StruckOut);
    let touched: Vec<_> = readings.clone().flat_map(|of| <[_; 2]>::from(of.reading.probe.points(vehicle))).collect();
    let mut never_measured: Vec<PartId> = complaints
        .iter()
        .flat_map(|seen| way_there_and_back(vehicle, &seen.state, seen.subject))
        .filter(|&part| {
            let (from, to) = vehicle.part(part).ends();
            !touched.contains(&from) && !touched.contains(&to)
        })
        .collect();
    never_measured.sort_unstable();
    never_measured.dedup();
    Ok(Some(Comeback {
        name: listed.name.clone(),
        begun: listed.replayed.header.as_ref().map(|header| header.begun.clone()),
        complaints: complaints.iter().map(|seen| (seen.subject, seen.sign)).collect(),
        found: found.collect(),
        repaired: account.hunts.iter().flat_map(|hunt| hunt.repaired.iter().copied()).collect(),
        proof: account.proof,
        readings: readings.count(),
        never_measured,
    }))
}
