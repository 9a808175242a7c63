//! One hunt: the narrowing step by step, the cause, the way as a drawing, a
//! table and a chart.

use super::phrases::{standing_said, verdict};
use super::{chart, circuit};
use crate::belief::Segment;
use crate::case::{Account, Case, Hunt, HuntStep, Way};
use crate::plan::Next;
use crate::tables::telling::Telling;
use crate::vehicle::Vehicle;
use crate::words::document::{Block, Cell, Figure, Table};
use crate::words::{lists, names, quantities, segment};

/// A hunt with everything that belongs to it.
pub fn told(case: &Case, account: &Account, number: usize, steps: &[HuntStep]) -> Vec<Block> {
    let (vehicle, figures) = (case.vehicle(), &case.engine().tables().telling);
    let hunt = &account.hunts[number];
    let title = |what: &str| match account.hunts.len() {
        1 => Block::Heading(what.to_string()),
        _ => Block::Heading(format!("{what}, hunt {}", number + 1)),
    };
    let start = account.complaint(number).map_or(0, |seen| seen.entry);
    let narrowing = steps
        .iter()
        .filter(|step| (start..hunt.until).contains(&step.entry))
        .map(|step| (names::entry_said(case, &case.entries()[step.entry]), lists::step_said(vehicle, step)));
    let mut blocks = vec![title("Narrowing step by step"), Block::Steps(narrowing.collect()), title("Cause")];
    blocks.extend(cause(figures, vehicle, hunt).into_iter().map(Block::Paragraph));
    if let Some(way) = &hunt.way {
        blocks.push(title("Circuit"));
        blocks.extend(pictures(figures, vehicle, hunt, way));
    }
    blocks
}

/// The cause in one line, with what else it may be.
pub fn cause_in_short(figures: &Telling, vehicle: &Vehicle, hunt: &Hunt) -> String {
    let Some(segment) = &hunt.assessment.segment else { return "not narrowed".to_string() };
    let beside = segment::beside(figures, vehicle, &hunt.assessment.belief);
    let told: Vec<String> = segment::stretches_said(figures, vehicle, segment).into_iter().chain(beside).collect();
    format!("{}: {}", lead(hunt, segment), told.join("; or "))
}

fn lead(hunt: &Hunt, segment: &Segment) -> &'static str {
    let stands_out = segment.likeliest() > 0.5;
    let is_wide = segment.held < 0.5 || segment.parts().count() > segment::FENCED;
    match hunt.assessment.next {
        Next::Found { .. } => "Found",
        Next::Inseparable { .. } => "No test at hand tells these apart",
        _ if is_wide && !stands_out => "Not found; in question",
        _ => "Narrowed to",
    }
}

fn cause(figures: &Telling, vehicle: &Vehicle, hunt: &Hunt) -> Vec<String> {
    let belief = &hunt.assessment.belief;
    let mut lines = vec![cause_in_short(figures, vehicle, hunt) + "."];
    if let Some(segment) = &hunt.assessment.segment
        && segment.likeliest() > 0.5
    {
        let said = segment::what_is_wrong(figures, vehicle, segment, belief);
        lines.extend(said.into_iter().map(|text| format!("How: {text}")));
    }
    let is_suspect = |part| {
        let mut suspects = belief.suspects.iter().filter(|suspect| suspect.probability > figures.named);
        suspects.any(|suspect| suspect.site.parts().any(|one| one == part))
    };
    for &part in hunt.repaired.iter().filter(|&&part| !is_suspect(part)) {
        lines.push(format!("{} was repaired, which the readings do not point to.", names::part(vehicle, part)));
    }
    lines
}

fn pictures(figures: &Telling, vehicle: &Vehicle, hunt: &Hunt, way: &Way) -> Vec<Block> {
    let load = names::part(vehicle, way.load);
    let black = names::short_point(vehicle, way.black);
    let drawing = Figure {
        caption: format!("Way of {load}, from the supply and back"),
        legend: format!(
            "The shortest way of wire; branches are not drawn. Black lead on {black}. Disc: reads as it should; \
             diamond: does not; open ring: not read. Line at the left edge: read between its two ends. Bracket on a tinted ground: suspect. No word beside a part: \
             neither suspect nor proved good."
        ),
        panels: circuit::panels(figures, vehicle, hunt, way),
    };
    let profile = Figure {
        caption: format!("Voltage along the way of {load}"),
        legend: format!(
            "Bar: what a sound vehicle shows against {black}, at least as wide as can be seen; where something was read, \
             as it stood before that reading and in its state. Disc: read, within it; diamond: read, outside. Each \
             side has a scale of its own."
        ),
        panels: chart::panels(vehicle, way),
    };
    let mut blocks =
        vec![Block::Figure(drawing), Block::Table(table(figures, vehicle, hunt, way)), Block::Figure(profile)];
    let elsewhere: Vec<String> = (hunt.assessment.segment.iter().flat_map(|segment| segment.parts()))
        .filter(|(part, _)| !way.stations.iter().any(|station| station.stop.by == Some(*part)))
        .map(|(part, probability)| quantities::odds(names::part(vehicle, part), probability))
        .collect();
    if !elsewhere.is_empty() {
        blocks.push(Block::Paragraph(format!("Also in question, not on this way: {}.", elsewhere.join(", "))));
    }
    blocks
}

fn table(figures: &Telling, vehicle: &Vehicle, hunt: &Hunt, way: &Way) -> Table {
    let rows = way.stations.iter().map(|station| {
        let part = station.stop.by;
        let mut cells = Cell::row([
            names::short_point(vehicle, station.stop.point).to_string(),
            part.map_or(String::new(), |part| names::part(vehicle, part)),
            part.and_then(|part| standing_said(figures, hunt, part).0).unwrap_or_default(),
            names::whereabouts(vehicle, station.stop.point),
            station.expected.map_or("floating".to_string(), quantities::range),
            station.read.map_or(String::new(), |(volts, _)| volts.to_string()),
        ]);
        cells.push(station.read.map_or("".into(), |(_, of)| verdict(of)));
        cells
    });
    let caption = format!("The same as a table, black lead on {}", names::short_point(vehicle, way.black));
    Table::of(&caption, &["point", "through", "part", "place", "all sound", "read", "verdict"], rows)
}
