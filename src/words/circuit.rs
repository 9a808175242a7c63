//! A circuit from supply to return: expected band and reading side by side, as
//! a table and as a profile of the volts lost on the way.

use super::document::{Bar, Bars, Block, Table};
use super::{handover, names, quantities};
use crate::belief::{Belief, Symptom};
use crate::case::{Case, ReadingVerdict};
use crate::plan::Range;
use crate::predict::Probe;
use crate::quantity::{PERCENT, Volts};
use crate::vehicle::trace::{Stop, stops};
use crate::vehicle::{PartId, PointId};

/// Layout: a certain suspect takes no more letters than others.
const MOST_PERCENT: f64 = 99.0;
/// Layout: the least that a scale of lost volts goes up to.
const LEAST_SCALE: f64 = 0.1;
/// Layout: what a scale leaves free at its end.
const ROOM: f64 = 1.02;

/// A point on the way, with what it should read and does.
pub(super) struct TraceRow {
    pub point: PointId,
    /// The part that leads to it.
    pub by: Option<PartId>,
    pub expected: Option<Range>,
    pub read: Option<Volts>,
}

/// Rows of a circuit against the usual black point.
pub(super) fn rows(case: &Case, load: PartId) -> Vec<TraceRow> {
    let stops = stops(case.vehicle(), &case.standing().state, load);
    stops.into_iter().map(|stop| row(case, stop)).collect()
}

/// Where there are no rows.
fn no_way(case: &Case, load: PartId) -> Block {
    Block::Paragraph(format!("{}: there is no way to it in the drawing.", names::part(case.vehicle(), load)))
}

fn row(case: &Case, Stop { by, point }: Stop) -> TraceRow {
    let standing = case.standing();
    let read = standing.evidence.readings.iter().rev().find_map(|reading| {
        let same_state = reading.state == standing.state && reading.symptom == Symptom::Present;
        match reading.voltage().filter(|_| same_state)? {
            (red, black, volts) if red == point && black == standing.black => Some(volts.value),
            (red, black, volts) if black == point && red == standing.black => Some(-volts.value),
            _ => None,
        }
    });
    let expected = case.sound_band(&standing.state, standing.meter, Probe::voltage(point, standing.black));
    TraceRow { point, by, expected, read }
}

/// What `read` means against `expected`, by word and mark.
fn verdict(expected: Option<Range>, read: Option<Volts>) -> &'static str {
    match read.map(|volts| ReadingVerdict::of(expected, volts.0)) {
        None => "",
        Some(ReadingVerdict::Low) => "low !",
        Some(ReadingVerdict::High) => "high !",
        Some(ReadingVerdict::Within | ReadingVerdict::Floating) => "ok",
    }
}

/// The circuit as a table.
pub fn trace(case: &Case, load: PartId) -> Block {
    let vehicle = case.vehicle();
    let rows = rows(case, load);
    if rows.is_empty() {
        return no_way(case, load);
    }
    let belief = &case.assessment().belief;
    // The past has a column where there is one.
    let is_known = case.engine().handover().is_some();
    let mut at = None;
    let mut lines: Vec<Vec<String>> = Vec::new();
    for row in &rows {
        let mut cells = vec![
            format!("  {}", names::short_point(vehicle, row.point)),
            row.expected.map_or("floating".to_string(), quantities::bare_range),
            match row.read {
                Some(volts) => format!("{} {}", quantities::bare_volts(volts), verdict(row.expected, Some(volts))),
                None => String::new(),
            },
            row.by.map_or(String::new(), |part| standing_of(belief, case, part)),
        ];
        if is_known {
            cells.insert(2, handover::then(case, Probe::voltage(row.point, case.standing().black)));
        }
        // A place has a line of its own: a screen may be too narrow for a column.
        let here = names::whereabouts(vehicle, row.point);
        if at.as_ref() != Some(&here) {
            lines.push(std::iter::once(here.clone()).chain(cells.iter().skip(1).map(|_| String::new())).collect());
            at = Some(here);
        }
        lines.push(cells);
    }
    let mut heads = vec!["point", "all sound V", "read V", "part"];
    if is_known {
        heads.insert(2, "handover V");
    }
    let title =
        format!("{}, black lead on {}", names::part(vehicle, load), names::short_point(vehicle, case.standing().black));
    Block::Table(Table::of(&title, &heads, lines))
}

