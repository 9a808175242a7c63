//! Looking at other loads: what else works is worth as much as what is dead.

use super::effort::Situation;
use super::outcome::of_look;
use super::value::{Live, discrete_bits};
use super::{Advice, Test};
use crate::belief::{Engine, Site, appearance_chances};
use crate::network::SolveError;
use crate::vehicle::trace::{settings_for, way_there_and_back};
use crate::vehicle::{ControlKind, LoadKind, PartId, PartKind, Vehicle};

/// Loads considered for a look, at most.
const MOST: usize = 5;
/// Settings that a look may need, at most.
const MOST_SETTINGS: usize = 2;

/// A look at a load.
pub struct Look {
    /// What it takes and would mean.
    pub advice: Advice,
    /// Chances of dead, weak and right under every explanation.
    pub chances: Vec<[f64; 3]>,
}

/// Looks at loads that share something with the suspects.
pub fn advices(
    engine: &Engine,
    live: &[Live<'_>],
    sites: &[Site],
    situation: &Situation<'_>,
) -> Result<Vec<Look>, SolveError> {
    let vehicle = engine.vehicle();
    let mut shares: Vec<(PartId, f64)> = vehicle
        .loads()
        .filter(|&load| can_be_seen(vehicle, load) && !is_known(situation, load))
        .map(|load| (load, imbalance(vehicle, live, sites, situation, load)))
        .filter(|&(_, imbalance)| imbalance > 0.02)
        .collect();
    let settings = |load: PartId| settings_for(vehicle, situation.state, load).len();
    shares.sort_by(|a, b| b.1.total_cmp(&a.1).then_with(|| settings(a.0).cmp(&settings(b.0))).then(a.0.cmp(&b.0)));
    // Loads that share the same suspects tell the same.
    shares.dedup_by(|next, kept| (next.1 - kept.1).abs() < 1e-9);
    shares.truncate(MOST);
    let mut advices = Vec::new();
    for (load, _) in shares {
        advices.extend(look(engine, live, sites, situation, load)?);
    }
    Ok(advices)
}

fn can_be_seen(vehicle: &Vehicle, load: PartId) -> bool {
    !matches!(
        vehicle.part(load).kind,
        PartKind::Load { kind: LoadKind::Module | LoadKind::Charger | LoadKind::Electronics | LoadKind::Socket, .. }
    )
}

fn is_known(situation: &Situation<'_>, load: PartId) -> bool {
    situation.unwanted.contains(&Test::Look { load })
        || situation.evidence.observations.iter().any(|seen| seen.subject == load)
}

/// How evenly the suspects divide into those the load shares and the others.
fn imbalance(vehicle: &Vehicle, live: &[Live<'_>], sites: &[Site], situation: &Situation<'_>, load: PartId) -> f64 {
    let way = way_there_and_back(vehicle, situation.state, load);
    let shared: f64 = live
        .iter()
        .filter(|live| matches!(sites[live.class], Site::Part(part) if way.contains(&part)))
        .map(|live| live.share)
        .sum();
    shared.min(1.0 - shared)
}

fn look(
    engine: &Engine,
    live: &[Live<'_>],
    sites: &[Site],
    situation: &Situation<'_>,
    load: PartId,
) -> Result<Option<Look>, SolveError> {
    let vehicle = engine.vehicle();
    let settings = settings_for(vehicle, situation.state, load);
    let by_hand = settings
        .iter()
        .all(|&(control, _)| matches!(vehicle.control(control).kind, ControlKind::Switch | ControlKind::Condition));
    if settings.len() > MOST_SETTINGS || !by_hand {
        return Ok(None);
    }
    let state = situation.state.with_all(&settings);
    let model = engine.predictor().in_state(&state)?;
    let PartKind::Load { kind, .. } = vehicle.part(load).kind else { return Ok(None) };
    if !model.is_served(vehicle, load) {
        return Ok(None);
    }
    let chances: Vec<[f64; 3]> = live
        .iter()
        .map(|live| appearance_chances(kind, model.performance(vehicle, &live.weighed.hypothesis, load)))
        .collect();
    let test = Test::Look { load };
    let effort = situation.effort(vehicle, test, &settings);
    let advice = Advice {
        test,
        bits: discrete_bits(live, &chances, sites.len()),
        settings,
        opens: effort.opens,
        minutes: effort.minutes,
        sound: None,
        outcomes: of_look(live, sites, &chances),
    };
    Ok(Some(Look { advice, chances }))
}
