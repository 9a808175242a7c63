//! The answer after each entry: where the trouble is, what is proved good,
//! what does not fit, what to do next.

use super::{advice, drain, names, past, wrapped};
use crate::belief::{Belief, Estimate, Segment, Sign, Site, Stretch};
use crate::case::{Case, Entry, Standing};
use crate::fault::Mode;
use crate::network::Convergence;
use crate::plan::Next;
use crate::predict::{Probe, is_live};
use crate::quantity::{Ohms, Volts};
use crate::vehicle::{BatteryChemistry, LoadKind, PartId, PartKind, Supply, Vehicle};
use std::fmt::Display;

/// Parts beyond which a segment is too long to fence in.
pub const FENCED: usize = 10;
/// Parts named in one line of an answer.
const NAMED: usize = 4;
/// Belief in a wrong drawing that makes it worth saying where it may be.
const WORTH_TRACING: f64 = 0.3;
/// Resistance above which a path to body metal may be a load that nobody drew.
const A_LOAD: Ohms = Ohms(1.0);
/// Belief that makes a part worth naming as another possibility.
const WORTH_NAMING: f64 = 0.015;

/// The whole answer.
pub fn answer(case: &Case, width: usize) -> String {
    let mut paragraphs: Vec<String> = drain::asleep_first(case, width).into_iter().collect();
    paragraphs.extend(drain::through_a_fuse(case, width));
    paragraphs.extend(doubts(case, width));
    paragraphs.extend(where_it_is(case, width));
    paragraphs.extend(drain::lasts(case, width));
    paragraphs.extend(past::raised(case, width));
    paragraphs.extend(good_line(case, width));
    paragraphs.extend(no_fuse_after_fuse(case, width));
    paragraphs.push(advice::next_test(case, width));
    paragraphs.join("\n")
}

