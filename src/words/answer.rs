//! The answer after each entry: what does not fit, what to do next, and where
//! things stand.

use super::document::Block;
use super::{advice, charging, drain, names, past, quantities, segment, strip};
use crate::belief::Sign;
use crate::case::{Bearing, Case, Entry, Standing};
use crate::network::Convergence;
use crate::plan::Next;
use crate::predict::{Probe, fuse_between};
use crate::quantity::Volts;
use crate::vehicle::Vehicle;

/// Layout: parts proved good that an answer names, at most.
const SHOWN: usize = 6;

/// The answer: what does not fit, what to do next, where things stand. What
/// else there is to say of it is told by [`segment_in_full`].
pub fn answer(case: &Case) -> Vec<Block> {
    let mut blocks: Vec<Block> = drain::asleep_first(case).into_iter().collect();
    blocks.extend(drain::through_a_fuse(case));
    blocks.extend(is_outlier(case));
    blocks.extend(no_fuse_after_fuse(case));
    match case.assessment().next {
        Next::Test(_) => {
            blocks.extend(advice::next_test(case));
            blocks.extend(drain::nothing_read(case).or_else(|| segment::in_short(case)));
            blocks.extend(strip::of_complaint(case));
            blocks.extend(past::raised(case));
            blocks.extend(drain::lasts(case));
        }
        _ => {
            blocks.extend(more(case));
            blocks.extend(strip::of_complaint(case));
            blocks.extend(advice::next_test(case));
        }
    }
    blocks
}

/// Where things stand in full.
fn more(case: &Case) -> Vec<Block> {
    let mut blocks = segment::where_it_is(case);
    blocks.extend(drain::lasts(case));
    blocks.extend(past::raised(case));
    blocks.extend(good_line(case));
    blocks
}

/// The same, where it was asked for.
pub fn segment_in_full(case: &Case) -> Vec<Block> {
    let blocks = more(case);
    if blocks.is_empty() { vec![segment::nothing_yet(case)] } else { blocks }
}

/// What does not fit.
fn is_outlier(case: &Case) -> Vec<Block> {
    let vehicle = case.vehicle();
    let assessment = case.assessment();
    let standing = case.standing();
    let mut lines = Vec::new();
    if assessment.next != Next::NothingWorthwhile {
        lines.extend(charging::what_should_charge(case).map(|set| names::capital(&set)));
    }
    for part in &assessment.overloaded {
        lines.push(format!(
            "As drawn, {} opens in this state: more current than its time-current limits allow.",
            names::part(vehicle, *part)
        ));
    }
    if assessment.settling == Convergence::Oscillating {
        lines.push(
            "As drawn, this state never settles: something switches itself off and on again (a relay chatters, a source drops out).".into(),
        );
    }
    if standing.readings.last().is_some_and(|newest| newest.bearing == Bearing::Live) {
        lines.push(
            "As drawn, the circuit is live there: an ohmmeter shows nonsense on it and may be harmed. This reading does not count. Make it dead (isolator open, fuse pulled, and say so), read volts to be sure, then ohms.".into(),
        );
    }
    if let Some(doubt) = assessment.contradiction {
        let number = standing.number_of(doubt.reading);
        let reading = &standing.evidence.readings[doubt.reading];
        let would_be = quantities::on_scale(reading.probe.scale(), doubt.expected);
        let again = match reading.agreed {
            _ if is_of_a_fuse(case, reading.probe) => {
                "in the hand a cracked fuse may pass for whole: believe volts across it under load".to_string()
            }
            0 => format!("take it again (`retake {number} VALUE`)"),
            _ => "read again, it was the same: try bare metal beside it, or another meter, before you believe either"
                .to_string(),
        };
        let shown = names::shown(reading.measured, reading.symptom);
        // What differs less than a display tells is nobody's to read again.
        if shown != would_be {
            let pair = pair(vehicle, standing, reading.probe);
            lines.push(format!(
                "Reading {number} ({pair}, {shown}) does not go with the rest, which would make it about {would_be}: {again}."
            ));
        }
    }
    if let Some(gap) = &assessment.loop_gap {
        let numbers: Vec<String> = gap.readings.iter().map(|&index| standing.number_of(index).to_string()).collect();
        lines.push(format!(
            "Readings {} go round a loop and should add up to nothing, but miss by {}: one of them is off, or was taken in another state.",
            numbers.join(", "),
            Volts(gap.gap.abs()),
        ));
    }
    if assessment.belief.doubts_drawing(&case.engine().tables().belief) {
        let lead = if assessment.contradiction.is_some() { "If it stands, the" } else { "The" };
        lines.push(format!(
            "{lead} readings do not fit the drawing: look for something added, moved or joined that it does not show."
        ));
    }
    lines.into_iter().map(Block::Paragraph).collect()
}

/// Whether an ohmmeter read a fuse by itself.
fn is_of_a_fuse(case: &Case, probe: Probe) -> bool {
    matches!(probe, Probe::Resistance { red, black } if fuse_between(case.vehicle(), red, black).is_some())
}

/// What was measured, the black point left out where it is the usual one.
fn pair(vehicle: &Vehicle, standing: &Standing, probe: Probe) -> String {
    match probe.plain_voltage() {
        Some((red, black)) if black == standing.black => names::short_point(vehicle, red).to_string(),
        Some((red, black)) => {
            format!("{} to {}", names::short_point(vehicle, red), names::short_point(vehicle, black))
        }
        None => names::probe(vehicle, probe),
    }
}

fn good_line(case: &Case) -> Option<Block> {
    let good = &case.assessment().proved_good;
    let shown = names::short_parts(case.vehicle(), good.iter().copied().take(SHOWN));
    let more = good.len().saturating_sub(SHOWN);
    let more = if more > 0 { format!(" and {more} more (`good`)") } else { String::new() };
    (!good.is_empty()).then(|| Block::Paragraph(format!("Proved good: {shown}{more}.")))
}

/// A fuse that has just been said to blow is not to be tried again and again.
/// Source: NEETS module 3 p. 2-17.
fn no_fuse_after_fuse(case: &Case) -> Option<Block> {
    let Some((subject, Sign::BlowsFuse)) = case.entries().last().and_then(Entry::seen) else { return None };
    let fuse = case.vehicle().part(subject);
    let text = format!(
        "Caution: put in no fuse after fuse; a test lamp in its place (`lamp {}`) lights instead, and goes dim once \
         the short is off.",
        fuse.name
    );
    fuse.kind.is_fuse().then_some(Block::Caution(text))
}
