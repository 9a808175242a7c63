//! The tests at hand, best first.

use super::effort::Situation;
use super::outcome::{Range, of_voltage};
use super::value::{Live, exact_bits, live, quick_bits};
use super::{Advice, LEAST_BITS, Test, looks};
use crate::belief::{Belief, Engine, Site};
use crate::network::SolveError;
use crate::predict::{Hypothesis, StateModel, View};
use crate::quantity::Volts;
use crate::vehicle::{ControlId, ControlKind, PartId, PointId, Position, State, Vehicle};

/// Points beyond which pairs across the vehicle are not tried.
const MANY_POINTS: usize = 26;
/// Tests that get an exact valuation.
const SHORT_LIST: usize = 14;
/// Runners-up given.
const MOST_ADVICES: usize = 6;
/// A test in the present state this good makes changes of state unneeded, bits
/// per minute.
const GOOD_RATE: f64 = 0.25;
/// Changes of state tried, at most.
const MOST_TOGGLES: usize = 6;
/// Belief that makes a part worth probing around.
const WORTH_PROBING: f64 = 0.002;

/// A voltage test with a quick value.
struct Quick {
    red: PointId,
    black: PointId,
    settings: Vec<(ControlId, Position)>,
    rate: f64,
}

/// The best tests, each worth taking.
pub fn best(engine: &Engine, belief: &Belief, situation: &Situation<'_>) -> Result<Vec<Advice>, SolveError> {
    let (live, sites) = live(belief);
    if live.is_empty() {
        return Ok(Vec::new());
    }
    let mut advices = looks::advices(engine, &live, &sites, situation)?;
    advices.extend(voltages(engine, belief, &live, &sites, situation, &[Vec::new()])?);
    let good = advices.iter().any(|advice| advice.bits > LEAST_BITS && advice.rate() > GOOD_RATE);
    if !good {
        let toggles = toggles(engine.vehicle(), belief, situation);
        advices.extend(voltages(engine, belief, &live, &sites, situation, &toggles)?);
    }
    advices.retain(|advice| advice.bits > LEAST_BITS);
    advices.sort_by(|a, b| b.rate().total_cmp(&a.rate()));
    advices.truncate(MOST_ADVICES);
    Ok(advices)
}