/// What does not fit.
fn doubts(case: &Case, width: usize) -> Vec<String> {
    let vehicle = case.vehicle();
    let assessment = case.assessment();
    let standing = case.standing();
    let mut lines = Vec::new();
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
    if let Some(reading) = standing.evidence.readings.last()
        && let Probe::Resistance { red, black } = reading.probe
        && case.predictor().in_state(&reading.state).is_ok_and(|model| is_live(&model, vehicle, red, black))
    {
        lines.push(
            "As drawn, the circuit is live there: an ohmmeter shows nonsense on it and may be harmed. Make it dead (isolator open, fuse pulled, and say so), read volts to be sure, then ohms.".into(),
        );
    }
    if let Some(doubt) = assessment.contradiction {
        let number = standing.number_of(doubt.reading);
        let reading = &standing.evidence.readings[doubt.reading];
        lines.push(format!(
            "Reading {number} ({}, {}) does not go with the rest, which would make it about {}: take it again (`retake {number} VALUE`).",
            pair(vehicle, standing, reading.probe),
            reading.measured,
            advice::on_scale(reading.probe.scale(), doubt.expected),
        ));
    }
    if let Some(gap) = &assessment.loop_gap {
        let numbers: Vec<String> = gap.readings.iter().map(|&index| standing.number_of(index).to_string()).collect();
        lines.push(format!(
            "Readings {} go round a loop and should add up to nothing, but miss by {}: one of them is off, or was taken in another state.",
            numbers.join(", "),
            Volts(gap.gap.abs()),
        ));
    }
    if assessment.belief.doubts_drawing() {
        let lead = if assessment.contradiction.is_some() { "If it stands, the" } else { "The" };
        lines.push(format!(
            "{lead} readings do not fit the drawing: look for something added, moved or joined that it does not show."
        ));
    }
    lines.into_iter().map(|line| wrapped(&line, width, 2)).collect()
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

fn where_it_is(case: &Case, width: usize) -> Vec<String> {
    let vehicle = case.vehicle();
    let belief = &case.assessment().belief;
    if let Next::Found { site: site @ (Site::Nothing | Site::Undrawn) } = case.assessment().next {
        let said = format!("Likeliest: {} {}.", names::site(vehicle, site), names::percent(belief.probability(site)));
        let tie = undrawn(case).filter(|_| site == Site::Undrawn);
        return std::iter::once(said).chain(tie).map(|said| wrapped(&said, width, 2)).collect();
    }
    let Some(segment) = &case.assessment().segment else { return Vec::new() };
    let mut lines = Vec::new();
    let found = matches!(case.assessment().next, Next::Found { .. });
    let inseparable = matches!(case.assessment().next, Next::Inseparable { .. });
    let count = segment.parts().count();
    let lead = match (found, inseparable) {
        (true, _) => "Found:".to_string(),
        (_, true) => "No test at hand tells these apart:".to_string(),
        _ if count > FENCED => format!("{count} parts in question, likeliest"),
        _ => "Narrowed to:".to_string(),
    };
    let named: Vec<String> = match count > FENCED {
        true => vec![parts_said(vehicle, segment.parts())],
        false => stretches_said(vehicle, segment),
    };
    if segment.held >= 0.02 {
        lines.push(wrapped(&format!("{lead} {}.", named.join("; or ")), width, 2));
    }
    if segment.parts().next().is_some_and(|(_, probability)| probability > 0.5) {
        lines.extend(what_is_wrong(vehicle, segment, belief).map(|text| wrapped(&format!("  {text}"), width, 2)));
    }
    let beside: Vec<String> = [Site::Nothing, Site::Undrawn]
        .into_iter()
        .map(|site| (site, belief.probability(site)))
        .filter(|&(_, probability)| probability > 0.05)
        .map(|(site, probability)| format!("{} {}", names::site(vehicle, site), names::percent(probability)))
        .collect();
    if !beside.is_empty() {
        lines.push(wrapped(&format!("Or: {}.", beside.join(", ")), width, 2));
    }
    if belief.probability(Site::Undrawn) > WORTH_TRACING {
        lines.extend(undrawn(case).map(|said| wrapped(&said, width, 2)));
    }
    lines
}

/// Where readings and drawing part ways.
fn undrawn(case: &Case) -> Option<String> {
    let vehicle = case.vehicle();
    let (from, to, ohms) = case.assessment().belief.tie()?;
    Some(format!(
        "  What would read so: a path of about {ohms} between {} and {}, or near them.",
        names::point(vehicle, from),
        names::point(vehicle, to)
    ))
}

/// The stretches worth naming, and how many parts lie elsewhere.
pub fn stretches_said(vehicle: &Vehicle, segment: &Segment) -> Vec<String> {
    let is_named = |stretch: &&Stretch| stretch.parts.iter().any(|(_, probability)| *probability > WORTH_NAMING);
    let (named, faint): (Vec<&Stretch>, Vec<&Stretch>) = segment.stretches.iter().partition(is_named);
    let mut said: Vec<String> = named.into_iter().map(|stretch| stretch_said(vehicle, stretch)).collect();
    let elsewhere: usize = faint.iter().map(|stretch| stretch.parts.len()).sum();
    said.extend((elsewhere > 0).then(|| format!("{elsewhere} less likely elsewhere")));
    said
}

fn stretch_said(vehicle: &Vehicle, stretch: &Stretch) -> String {
    let fence = stretch.fence.map(|(from, to)| {
        format!(", between {} and {}", names::short_point(vehicle, from), names::short_point(vehicle, to))
    });
    parts_said(vehicle, stretch.parts.iter().copied()) + &fence.unwrap_or_default()
}

/// The likeliest parts with their probabilities, and how many more there are.
fn parts_said(vehicle: &Vehicle, parts: impl Iterator<Item = (PartId, f64)>) -> String {
    let mut parts: Vec<(PartId, f64)> = parts.collect();
    parts.sort_by(|a, b| b.1.total_cmp(&a.1));
    let said = |&(part, probability): &(PartId, f64)| {
        format!("{} {}", names::part(vehicle, part), names::percent(probability))
    };
    let worth = parts.iter().filter(|(_, probability)| *probability > WORTH_NAMING).count().clamp(1, NAMED);
    let named: Vec<String> = parts.iter().take(worth).map(said).collect();
    match parts.len() - named.len() {
        0 => named.join(", "),
        more => format!("{} and {more} less likely", named.join(", ")),
    }
}

/// The fault itself: how it failed, how big, what it does there.
pub fn what_is_wrong(vehicle: &Vehicle, segment: &Segment, belief: &Belief) -> Option<String> {
    let (part, _) = segment.parts().next()?;
    let mut text = names::mode(segment.mode).to_string();
    if let Some(other) = other_way(belief, part, segment.mode) {
        let upto = if segment.mode == Mode::Together { "as far as " } else { "" };
        text += &format!(", {upto}{}", names::part(vehicle, other));
    }
    if let Some(ohms) = segment.ohms() {
        text += &format!(" {}", estimate(ohms));
    }
    if let (Some(dropped), Some(heat)) = (segment.dropped, segment.heat) {
        text += &format!("; drops {} and makes {} there in this state", estimate(dropped), estimate(heat));
        if heat.middle.0 > 2.0 {
            text += ": hot, feel near it before touching";
        }
    }
    if segment.mode == Mode::Leak && segment.size.is_some_and(|size| size.low > A_LOAD.0) {
        text += ": damp, a chafe, or something connected there that the drawing does not show";
    }
    if segment.mode == Mode::Open {
        text += &advice_on_open(vehicle, belief, part);
    }
    Some(text + ".")
}

/// What to mind about a part that has opened. Common practice, no source.
fn advice_on_open(vehicle: &Vehicle, belief: &Belief, part: PartId) -> String {
    match &vehicle.part(part).kind {
        PartKind::Fuse { rating } | PartKind::Breaker { rating } => fuse_advice(vehicle, belief, part, rating.0),
        PartKind::Supply(Supply::Battery(battery)) if battery.chemistry == BatteryChemistry::LithiumIron => {
            ": a lithium battery opens itself when too low, too cold or overloaded; find out which, let its own charger \
             wake it, never jump, bridge or open it"
                .to_string()
        }
        PartKind::Load(load) => {
            let mains = if load.kind == LoadKind::Inverter { " (its mains side is licensed work)" } else { "" };
            format!(": it has its volts and does nothing; prove it with a direct fused feed before replacing it{mains}")
        }
        PartKind::HolderContact
        | PartKind::Cable { .. }
        | PartKind::Joint
        | PartKind::Pin
        | PartKind::Switch
        | PartKind::Isolator
        | PartKind::Contact(_)
        | PartKind::Coil(_)
        | PartKind::Shunt
        | PartKind::Diode { .. }
        | PartKind::Chassis
        | PartKind::Supply(_) => String::new(),
    }
}

/// The neighbour that a way through a plug or cable is joined to or has
/// changed places with.
fn other_way(belief: &Belief, part: PartId, mode: Mode) -> Option<PartId> {
    let best = belief.best_at(Site::Part(part))?;
    best.hypothesis.faults().find(|(fault, _)| fault.mode == mode).and_then(|(fault, _)| fault.other)
}

fn fuse_advice(vehicle: &Vehicle, belief: &Belief, fuse: PartId, rating: f64) -> String {
    let causes = belief.causes_at(Site::Part(fuse));
    let total: f64 = causes.iter().map(|(_, probability)| probability).sum();
    let shorts: Vec<(&str, f64)> = causes
        .iter()
        .filter(|(part, _)| *part != fuse)
        .map(|&(part, probability)| (names::short_part(vehicle, part), probability / total.max(1e-9)))
        .collect();
    let share: f64 = shorts.iter().map(|(_, share)| share).sum();
    let mut text = ". A fuse rarely opens without a reason: find it before fitting a new one".to_string();
    if share > 0.05 {
        let named: Vec<&str> = shorts.iter().take(NAMED).map(|(name, _)| *name).collect();
        text += &format!(" (a short beyond it, {}: {} …)", names::percent(share), named.join(", "));
    }
    text + &format!("; {rating} A, never a bigger one")
}

/// `0.29 Ω (0.24 Ω to 0.35 Ω)`.
pub fn estimate<T: Display>(of: Estimate<T>) -> String {
    format!("about {} ({} to {})", of.middle, of.low, of.high)
}

fn good_line(case: &Case, width: usize) -> Vec<String> {
    let good = &case.assessment().proved_good;
    if good.is_empty() {
        return Vec::new();
    }
    let vehicle = case.vehicle();
    let shown: Vec<&str> = good.iter().take(6).map(|&part| names::short_part(vehicle, part)).collect();
    let more = good.len().saturating_sub(shown.len());
    let more = if more > 0 { format!(" and {more} more (`good`)") } else { String::new() };
    vec![wrapped(&format!("Proved good: {}{more}.", shown.join(", ")), width, 2)]
}

/// A fuse that has just been said to blow is not to be tried again and again.
/// Source: NEETS module 3 p. 2-17.
fn no_fuse_after_fuse(case: &Case, width: usize) -> Option<String> {
    let Some((subject, Sign::BlowsFuse)) = case.entries().last().and_then(Entry::seen) else { return None };
    let fuse = case.vehicle().part(subject);
    let text = format!(
        "Caution: put in no fuse after fuse; a test lamp in its place (`lamp {}`) lights instead, and goes dim once \
         the short is off.",
        fuse.name
    );
    fuse.kind.is_fuse().then(|| wrapped(&text, width, 2))
}

/// The segment with everything known of it.
pub fn segment_in_full(case: &Case, width: usize) -> String {
    let lines = where_it_is(case, width);
    match lines.is_empty() {
        true => "Nothing is suspect yet: say what is wrong, such as `dead fridge`."
            .replace("fridge", example_load(case.vehicle())),
        false => lines.join("\n"),
    }
}

/// A load to use in examples: one that a person would complain of.
pub fn example_load(vehicle: &Vehicle) -> &str {
    let plain = |load: &PartId| vehicle.part(*load).kind.load().is_some_and(|load| is_familiar(load.kind));
    vehicle
        .loads()
        .find(plain)
        .or_else(|| vehicle.loads().next())
        .map_or("LOAD", |load| names::short_part(vehicle, load))
}

/// Suspects as a table.
pub fn suspects(case: &Case, width: usize) -> String {
    let vehicle = case.vehicle();
    let belief = &case.assessment().belief;
    if matches!(case.assessment().next, Next::AskComplaint) {
        return segment_in_full(case, width);
    }
    let rows = belief
        .suspects
        .iter()
        .filter(|suspect| suspect.probability > WORTH_NAMING)
        .map(|suspect| {
            let (how, between) = match suspect.site {
                Site::Part(part) => {
                    let (from, to) = vehicle.ends(part);
                    (belief.likeliest_mode(suspect.site).map_or("", names::mode), format!("{from} to {to}"))
                }
                Site::Both(..) | Site::Nothing | Site::Undrawn => ("", String::new()),
            };
            vec![names::percent(suspect.probability), names::site(vehicle, suspect.site), how.to_string(), between]
        })
        .collect::<Vec<_>>();
    let others = belief.suspects.iter().filter(|suspect| suspect.probability <= WORTH_NAMING).count();
    let table = super::table::table(&["chance", "part", "likeliest", "between"], rows, width);
    if others > 0 { format!("{table}\n{others} more at 1 % or less each") } else { table }
}

/// Whether anybody knows such a load and would complain of it.
fn is_familiar(kind: LoadKind) -> bool {
    match kind {
        LoadKind::Fridge | LoadKind::Lamp | LoadKind::Pump | LoadKind::Fan | LoadKind::Led => true,
        LoadKind::Motor
        | LoadKind::Heater
        | LoadKind::Compressor
        | LoadKind::Electronics
        | LoadKind::Radio
        | LoadKind::Camera
        | LoadKind::Socket
        | LoadKind::Inverter
        | LoadKind::Charger
        | LoadKind::Valve
        | LoadKind::Module
        | LoadKind::Beacon
        | LoadKind::Actuator => false,
    }
}
