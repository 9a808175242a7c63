//! What a finding needs before it is announced.
//!
//! A load is not condemned before its own terminals were read: whatever is open
//! before or behind it makes it as dead, and what draws more or less than it should
//! moves other readings a little, as many other things do. Volts there while it
//! should run tell it, ohms where it is shorted, or what was done to it alone: fed
//! straight, unplugged, another lamp in its place. Without any of these that is the
//! next test.
//! Nothing is announced from a complaint alone, and nothing for certain on the word
//! of one reading: a confirming one comes first.

use super::advice::Advice;
use super::valuation::{Rough, Valuation};
use super::value::live;
use crate::belief::{Belief, Engine, Evidence, Reading, Site, Suspect};
use crate::fault::FailureMode;
use crate::network::SolveError;
use crate::plan::effort::Situation;
use crate::predict::Probe;
use crate::vehicle::{PartId, Vehicle};

/// What a finding lacks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Missing {
    /// A reading at the terminals of a load.
    OfLoad,
    /// Anything but the complaint.
    Reading,
    /// A second reading: all rests on one.
    SecondReading,
}

/// What a belief in a site lacks to be announced.
///
/// # Errors
/// [`SolveError`] if a state that was read in has no solution.
pub(super) fn missing(
    engine: &Engine,
    belief: &Belief,
    evidence: &Evidence,
    found: &Suspect,
) -> Result<Option<Missing>, SolveError> {
    // What has no place is not repaired.
    if found.site.parts().next().is_none() {
        return Ok(None);
    }
    for (load, _) in loads_at_fault(engine.vehicle(), belief, found.site) {
        if !is_shown(engine, evidence, load)? {
            return Ok(Some(Missing::OfLoad));
        }
    }
    if evidence.all_readings().next().is_none() && evidence.all_observations().count() < 2 {
        return Ok(Some(Missing::Reading));
    }
    let (figures, tables) = (&engine.tables().plan, engine.tables());
    let is_sure = found.probability >= figures.sure;
    let rests_on = belief.rests_on(&tables.belief, found.site).filter(|_| is_sure);
    // What was read again and found the same is no longer the word of one reading.
    let is_alone = rests_on.is_some_and(|reading| evidence.readings[reading].agreed == 0);
    Ok(is_alone.then_some(Missing::SecondReading))
}

/// The readings that would show what is believed of a site, the quickest first.
///
/// # Errors
/// As [`missing`].
pub(super) fn showing(
    engine: &Engine,
    belief: &Belief,
    situation: &Situation<'_>,
    site: Site,
) -> Result<Vec<Advice>, SolveError> {
    let vehicle = engine.vehicle();
    let figures = &engine.tables().plan;
    let live = live(figures, belief);
    let valuation = Valuation::of(engine, belief, &live, situation, figures.least_bits);
    let model = engine.predictor().in_state(situation.state)?;
    let mut advices = Vec::new();
    for (load, mode) in loads_at_fault(vehicle, belief, site) {
        // What is shorted is not switched on.
        let settings = match vehicle.part(load).kind.is_supply() || mode == FailureMode::ShortAcross {
            true => Vec::new(),
            false => model.leads(vehicle).settings_for(vehicle, situation.state, load),
        };
        let is_open = |probe: &Probe| valuation.may_hold(*probe) && !valuation.is_done(*probe, &settings);
        let (from, to) = vehicle.part(load).ends();
        let (red, black) = if vehicle.part(load).kind.is_supply() { (to, from) } else { (from, to) };
        // Where volts may stand an ohmmeter has no business.
        let is_short = mode == FailureMode::ShortAcross && valuation.is_dead(&model, red, black);
        let ohms = is_short.then_some(Probe::Resistance { red, black });
        let probes = ohms.into_iter().chain([Probe::voltage(red, black)]);
        let rough = |probe| {
            let minutes = situation.effort(vehicle, super::Test::Measure(probe), &settings).minutes;
            Rough { probe, settings: settings.clone(), rate: 1.0 / minutes.0 }
        };
        let mut rough: Vec<Rough> = probes.filter(is_open).map(rough).collect();
        rough.sort_by(|a, b| b.rate.total_cmp(&a.rate));
        rough.truncate(1);
        advices.extend(valuation.exact(&rough)?);
    }
    Ok(advices)
}

/// The reading that all rests on, once more, in the state it was of.
///
/// # Errors
/// As [`missing`].
pub(super) fn again(
    engine: &Engine,
    belief: &Belief,
    situation: &Situation<'_>,
    site: Site,
) -> Result<Vec<Advice>, SolveError> {
    let rests_on = belief.rests_on(&engine.tables().belief, site);
    let readings = &situation.evidence.readings;
    let Some(reading) = rests_on.map(|at| &readings[at]) else { return Ok(Vec::new()) };
    let settings = situation.state.settings_to(&reading.state, engine.vehicle());
    let figures = &engine.tables().plan;
    let live = live(figures, belief);
    let valuation = Valuation::of(engine, belief, &live, situation, figures.least_bits);
    valuation.exact(&[Rough { probe: reading.probe, settings, rate: 0.0 }])
}

/// The loads at a site that are believed to be at fault themselves, and the supplies
/// there.
fn loads_at_fault(vehicle: &Vehicle, belief: &Belief, site: Site) -> impl Iterator<Item = (PartId, FailureMode)> {
    let of_load = |(part, mode): &(PartId, FailureMode)| {
        let kind = &vehicle.part(*part).kind;
        let is_its_own = matches!(mode, FailureMode::OpenCircuit | FailureMode::ShortAcross) || mode.is_of_draw();
        kind.is_supply() || (kind.is_load() && is_its_own)
    };
    belief.modes_at(site).into_iter().filter(of_load)
}

/// Whether its own volts have been read while a load should run, or its ohms, or
/// something was done to it alone; of a supply, its own volts.
fn is_shown(engine: &Engine, evidence: &Evidence, part: PartId) -> Result<bool, SolveError> {
    let vehicle = engine.vehicle();
    let is_supply = vehicle.part(part).kind.is_supply();
    let mut telling: Vec<&Reading> = Vec::new();
    for reading in evidence.all_readings() {
        if is_supply || engine.predictor().in_state(&reading.state)?.is_served(vehicle, part) {
            telling.push(reading);
        }
    }
    Ok(evidence.has_aided(part) || are_terminals_read(vehicle, &telling, part))
}

/// Whether the volts across a part follow from readings of one state: each of its
/// terminals against one point, or one against the other; of a supply, its live post
/// against the usual negative will do. So do ohms between its terminals.
pub fn are_terminals_read(vehicle: &Vehicle, readings: &[&Reading], part: PartId) -> bool {
    let (from, to) = vehicle.part(part).ends();
    let is_supply = vehicle.part(part).kind.is_supply();
    let is_of_ohms = |reading: &&Reading| match reading.probe {
        Probe::Resistance { red, black } => [(from, to), (to, from)].contains(&(red, black)),
        Probe::Voltage { .. } | Probe::Current { .. } | Probe::Fixed { .. } => false,
    };
    readings.iter().any(is_of_ohms)
        || readings.iter().any(|reading| {
            let against = |end| {
                readings.iter().filter(|other| other.state == reading.state).filter_map(move |other| {
                    let (one, two) = other.probe.plain_voltage()?;
                    (one == end).then_some(two).or((two == end).then_some(one))
                })
            };
            against(from).any(|far| far == to || against(to).any(|other| other == far))
                || (is_supply && against(to).any(|far| far == vehicle.black))
        })
}
