//! What would make faults quicker to find: a point brought out to where the hand
//! goes first, a joint moved there. Each is planned again on the changed vehicle,
//! with the same faults; those that did best are played with fresh ones, since the
//! best of many looks better than it is.

use super::rehearsal::Faults;
use super::running::RunningLoad;
use super::testability::Testability;
use crate::case::CaseError;
use crate::quantity::Minutes;
use crate::tables::review::Reviewing;
use crate::trial::Mean;
use crate::vehicle::trace::stops;
use crate::vehicle::{PartId, PartKind, PlaceId, PointId, Reach, State, Vehicle};

/// Something that could be built otherwise.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ProposedChange {
    /// A point can be read at a place besides.
    TestPoint { point: PointId, place: PlaceId },
    /// A joint is made at another place.
    MovedJoint { joint: PartId, place: PlaceId },
}

impl ProposedChange {
    /// A vehicle with it.
    pub fn built_in(self, vehicle: &Vehicle) -> Vehicle {
        let mut changed = vehicle.clone();
        match self {
            Self::TestPoint { point, place } => changed.points[point.index()].places.push(place),
            Self::MovedJoint { joint, place } => {
                let part = &mut changed.parts[joint.index()];
                let ends = [part.from, part.to];
                let left = part.place.replace(place);
                for end in ends {
                    let places = &mut changed.points[end.index()].places;
                    places.retain(|&old| Some(old) != left);
                    places.push(place);
                }
            }
        }
        changed
    }
}

/// A change with what it saves, counted on faults that it was not chosen by.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Proposal {
    pub change: ProposedChange,
    /// The circuit whose faults were played.
    pub circuit: PartId,
    pub before: Mean,
    pub after: Mean,
    /// Minutes saved of each fault, paired.
    pub saved: Mean,
    /// At so many faults a year in the whole vehicle.
    pub saved_a_year: Minutes,
}

/// The changes that save time, those that save most a year first.
///
/// # Errors
/// [`CaseError`] if a state cannot be solved.
pub fn proposals(
    practice: &Reviewing,
    faults: &Faults<'_>,
    running: &[RunningLoad],
    found: &Testability,
) -> Result<Vec<Proposal>, CaseError> {
    let Some(hub) = hub(faults.vehicle()) else { return Ok(Vec::new()) };
    let mut worst: Vec<_> = found.circuits.iter().collect();
    worst.sort_by(|a, b| (b.weight * b.minutes.mean).total_cmp(&(a.weight * a.minutes.mean)));
    let mut proposals = Vec::new();
    for tested in worst.into_iter().take(practice.proposed_for) {
        let circuit = tested.circuit;
        let (known, fresh) = faults.of(circuit);
        let candidates = candidates(practice, faults.vehicle(), running, circuit, hub);
        // Too few fresh ones show nothing.
        if fresh.len() < known.len() {
            continue;
        }
        let Some(change) = best(faults, known, &candidates)? else { continue };
        let pairs = faults.paired(&change.built_in(faults.vehicle()), fresh)?;
        let saved = Mean::of(&pairs.iter().map(|(before, after)| before - after).collect::<Vec<_>>());
        if saved.mean > 0.0 {
            let side = |of: fn(&(f64, f64)) -> f64| Mean::of(&pairs.iter().map(of).collect::<Vec<_>>());
            let saved_a_year = Minutes(saved.mean * tested.weight * practice.faults_a_year);
            let (before, after) = (side(|pair| pair.0), side(|pair| pair.1));
            proposals.push(Proposal { change, circuit, before, after, saved, saved_a_year });
        }
    }
    proposals.sort_by(|a, b| b.saved_a_year.total_cmp(&a.saved_a_year));
    Ok(proposals)
}

/// The place that a hand gets to first.
fn hub(vehicle: &Vehicle) -> Option<PlaceId> {
    let places = (0..vehicle.places.len()).map(PlaceId::new).filter(|&place| vehicle.place(place).lets_probes_in);
    places.min_by(|&a, &b| vehicle.place(a).effort().total_cmp(&vehicle.place(b).effort()))
}

/// Points and joints on the ways of a circuit that take longer to get at than the hub.
fn candidates(
    practice: &Reviewing,
    vehicle: &Vehicle,
    running: &[RunningLoad],
    circuit: PartId,
    hub: PlaceId,
) -> Vec<ProposedChange> {
    let mut all: Vec<ProposedChange> = Vec::new();
    let is_far = |place: PlaceId| vehicle.place(place).effort() > vehicle.place(hub).effort();
    let rest = State::rest(vehicle);
    for one in running.iter().filter(|one| one.circuit() == circuit && !vehicle.is_on_mains(one.load)) {
        for stop in stops(vehicle, &rest, one.load) {
            let is_hidden = match vehicle.reach(stop.point) {
                Reach::Never => true,
                Reach::At(place) => is_far(place),
            };
            all.extend(is_hidden.then_some(ProposedChange::TestPoint { point: stop.point, place: hub }));
            let joint = stop.by.filter(|&id| vehicle.part(id).kind == PartKind::Joint);
            let far = joint.filter(|&id| vehicle.part(id).place.is_some_and(is_far));
            all.extend(far.map(|joint| ProposedChange::MovedJoint { joint, place: hub }));
        }
    }
    let mut once: Vec<ProposedChange> = Vec::new();
    all.into_iter().for_each(|one| {
        if !once.contains(&one) {
            once.push(one)
        }
    });
    // Spread along the way, so that its middle is among them.
    let step = once.len().div_ceil(practice.tried).max(1);
    once.into_iter().skip(step / 2).step_by(step).collect()
}

/// The candidate that saves most of these faults, if one saves anything.
fn best(
    faults: &Faults<'_>,
    seeds: &[u64],
    candidates: &[ProposedChange],
) -> Result<Option<ProposedChange>, CaseError> {
    let mut best: Option<(f64, ProposedChange)> = None;
    for &change in candidates {
        let pairs = faults.paired(&change.built_in(faults.vehicle()), seeds)?;
        let saved: f64 = pairs.iter().map(|(before, after)| before - after).sum();
        if saved > best.map_or(0.0, |(most, _)| most) {
            best = Some((saved, change));
        }
    }
    Ok(best.map(|(_, change)| change))
}
