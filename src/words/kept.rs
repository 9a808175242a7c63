//! What is said of cases on disk.

use super::document::Block;
use super::names;
use crate::case::journal::{Journal, Listed, Stamp};
use crate::case::{Case, Entry, SetAside};
use crate::source::render;
use crate::vehicle::Vehicle;

/// A case was begun.
pub fn case_begun(case: &Case) -> Option<Block> {
    let journal = case.journal()?;
    let along = match case.entries().len() {
        0 => String::new(),
        count => format!(", with {} so far", entries(count)),
    };
    let text = format!("Case {} begun{along}; every entry is kept in {}.", journal.header().name, journal.file());
    Some(Block::Paragraph(text))
}

/// A case was opened again.
pub fn case_opened(case: &Case) -> Option<Block> {
    let journal = case.journal()?;
    let header = journal.header();
    let mut text = format!(
        "Case {}, begun {}{}: {}.",
        header.name,
        header.begun.to_the_minute(),
        by(&header.by),
        entries(case.entries().len())
    );
    if journal.is_read_only() {
        text += " To look at only: nothing can be entered.";
    }
    Some(Block::Paragraph(text))
}

/// What was set aside when it was opened.
pub fn set_aside(of: &SetAside) -> Vec<Block> {
    let lead = match of.findings.len() {
        0 => return Vec::new(),
        1 => format!("One line of {} does not count:", of.file.path),
        count => format!("{count} lines of {} do not count:", of.file.path),
    };
    let findings: Vec<String> = of.findings.iter().map(|finding| render(&of.file, finding)).collect();
    vec![Block::Paragraph(lead), Block::Verbatim(findings.join("\n\n"))]
}

/// Which case is open.
pub fn which_case(case: &Case) -> Block {
    let none = "Nothing is being kept: `case NAME` begins a case or goes on with one, `cases` lists them.";
    case_opened(case).unwrap_or_else(|| Block::paragraph(none))
}

/// Nothing is kept from now on.
pub fn case_closed(closed: Option<String>) -> Block {
    Block::Paragraph(match closed {
        Some(name) => format!("Case {name} closed as it is; what is entered from now on is not kept."),
        None => "Nothing was being kept.".to_string(),
    })
}

/// The cases of the vehicle.
pub fn cases(vehicle: &Vehicle, listed: &[Listed], open: Option<&Journal>) -> Block {
    if listed.is_empty() {
        return Block::paragraph("No cases of this vehicle yet: `case NAME` begins one.");
    }
    let rows = listed.iter().map(|one| {
        let header = one.replayed.header.as_ref();
        let last = one.replayed.last.as_ref();
        let is_open = open.is_some_and(|journal| journal.header().name == one.name);
        let name = if is_open { format!("{} (open)", one.name) } else { one.name.clone() };
        vec![
            name,
            header.map_or(String::new(), |header| header.begun.to_the_minute()),
            last.map_or(String::new(), |stamp| format!("{}{}", stamp.at.to_the_minute(), by(&stamp.by))),
            one.replayed.entries.len().to_string(),
            complaint(vehicle, one).unwrap_or_default(),
            repairs(vehicle, one),
        ]
    });
    Block::table(&["case", "begun", "last", "entries", "complaint", "repaired"], rows)
}

/// The first complaint of a case.
fn complaint(vehicle: &Vehicle, of: &Listed) -> Option<String> {
    let mut seen = of.replayed.entries.iter().filter_map(|kept| kept.entry.seen());
    let complaint = seen.find(|(_, sign)| sign.is_complaint());
    complaint.map(|(subject, sign)| names::short_sign(vehicle, subject, sign))
}

/// What was repaired in a case.
fn repairs(vehicle: &Vehicle, of: &Listed) -> String {
    let parts = of.replayed.entries.iter().filter_map(|kept| match kept.entry {
        Entry::Repaired { part } => Some(names::short_part(vehicle, part)),
        _ => None,
    });
    let mut parts: Vec<&str> = parts.collect();
    parts.dedup();
    parts.join(", ")
}

/// When and by whom an entry was made, for the record: `10:12 ann`.
pub fn stamp(of: &Stamp) -> String {
    format!("{} {}", of.at.time_of_day(), of.by).trim_end().to_string()
}

fn by(name: &str) -> String {
    if name.is_empty() { String::new() } else { format!(" by {name}") }
}

fn entries(count: usize) -> String {
    if count == 1 { "one entry".to_string() } else { format!("{count} entries") }
}
