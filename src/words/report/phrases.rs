//! Phrases that the drawings, the tables and the text share.

use crate::case::{AccountPoint, Hunt, ReadingVerdict};
use crate::plan::Next;
use crate::quantity::Volts;
use crate::tables::telling::Telling;
use crate::vehicle::{PartId, State, Vehicle};
use crate::words::document::{Cell, Ink, Tone};
use crate::words::{names, quantities};

/// Pass or fail.
pub fn verdict(verdict: ReadingVerdict) -> Cell {
    let (text, tone) = match verdict {
        ReadingVerdict::Within => ("pass", Tone::Good),
        ReadingVerdict::Low => ("fail: low", Tone::Bad),
        ReadingVerdict::High => ("fail: high", Tone::Bad),
        ReadingVerdict::Floating => ("no verdict: floating", Tone::Plain),
    };
    Cell { text: text.to_string(), tone }
}

/// `11.40 V low`.
pub fn read_said(volts: Volts, verdict: ReadingVerdict) -> String {
    let word = match verdict {
        ReadingVerdict::Within => "pass",
        ReadingVerdict::Low => "low",
        ReadingVerdict::High => "high",
        ReadingVerdict::Floating => "floating",
    };
    format!("{volts} {word}")
}

/// What is known of a part at the end of a hunt, in a few words, and its ink.
pub fn standing_said(figures: &Telling, hunt: &Hunt, part: PartId) -> (Option<String>, Ink) {
    let in_segment =
        hunt.assessment.segment.iter().flat_map(|segment| segment.parts()).find(|(other, _)| *other == part);
    let is_found = matches!(hunt.assessment.next, Next::Found { .. });
    match in_segment {
        Some((_, chance)) if is_found => (Some(quantities::odds("found,", chance)), Ink::Bad),
        Some((_, chance)) if chance > figures.named => (Some(quantities::odds("suspect,", chance)), Ink::Bad),
        _ if hunt.assessment.proved_good.contains(&part) => (Some("proved good".to_string()), Ink::Good),
        _ => (None, Ink::Quiet),
    }
}

/// A panel in words.
pub fn panel_said(vehicle: &Vehicle, stations: &[AccountPoint]) -> String {
    let name = |station: &AccountPoint| names::short_point(vehicle, station.stop.point).to_string();
    let (Some(first), Some(last)) = (stations.first(), stations.last()) else { return String::new() };
    let read: Vec<String> = stations
        .iter()
        .filter_map(|station| {
            station.read.map(|(volts, verdict)| format!("{} reads {}", name(station), read_said(volts, verdict)))
        })
        .collect();
    let read = if read.is_empty() { "none of them read".to_string() } else { read.join(", ") };
    format!("{} points from {} to {}; {read}.", stations.len(), name(first), name(last))
}

/// How everything stands, in a phrase.
pub fn state_said(vehicle: &Vehicle, state: &State) -> String {
    let changes: Vec<_> = state.changes(vehicle).collect();
    match changes.is_empty() {
        true => "everything at rest".to_string(),
        false => format!("{}; everything else at rest", names::settings(vehicle, &changes)),
    }
}