/// Whether a part is proved good or suspect.
fn standing_of(belief: &Belief, case: &Case, part: PartId) -> String {
    if case.assessment().proved_good.contains(&part) {
        return format!("{} good", names::short_part(case.vehicle(), part));
    }
    let suspect = belief
        .parts
        .iter()
        .find(|belief| belief.part == part && belief.probability > case.engine().tables().telling.listed);
    match suspect {
        Some(suspect) if !matches!(case.assessment().next, crate::plan::Next::AskComplaint) => {
            let percent = (suspect.probability.value() * PERCENT).min(MOST_PERCENT);
            format!("{} {percent:.0} %", names::short_part(case.vehicle(), part))
        }
        _ => String::new(),
    }
}

/// A point of the profile: volts lost so far, all sound and read.
struct Loss<'r> {
    row: &'r TraceRow,
    expected: Option<Range>,
    read: Option<Volts>,
}

/// The circuit as a picture of the volts lost on the way: from the supply on
/// the feed side, to it on the return side.
pub fn profile(case: &Case, load: PartId) -> Block {
    let vehicle = case.vehicle();
    let rows = rows(case, load);
    if rows.is_empty() {
        return no_way(case, load);
    }
    let losses = losses(case, load, &rows);
    let volts = losses
        .iter()
        .flat_map(|loss| loss.expected.map(|band| band.high).into_iter().chain(loss.read.map(|volts| volts.0)));
    let most = volts.fold(LEAST_SCALE, f64::max) * ROOM;
    let caption = format!(
        "{}: volts lost on the way there and back, 0 to {}; [==] all sound, x read",
        names::part(vehicle, load),
        Volts(most)
    );
    let bar = |loss: &Loss<'_>| Bar {
        name: names::short_point(vehicle, loss.row.point).to_string(),
        band: loss.expected,
        value: loss.read.map(|volts| volts.0),
        remark: match (loss.row.read, loss.row.expected) {
            (Some(volts), band) => format!("{volts} {}", verdict(band, Some(volts))),
            (None, None) => "floating".to_string(),
            (None, Some(_)) => String::new(),
        },
        is_scaled: true,
    };
    // The load stands between its feed and its return.
    let between = |loss: &Loss<'_>| {
        let remark = names::short_part(vehicle, load).to_string();
        let is_feed = loss.row.point == vehicle.part(load).from;
        is_feed.then_some(Bar { name: String::new(), band: None, value: None, remark, is_scaled: false })
    };
    let rows = losses.iter().flat_map(|loss| [Some(bar(loss)), between(loss)]).flatten().collect();
    Block::Bars(Bars { caption, most, rows })
}

fn losses<'r>(case: &Case, load: PartId, rows: &'r [TraceRow]) -> Vec<Loss<'r>> {
    let standing = case.standing();
    let (Some(first), Some(last)) = (rows.first(), rows.last()) else { return Vec::new() };
    let middle = |band: Range| Volts(0.5 * (band.low + band.high));
    let start = first.read.or(first.expected.map(middle)).unwrap_or_default();
    let mut is_feed = true;
    rows.iter()
        .map(|row| {
            let (red, black) = if is_feed { (first.point, row.point) } else { (row.point, last.point) };
            let read = row.read.map(|volts| if is_feed { start - volts } else { volts });
            if row.point == case.vehicle().part(load).from {
                is_feed = false;
            }
            let expected = case.sound_band(&standing.state, standing.meter, Probe::voltage(red, black));
            Loss { row, expected: if red == black { None } else { expected }, read }
        })
        .collect()
}
