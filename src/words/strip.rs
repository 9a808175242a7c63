//! The way of what is complained of in a line: from supply to return, with what was read
//! on it, and where the trouble may still be, by mark and word.

use super::circuit::{self, TraceRow};
use super::document::{Block, Cell, Tone};
use super::{names, quantities};
use crate::case::{Case, ReadingVerdict};
use crate::plan::Next;
use crate::vehicle::{PartId, PointId};

/// Between two points where nothing is suspect.
const SOUND: &str = "--";
/// Where the trouble may be.
const OPEN: &str = "-?-";
/// Where it has been found.
const FOUND: &str = "-X-";

/// The strip of the load that is complained of, once something was read on its way.
pub fn of_complaint(case: &Case) -> Option<Block> {
    let vehicle = case.vehicle();
    let load = case.standing().evidence.observations.iter().find(|seen| seen.is_complaint())?.subject;
    if !vehicle.part(load).kind.is_load() {
        return None;
    }
    let rows = circuit::rows(case, load);
    rows.iter().any(|row| row.read.is_some()).then(|| Block::Strip(pieces(case, load, &rows)))
}

fn pieces(case: &Case, load: PartId, rows: &[TraceRow]) -> Vec<Cell> {
    let fences: Vec<PointId> = case
        .assessment()
        .segment
        .iter()
        .flat_map(|segment| &segment.stretches)
        .filter_map(|stretch| stretch.fence)
        .flat_map(|(from, to)| [from, to])
        .collect();
    let mut pieces = Vec::new();
    let mut passed: Vec<PartId> = Vec::new();
    for (index, row) in rows.iter().enumerate() {
        let is_load = row.by == Some(load);
        passed.extend(row.by.filter(|_| !is_load));
        let is_end = index == 0 || index + 1 == rows.len();
        let is_shown = is_end || row.read.is_some() || fences.contains(&row.point);
        if (is_load || is_shown) && !passed.is_empty() {
            pieces.push(link(case, &std::mem::take(&mut passed)));
        }
        pieces.extend(is_load.then(|| of_load(case, load)));
        pieces.extend(is_shown.then(|| point(case, row)));
    }
    without_idle(pieces)
}

/// Points between two sound stretches that nothing was read at say nothing.
fn without_idle(pieces: Vec<Cell>) -> Vec<Cell> {
    let mut kept: Vec<Cell> = Vec::new();
    let mut pieces = pieces.into_iter().peekable();
    while let Some(piece) = pieces.next() {
        let is_sound = |other: Option<&Cell>| other.is_some_and(|other| other.text == SOUND);
        let is_idle = piece.tone == Tone::Plain && !piece.text.starts_with(['-', '[']) && !piece.text.contains(' ');
        if is_idle && is_sound(kept.last()) && is_sound(pieces.peek()) {
            pieces.next();
            continue;
        }
        kept.push(piece);
    }
    kept
}

/// A point, with what it reads.
fn point(case: &Case, row: &TraceRow) -> Cell {
    let name = names::short_point(case.vehicle(), row.point);
    let Some(volts) = row.read else { return Cell::from(name) };
    let (word, tone) = match ReadingVerdict::of(row.expected, volts.0) {
        ReadingVerdict::Low => (" low!", Tone::Bad),
        ReadingVerdict::High => (" high!", Tone::Bad),
        ReadingVerdict::Within => (" ok", Tone::Good),
        ReadingVerdict::Floating => ("", Tone::Plain),
    };
    Cell { text: format!("{name} {}{word}", quantities::bare_volts(volts)), tone }
}

fn of_load(case: &Case, load: PartId) -> Cell {
    let name = names::short_part(case.vehicle(), load);
    match mark(case, &[load]) {
        SOUND => Cell::from(format!("[{name}]")),
        FOUND => Cell { text: format!("[{name} X]"), tone: Tone::Bad },
        _ => Cell { text: format!("[{name} ?]"), tone: Tone::Open },
    }
}

fn link(case: &Case, parts: &[PartId]) -> Cell {
    let mark = mark(case, parts);
    let tone = match mark {
        SOUND => Tone::Plain,
        FOUND => Tone::Bad,
        _ => Tone::Open,
    };
    Cell { text: mark.to_string(), tone }
}

/// Whether the trouble is, or may be, in these parts.
fn mark(case: &Case, parts: &[PartId]) -> &'static str {
    let assessment = case.assessment();
    let suspects = assessment.belief.parts.iter().filter(|belief| parts.contains(&belief.part));
    let held: f64 = suspects.map(|belief| belief.probability.value()).sum();
    match assessment.next {
        Next::Found { .. } if held > 0.5 => FOUND,
        _ if held > case.engine().tables().telling.beside => OPEN,
        _ => SOUND,
    }
}
