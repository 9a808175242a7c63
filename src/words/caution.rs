//! Cautions at the moment they matter: when a test goes to a place for the
//! first time, or first sets something going there. Sources: 29 CFR 1910.178(g) and 1926.441 (batteries), NEETS
//! module 3 p. 2-17 (fuses), makers' practice for restraint systems.

use super::document::Block;
use super::names;
use crate::case::Case;
use crate::plan::{Advice, Test};
use crate::predict::Probe;
use crate::vehicle::{Aid, Hazard, PlaceId, Position, Vehicle};

/// The usual words for a hazard.
fn usual(hazard: Hazard) -> &'static str {
    match hazard {
        Hazard::Battery => {
            "a battery gives hundreds of amperes into a slipped tool and may gas: rings off, tools insulated, no sparks"
        }
        Hazard::Restraint => {
            "airbag or belt tensioner wiring near: never probe yellow connectors or anything of theirs; leave it to licensed practice"
        }
        Hazard::HighVoltage => "orange cables carry traction voltage: stop, this is for those licensed for it",
        Hazard::Mains => {
            "mains voltage comes out of the inverter: probe its DC side only; outlets and mains wiring are licensed work"
        }
        Hazard::Gas => "gas near: air the place first, no sparks, follow the local gas code",
        Hazard::Hot => "parts here may be hot enough to burn",
        Hazard::Moving => "parts here start without warning: make sure nothing can move before a hand goes in",
    }
}

/// Cautions for the places that a test opens and for what it sets going, not yet given.
pub fn cautions_for(case: &Case, advice: &Advice) -> Vec<Block> {
    let (vehicle, opened) = (case.vehicle(), &case.standing().opened);
    let places: &[PlaceId] = &advice.opens;
    let bolted = bolted_fuses(vehicle, advice);
    let aids = advice.settings.iter().filter(|(_, position)| *position == Position::On);
    let aids = aids.filter_map(|&(control, _)| Some(format!("Caution: {}.", of_aid(vehicle.aid(control)?))));
    let going = case.sets_going(advice);
    let first_time = |place: &PlaceId| (places.contains(place) && !opened.contains(place)) || going.contains(place);
    said_of(vehicle, first_time).chain(aids).chain(bolted).map(Block::Caution).collect()
}

/// What to mind with fuses under nuts that a test takes out, or puts a clamp round. From:
/// common practice, no source.
fn bolted_fuses(vehicle: &Vehicle, advice: &Advice) -> Option<String> {
    let pulled = advice.settings.iter().map(|&(control, _)| vehicle.control(control));
    let pulled: Vec<&str> = pulled.filter(|one| one.is_bolted).map(|one| one.name.as_str()).collect();
    if !pulled.is_empty() {
        let (are, them) = if pulled.len() == 1 { ("is", "it") } else { ("are", "them") };
        return Some(format!(
            "Caution: {} {are} bolted: everything off, the battery's negative off, then the nuts; no spanner near {them} before that.",
            pulled.join(", ")
        ));
    }
    let Test::Measure(Probe::Current { part }) = advice.test else { return None };
    let is_bolted = vehicle.part(part).gates.iter().any(|&(control, _)| vehicle.control(control).is_bolted);
    let name = names::short_part(vehicle, part);
    is_bolted.then(|| format!("Caution: {name} is bolted: clamp its cable, the jaws clear of the bare studs."))
}

/// What to mind with an aid. From: common practice, no source.
fn of_aid(aid: Aid) -> &'static str {
    match aid {
        Aid::Feed { .. } => {
            "a fused lead only, its fuse no bigger than the load needs, the battery end last; the load starts at once, \
             and what shares its wires comes alive"
        }
        Aid::Bridge { .. } => "never round a fuse; what it feeds starts at once",
        Aid::Off { .. } => {
            "what is live then must touch nothing: insulate it; of a battery the negative comes off first"
        }
        Aid::Lamp { .. } => "the lamp gets hot; what else the plug feeds starts as usual",
    }
}

/// The cautions of the places that `wanted` picks, each said once.
pub fn said_of<'v>(vehicle: &'v Vehicle, wanted: impl Fn(&PlaceId) -> bool) -> impl Iterator<Item = String> + 'v {
    let mut lines: Vec<String> = Vec::new();
    for caution in vehicle.cautions.iter().filter(|caution| wanted(&caution.place)) {
        let text = if caution.text.is_empty() { usual(caution.hazard) } else { &caution.text };
        let line = format!("Caution, {}: {text}.", vehicle.place(caution.place).name);
        if !lines.contains(&line) {
            lines.push(line);
        }
    }
    lines.into_iter()
}
