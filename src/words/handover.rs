//! What is said on the walk at handover.

use super::document::{Block, Cell, Document, Layout, Paper, Table, Tone};
use super::{caution, names, quantities};
use crate::belief::Handover;
use crate::case::walk::Walk;
use crate::case::{Case, ReadingVerdict};
use crate::plan::Range;
use crate::plan::walk::{Leg, Scope, Yield};
use crate::predict::{Probe, Scale};
use crate::quantity::Minutes;
use crate::vehicle::{PlaceId, State, Vehicle};

/// The next reading of the walk, and how much is left.
pub fn next_leg(case: &Case, walk: &Walk) -> Vec<Block> {
    let vehicle = case.vehicle();
    let legs = &walk.legs;
    let Some(leg) = legs.first() else {
        return vec![Block::paragraph(
            "Handover: every point of this walk is read. `handover all` goes on to every other; `case NAME` begins a case that knows of it; `readings` lists what was read.",
        )];
    };
    let minutes = Minutes(legs.iter().map(|leg| leg.minutes.0).sum());
    let first =
        format!("Handover, next: {} [{}]; {} left, about {minutes}.", said(vehicle, leg), leg.minutes, legs.len());
    let mut blocks = vec![Block::Paragraph(first)];
    if !leg.opens.is_empty() {
        let opens: Vec<String> = leg.opens.iter().map(|&place| names::place(vehicle, place)).collect();
        blocks.push(Block::Detail(format!("Open {}.", opens.join("; "))));
    }
    let opens = |place: &PlaceId| leg.opens.contains(place);
    blocks.extend(caution::said_of(vehicle, opens).map(Block::Caution));
    if let Some(band) = case.sound_band(&leg.state, case.standing().meter, leg.probe) {
        blocks.push(Block::Detail(format!("Healthy: {}. A value alone enters it.", quantities::range(band))));
    }
    blocks
}

/// How long a walk takes, and what it leaves open.
pub fn walk_told(case: &Case, walk: &Walk, tells: &Yield) -> Block {
    let vehicle = case.vehicle();
    let said = names::walk(vehicle, walk.scope);
    let more = match walk.scope {
        Scope::Short => " `handover all` reads every point, `handover LOAD` those of one load.",
        Scope::All | Scope::Of(_) => "",
    };
    Block::Paragraph(format!("{}: {}{more}", names::capital(&said), comes_to(vehicle, walk, tells)))
}

/// Its readings, time and yield in a sentence or two.
fn comes_to(vehicle: &Vehicle, walk: &Walk, tells: &Yield) -> String {
    let minutes = Minutes(walk.legs.iter().map(|leg| leg.minutes.0).sum());
    let mut said = format!("{} left, about {minutes}.", quantities::counted(walk.legs.len(), "reading"));
    if walk.scope == Scope::Short {
        said += &format!(
            " It tells {} of what is uncertain about what the loads of this vehicle lose on their way.",
            quantities::percent(tells.told)
        );
        if !tells.not_covered.is_empty() {
            let names = names::short_parts(vehicle, tells.not_covered.iter().copied());
            said += &format!(" Hardly covered: {names}.");
        }
    }
    said
}

/// What to set and measure.
fn said(vehicle: &Vehicle, leg: &Leg) -> String {
    let set = names::settings_between(vehicle, &leg.settings, "set ", ", then ");
    let (red, black) = leg.probe.points(vehicle);
    format!(
        "{set}red on {} ({}), black on {} ({})",
        names::short_point(vehicle, red),
        names::whereabouts(vehicle, red),
        names::short_point(vehicle, black),
        names::whereabouts(vehicle, black)
    )
}

