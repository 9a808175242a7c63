//! Holding time: how long what is in a stopped load keeps.

use super::document::Block;
use super::names;
use crate::case::Case;

/// How long what is in a stopped load keeps, if that is known: until when, if
/// the record tells when it was complained of.
pub fn keeps_until(case: &Case) -> Option<Block> {
    let vehicle = case.vehicle();
    let complaints = case.standing().evidence.observations.iter().filter(|seen| seen.is_complaint());
    let hold = |load| vehicle.part(load).kind.load().and_then(|load| load.hold);
    let (load, hold) = complaints.filter_map(|seen| Some((seen.subject, hold(seen.subject)?))).next()?;
    let entry = case.entries().iter().rposition(|entry| entry.seen().is_some_and(|(subject, _)| subject == load))?;
    let told = case.journal().and_then(|journal| journal.stamps().get(entry)).map(|stamp| &stamp.at);
    let until = match told {
        Some(told) => format!("told at {}, so until {}", told.time_of_day(), told.after(hold).time_of_day()),
        None => "counted from when it stopped: ask for that time and write it down (`note`)".to_string(),
    };
    let text = format!(
        "Clock: {} keeps what is in it about {hold}, {until}. Door shut, a sign on it, temperature noted; a cool box \
         ready before then.",
        names::part(vehicle, load)
    );
    Some(Block::Paragraph(text))
}
