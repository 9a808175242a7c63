//! What is put in or taken off for a test, and put back.

use super::command::{Command, CommandError};
use super::lookup::Lookup;
use super::verbs::{Grammar, Verb};
use crate::case::{Case, Entry};
use crate::vehicle::{Aid, ControlId, NoAid, PartId, Position};

/// `feed LOAD [both]`, `bridge PART`, `disconnect PART [POINT]`, `lamp FUSE | LOAD`.
pub(super) fn put(verb: &Verb, rest: &[&str], case: &Case, lookup: &Lookup<'_>) -> Result<Command, CommandError> {
    let rest: Vec<&str> = rest.iter().copied().filter(|word| !matches!(*word, "at" | "from" | "the")).collect();
    let (name, more) = rest.split_first().ok_or_else(|| lookup.missing(verb))?;
    let vehicle = case.vehicle();
    let aid = match (&verb.grammar, more) {
        (Grammar::Feed, [] | ["both"]) => fed(case, lookup.load(name)?, !more.is_empty()),
        (Grammar::Bridge, []) => Ok(Aid::Bridge { part: lookup.switched(name)? }),
        (Grammar::Disconnect, []) => {
            let part = lookup.part_or_plug(name)?;
            Ok(Aid::Off { part, at: vehicle.part(part).to })
        }
        (Grammar::Disconnect, [point]) => Ok(Aid::Off { part: lookup.part_or_plug(name)?, at: lookup.point(point)? }),
        (Grammar::Lamp, []) => match lookup.load(name) {
            Ok(load) => Ok(Aid::Lamp { load }),
            Err(_) => return Ok(set(vec![(lookup.fuse_control(name)?, Position::Lamp)])),
        },
        _ => return Err(CommandError::TooMany { word: more.last().unwrap_or(name).to_string() }),
    };
    let refused = |why| CommandError::NoAid { name: name.to_string(), why };
    let aid = aid.map_err(refused)?;
    aid.is_fit(vehicle).map_err(refused)?;
    let control = vehicle.find_aid(aid).ok_or_else(|| lookup.unknown(name))?;
    // One lead or two, not both kinds at once.
    let other = same_feed(case, aid).filter(|&other| other != control);
    Ok(set(other.map(|other| (other, Position::Off)).into_iter().chain([(control, Position::On)]).collect()))
}

fn set(settings: Vec<(ControlId, Position)>) -> Command {
    Command::Enter(Entry::Set { settings })
}

fn fed(case: &Case, load: PartId, both: bool) -> Result<Aid, NoAid> {
    case.vehicle().feed_of(load, both).ok_or(NoAid::NoBattery)
}

/// The feed of the same load that is in use.
fn same_feed(case: &Case, aid: Aid) -> Option<ControlId> {
    let Aid::Feed { load, .. } = aid else { return None };
    let of_load = |&(id, _): &(ControlId, Position)| matches!(case.vehicle().aid(id), Some(Aid::Feed { load: other, .. }) if other == load);
    case.standing().state.changes(case.vehicle()).find(of_load).map(|(id, _)| id)
}

/// `remove`, `remove PART`: all that is in, or that of one part.
pub(super) fn remove(rest: &[&str], case: &Case, lookup: &Lookup<'_>) -> Result<Command, CommandError> {
    let vehicle = case.vehicle();
    let named = rest.last().map(|name| lookup.part_or_plug(name)).transpose()?;
    let is_meant = |id: ControlId| vehicle.aid(id).is_some_and(|aid| named.is_none_or(|part| aid.part() == part));
    let all = case.standing().state.changes(vehicle);
    let settings: Vec<_> = all.filter(|&(id, _)| is_meant(id)).map(|(id, _)| (id, Position::Off)).collect();
    match settings.is_empty() {
        true => Err(CommandError::NothingToRemove),
        false => Ok(set(settings)),
    }
}
