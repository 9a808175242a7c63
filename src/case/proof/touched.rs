//! What hands may have disturbed on the way to a repair.

use super::watch::Served;
use crate::case::{Case, Entry, Standing};
use crate::vehicle::trace::Feed;
use crate::vehicle::{Aid, ControlId, ControlKind, Disturbance, PartId, Position, Role};

/// The parts, in order, without the repaired one: its neighbours on the ways of
/// what was complained of, what shares its plug or its fuse holder, what
/// belongs to plugs and fuses that were pulled, and contacts in places whose
/// opening disturbs.
pub fn touched(case: &Case, then: &Standing, repaired: PartId, watched: Option<&Served>) -> Vec<PartId> {
    let vehicle = case.vehicle();
    let (handled, came_off) = (handled(case, repaired), came_off(case));
    let neighbours = watched.map(|watched| neighbours(&watched.feed, repaired));
    let in_hand = |id: &PartId| {
        let part = vehicle.part(*id);
        let is_handled = part.gates.iter().any(|(control, _)| handled.contains(control)) || came_off.contains(id);
        let is_contact = part.kind.role() == Role::Connection;
        let stirs = |place| vehicle.place(place).disturbance != Disturbance::None;
        let is_stirred = is_contact && part.place.is_some_and(|place| stirs(place) && then.opened.contains(&place));
        is_handled || is_stirred || neighbours.as_ref().is_some_and(|near| near.contains(id))
    };
    vehicle.part_ids().filter(|&id| id != repaired).filter(in_hand).collect()
}

/// Plugs and fuses pulled at some time, and those that the repaired part
/// belongs to.
fn handled(case: &Case, repaired: PartId) -> Vec<ControlId> {
    let vehicle = case.vehicle();
    let settings = case.entries().iter().flat_map(Entry::settings);
    let pulled = settings.filter(|(_, position)| *position == Position::Off).map(|(control, _)| *control);
    let own = vehicle.part(repaired).gates.iter().map(|(control, _)| *control);
    pulled
        .chain(own)
        .filter(|&control| matches!(vehicle.control(control).kind, ControlKind::Fuse | ControlKind::Plug))
        .collect()
}

/// Parts that came off their posts or out of their plugs for a test.
fn came_off(case: &Case) -> Vec<PartId> {
    let settings = case.entries().iter().flat_map(Entry::settings);
    let aids = settings.filter_map(|&(control, _)| case.vehicle().aid(control));
    aids.filter(|aid| matches!(aid, Aid::Off { .. } | Aid::Lamp { .. })).map(Aid::part).collect()
}

/// The parts before and after the repaired one on the ways there and back.
fn neighbours(feed: &Feed, repaired: PartId) -> Vec<PartId> {
    let way: Vec<PartId> = feed.parts().collect();
    let Some(at) = way.iter().position(|&part| part == repaired) else { return Vec::new() };
    let around = [at.checked_sub(1), Some(at + 1)];
    around.into_iter().flatten().filter_map(|index| way.get(index).copied()).collect()
}