fn voltages(
    engine: &Engine,
    belief: &Belief,
    live: &[Live<'_>],
    sites: &[Site],
    situation: &Situation<'_>,
    settings: &[Vec<(ControlId, Position)>],
) -> Result<Vec<Advice>, SolveError> {
    let vehicle = engine.vehicle();
    let pairs = pairs(vehicle, belief, situation);
    let mut quick = Vec::new();
    for settings in settings {
        let state = after(situation.state, settings);
        let model = engine.predictor().in_state(&state)?;
        quick.extend(quick_values(&model, vehicle, live, sites.len(), situation, &pairs, settings));
    }
    quick.sort_by(|a, b| b.rate.total_cmp(&a.rate));
    quick.truncate(SHORT_LIST);
    let mut advices = Vec::new();
    for quick in quick {
        let state = after(situation.state, &quick.settings);
        let model = engine.predictor().in_state(&state)?;
        advices.push(exact(belief, &model, vehicle, live, sites, situation, quick));
    }
    Ok(advices)
}

fn after(state: &State, settings: &[(ControlId, Position)]) -> State {
    settings.iter().fold(state.clone(), |state, &(control, to)| state.with(control, to))
}

/// Pairs of points around the suspects that have not been read in this state.
fn pairs(vehicle: &Vehicle, belief: &Belief, situation: &Situation<'_>) -> Vec<(PointId, PointId)> {
    let mut points: Vec<PointId> = Vec::new();
    let mut across: Vec<(PointId, PointId)> = Vec::new();
    for suspect in belief.suspects.iter().filter(|suspect| suspect.probability > WORTH_PROBING) {
        if let Site::Part(part) = suspect.site {
            let (from, to) = vehicle.part(part).ends();
            points.extend([from, to]);
            across.push((from, to));
        }
    }
    points.sort_unstable();
    points.dedup();
    points.retain(|&point| situation.can_reach(vehicle, point));
    let mut pairs: Vec<(PointId, PointId)> = points.iter().map(|&point| (point, situation.black)).collect();
    if points.len() <= MANY_POINTS {
        for (index, &a) in points.iter().enumerate() {
            pairs.extend(points[index + 1..].iter().map(|&b| (a, b)));
        }
    } else {
        let reachable = |point| situation.can_reach(vehicle, point);
        pairs.extend(across.into_iter().filter(|&(a, b)| reachable(a) && reachable(b)));
    }
    pairs.retain(|&(red, black)| red != black && situation.can_reach(vehicle, black));
    pairs
}

fn quick_values(
    model: &StateModel,
    vehicle: &Vehicle,
    live: &[Live<'_>],
    classes: usize,
    situation: &Situation<'_>,
    pairs: &[(PointId, PointId)],
    settings: &[(ControlId, Position)],
) -> Vec<Quick> {
    let views: Vec<View<'_>> = live.iter().map(|live| model.view(vehicle, &live.weighed.hypothesis)).collect();
    let sound = model.view(vehicle, &Hypothesis::Sound);
    let sheet = situation.meter.meter();
    let mut quick = Vec::new();
    for &(a, b) in pairs {
        // The red lead goes where the voltage is higher when all is sound.
        let (red, black) = if sound.volts(a, b) < -1e-9 { (b, a) } else { (a, b) };
        let test = Test::Voltage { red, black };
        if settings.is_empty() && (is_taken(situation, red, black) || situation.unwanted.contains(&test)) {
            continue;
        }
        let means: Vec<f64> = views.iter().map(|view| view.volts(red, black)).collect();
        let largest = means.iter().fold(0.0f64, |most, mean| most.max(mean.abs()));
        let gain = sheet.gain_deviation() * largest;
        let deviation = 0.02 * largest + gain + sheet.offset_deviation(Volts(largest)).0;
        let bits = quick_bits(live, &means, deviation, classes);
        if bits > 0.5 * LEAST_BITS {
            let minutes = situation.effort(vehicle, test, settings).minutes;
            quick.push(Quick { red, black, settings: settings.to_vec(), rate: bits / minutes.0 });
        }
    }
    quick
}

fn is_taken(situation: &Situation<'_>, red: PointId, black: PointId) -> bool {
    situation.evidence.readings.iter().any(|reading| {
        let same = (reading.red, reading.black) == (red, black) || (reading.red, reading.black) == (black, red);
        same && reading.state == *situation.state
    })
}

fn exact(
    belief: &Belief,
    model: &StateModel,
    vehicle: &Vehicle,
    live: &[Live<'_>],
    sites: &[Site],
    situation: &Situation<'_>,
    quick: Quick,
) -> Advice {
    let Quick { red, black, settings, .. } = quick;
    let forecast = |hypothesis: &Hypothesis, joint: Option<&crate::belief::Joint>| {
        let next = model.view(vehicle, hypothesis).shown(red, black, situation.meter, Volts(0.0), &belief.theta);
        match joint {
            Some(joint) => {
                let forecast = joint.forecast(&next);
                (forecast.mean, forecast.variance.sqrt())
            }
            None => (next.mean, next.variance().sqrt()),
        }
    };
    let forecasts: Vec<(f64, f64)> =
        live.iter().map(|live| forecast(&live.weighed.hypothesis, live.weighed.joint.as_ref())).collect();
    let sound_joint = belief.best_at(Site::Nothing).and_then(|weighed| weighed.joint.as_ref());
    let (mean, deviation) = forecast(&Hypothesis::Sound, sound_joint);
    let test = Test::Voltage { red, black };
    let effort = situation.effort(vehicle, test, &settings);
    Advice {
        test,
        bits: exact_bits(live, &forecasts, sites.len()),
        settings,
        opens: effort.opens,
        minutes: effort.minutes,
        sound: Some(Range { low: Volts(mean - 2.0 * deviation), high: Volts(mean + 2.0 * deviation) }),
        outcomes: of_voltage(live, sites, &forecasts),
    }
}

/// Single changes of what gates the suspects.
fn toggles(vehicle: &Vehicle, belief: &Belief, situation: &Situation<'_>) -> Vec<Vec<(ControlId, Position)>> {
    let mut controls: Vec<ControlId> = Vec::new();
    let suspects = belief.suspects.iter().filter(|suspect| suspect.probability > WORTH_PROBING);
    let parts: Vec<PartId> = suspects
        .filter_map(|suspect| match suspect.site {
            Site::Part(part) => Some(part),
            _ => None,
        })
        .collect();
    for part in parts {
        for &(control, _) in &vehicle.part(part).gates {
            let by_hand = !matches!(vehicle.control(control).kind, ControlKind::Sensed | ControlKind::Calling);
            if by_hand && !controls.contains(&control) {
                controls.push(control);
            }
        }
    }
    controls.truncate(MOST_TOGGLES);
    controls.into_iter().map(|control| vec![(control, situation.state.position(control).opposite())]).collect()
}