/// Whether a reading just taken at handover is as it should be.
pub fn flagged(expected: Option<Range>, value: f64) -> Block {
    Block::Paragraph(match (ReadingVerdict::of(expected, value), expected) {
        (ReadingVerdict::Within, _) => "As it should be.".to_string(),
        (verdict @ (ReadingVerdict::Low | ReadingVerdict::High), Some(band)) => format!(
            "Out of band, {}: healthy is {}. Find out why before the vehicle goes; it is kept as it is.",
            if verdict == ReadingVerdict::Low { "low !" } else { "high !" },
            quantities::range(band)
        ),
        _ => "A point there hangs in the air: no band to hold it against.".to_string(),
    })
}

/// Which handover is known, for the greeting.
pub fn handover_known(handover: &Handover) -> Block {
    let count = handover.readings().len();
    Block::Paragraph(format!(
        "Handover: {count} readings of this vehicle sharpen what is expected (`handover off` leaves them out)."
    ))
}

/// A handover was opened.
pub fn handover_opened(case: &Case) -> Option<Block> {
    let journal = case.journal()?;
    let header = journal.header();
    let count = case.standing().readings.len();
    Some(Block::Paragraph(format!(
        "Handover of {}, begun {}: {count} readings so far, kept in {}. Only a vehicle that is known to be well is read so.",
        case.vehicle().name,
        header.begun.to_the_minute(),
        journal.file()
    )))
}

/// The walk as a list to fill in by hand.
pub fn walk_sheet(case: &Case, walk: &Walk, tells: &Yield, paper: Paper) -> String {
    let vehicle = case.vehicle();
    let legs = &walk.legs;
    let mut blocks = vec![Block::Paragraph(format!(
        "{} Everything healthy, meter proved on a known source; write down what the display shows, every digit.",
        comes_to(vehicle, walk, tells)
    ))];
    let places: Vec<PlaceId> = legs.iter().flat_map(|leg| leg.opens.iter().copied()).collect();
    blocks.extend(caution::said_of(vehicle, |place| places.contains(place)).map(Block::Caution));
    for (number, group) in legs.chunk_by(|a, b| a.state == b.state).enumerate() {
        blocks.push(Block::Heading(format!("Setting {}", number + 1)));
        blocks.push(Block::Paragraph(format!("Set {}.", set(vehicle, &group[0].state))));
        let rows = group.iter().map(|leg| {
            let (red, black) = leg.probe.points(vehicle);
            let opens: Vec<String> = leg.opens.iter().map(|&place| names::place(vehicle, place)).collect();
            let band = case.sound_band(&leg.state, case.standing().meter, leg.probe);
            let cells = [
                names::short_point(vehicle, red).to_string(),
                names::short_point(vehicle, black).to_string(),
                opens.join("; "),
                band.map_or("floating".to_string(), quantities::range),
            ]
            .map(Cell::from);
            cells.into_iter().chain([Cell { text: String::new(), tone: Tone::ToFillIn }]).collect()
        });
        let columns = ["red", "black", "open first", "healthy", "read"].map(str::to_string).to_vec();
        let caption = "In the order that takes least time".to_string();
        blocks.push(Block::Table(Table { caption, columns, rows: rows.collect() }));
    }
    Document { title: format!("Handover: {}", vehicle.name), layout: Layout::Dense, blocks }.written(paper)
}

fn set(vehicle: &Vehicle, state: &State) -> String {
    let changes: Vec<_> = state.changes(vehicle).collect();
    if changes.is_empty() { "everything to rest".to_string() } else { names::settings(vehicle, &changes) }
}

/// What it read at handover, for a column of volts: as read, or with `~` as the
/// other readings of that day have it.
pub fn then(case: &Case, probe: Probe) -> String {
    let standing = case.standing();
    let Some(handover) = case.engine().handover() else { return String::new() };
    if let Some(value) = handover
        .read(&case.engine().tables().instruments, &standing.state, probe)
        .filter(|_| probe.scale() == Scale::Volts)
    {
        return quantities::bare_volts(crate::quantity::Volts(value));
    }
    let forecast = handover.would_have_read(case.predictor(), &standing.state, probe, standing.meter);
    forecast
        .map_or(String::new(), |forecast| format!("~{}", quantities::bare_volts(crate::quantity::Volts(forecast.mean))))
}
