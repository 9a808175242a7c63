//! On which side of what is complained of a part lies, from the circuit graph
//! alone.

use super::circuit::Vehicle;
use super::id::PartId;
use super::part::Role;
use super::state::State;
use super::trace::feed_of;
use serde::Deserialize;

/// Where a part lies, seen from what is complained of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize)]
pub enum Side {
    /// Between the supply and it, the supply included.
    Supply,
    /// What switches it: switches and contacts on its way, the coils that work
    /// these, and the ways of the coils.
    Control,
    /// Between it and the supply's other post.
    Return,
    /// It itself.
    Load,
    /// Somewhere else.
    Elsewhere,
}

/// The side of every part, in part order. Of a fuse, the first load it feeds
/// counts as what is complained of; of a battery, it itself.
pub fn sides(vehicle: &Vehicle, state: &State, subject: PartId) -> Vec<Side> {
    let mut sides = vec![Side::Elsewhere; vehicle.parts.len()];
    let mut mark = |part: PartId, side: Side| {
        if sides[part.index()] == Side::Elsewhere {
            sides[part.index()] = side;
        }
    };
    let load = load_of(vehicle, state, subject);
    mark(load, Side::Load);
    if vehicle.part(load).kind.is_supply() {
        let (negative, positive) = vehicle.part(load).ends();
        // A battery is fed by what charges it; the ways of the sources meet at its posts.
        for source in vehicle.supplies().filter(|&other| other != load) {
            mark(source, Side::Supply);
        }
        for sink in vehicle.loads() {
            let feed = feed_of(vehicle, state, sink);
            let touches = |part: &PartId, post| {
                let (from, to) = vehicle.part(*part).ends();
                from == post || to == post
            };
            if feed.there.first().is_some_and(|part| touches(part, positive)) {
                feed.there.iter().for_each(|&part| mark(part, Side::Supply));
            }
            if feed.back.last().is_some_and(|part| touches(part, negative)) {
                feed.back.iter().for_each(|&part| mark(part, Side::Return));
            }
        }
        return sides;
    }
    let feed = feed_of(vehicle, state, load);
    let on_the_way = || feed.there.iter().chain(&feed.back).copied();
    for part in on_the_way().filter(|&part| vehicle.part(part).kind.role() == Role::Switchgear) {
        mark(part, Side::Control);
        if let Some(coil) = vehicle.part(part).kind.contact().map(|contact| contact.coil) {
            mark(coil, Side::Control);
            let feed = feed_of(vehicle, state, coil);
            let own = feed.there.into_iter().chain(feed.back).filter(|&part| !on_the_way().any(|other| other == part));
            own.for_each(|part| mark(part, Side::Control));
        }
    }
    feed.there.iter().for_each(|&part| mark(part, Side::Supply));
    feed.back.iter().for_each(|&part| mark(part, Side::Return));
    feed.source.into_iter().for_each(|part| mark(part, Side::Supply));
    for supply in vehicle.supplies() {
        let first = feed.there.first().map(|&part| vehicle.part(part).ends());
        let post = vehicle.part(supply).to;
        if first.is_some_and(|(from, to)| from == post || to == post) {
            mark(supply, Side::Supply);
        }
    }
    sides
}

/// What stands for the load: of a fuse or the like, the first load it feeds.
fn load_of(vehicle: &Vehicle, state: &State, subject: PartId) -> PartId {
    let kind = &vehicle.part(subject).kind;
    if kind.is_load() || kind.is_battery() {
        return subject;
    }
    let feeds = |load: &PartId| feed_of(vehicle, state, *load).there.contains(&subject);
    vehicle.loads().find(feeds).unwrap_or(subject)
}
