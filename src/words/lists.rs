//! Lists: readings, what is proved good, how things are set, the record, the
//! reasons, and where numbers come from.

use super::document::Block;
use super::{answer, kept, names, quantities};
use crate::case::{Bearing, Case, HuntStep};
use crate::predict::Probe;
use crate::quantity::{PERCENT, Volts};
use crate::vehicle::trace::lead_to;
use crate::vehicle::{Cable, Coil, PartId, PartKind, PointId, Reach, Vehicle};

/// Layout: V; a drop that would be listed as nought.
const LEAST_DROP: f64 = 5e-4;

/// The readings, each against what a sound vehicle shows in its state.
pub fn readings(case: &Case) -> Block {
    let vehicle = case.vehicle();
    let standing = case.standing();
    if standing.readings.is_empty() {
        return Block::paragraph("No readings yet.");
    }
    let mut counting = 0;
    let rows = standing.readings.iter().map(|numbered| {
        let reading = &numbered.reading;
        let band = case.sound_band(&reading.state, reading.meter, reading.probe);
        let is_doubted = numbered.counts().then(|| {
            counting += 1;
            case.assessment().contradiction.is_some_and(|doubt| doubt.reading == counting - 1)
        });
        let remark = match is_doubted {
            None if numbered.bearing == Bearing::BeforeRepair => "before repair",
            None if numbered.bearing == Bearing::Live => "live",
            None => "struck out",
            Some(true) => "take again",
            Some(_) if reading.symptom == crate::belief::Symptom::Absent => "while it worked",
            Some(_) if reading.symptom == crate::belief::Symptom::Perhaps => "failing or not",
            Some(_) if reading.symptom == crate::belief::Symptom::Wanders => "wandered",
            Some(_) if reading.state != standing.state => "other state",
            Some(_) => "",
        };
        vec![
            numbered.number.to_string(),
            names::leads(vehicle, reading.probe, names::Length::Short).0,
            names::leads(vehicle, reading.probe, names::Length::Short).1,
            names::shown(reading.measured, reading.symptom),
            band.map_or("floating".to_string(), quantities::range),
            remark.to_string(),
        ]
    });
    Block::table(&["no", "red", "black", "read", "all sound", ""], rows)
}

/// What is proved good.
pub fn proved_good(case: &Case) -> Block {
    match &case.assessment().proved_good[..] {
        [] => Block::paragraph("Nothing is proved good yet."),
        good => Block::Paragraph(format!("Proved good: {}.", names::parts(case.vehicle(), good.iter().copied()))),
    }
}

/// How everything is set, and what is open.
pub fn state(case: &Case) -> Vec<Block> {
    let vehicle = case.vehicle();
    let standing = case.standing();
    let changes: Vec<_> = standing.state.changes(vehicle).collect();
    let mut lines = vec![match changes.is_empty() {
        true => "Everything at rest.".to_string(),
        false => format!("Set: {}; everything else at rest.", names::settings(vehicle, &changes)),
    }];
    if let Ok(model) = case.predictor().in_state(&standing.state) {
        let running = names::short_parts(vehicle, vehicle.loads().filter(|&load| model.is_served(vehicle, load)));
        if !running.is_empty() {
            lines.push(format!("All sound, these run: {running}."));
        }
    }
    if !standing.opened.is_empty() {
        lines.push(format!("Open: {}.", names::places(vehicle, &standing.opened)));
    }
    lines.push(format!("Black lead on {}; {} meter.", names::point(vehicle, standing.black), standing.meter.word()));
    if !vehicle.states.is_empty() {
        let known: Vec<String> =
            vehicle.states.iter().map(|state| format!("{} ({})", state.name, state.label)).collect();
        lines.push(format!("States with a name: {}.", known.join(", ")));
    }
    lines.into_iter().map(Block::Paragraph).collect()
}

/// What a meter should show between two points now, and why.
pub fn expectation(case: &Case, red: PointId, black: PointId) -> Vec<Block> {
    let vehicle = case.vehicle();
    let standing = case.standing();
    let Ok(model) = case.predictor().in_state(&standing.state) else {
        return vec![Block::paragraph("This state has no solution.")];
    };
    let title = format!("Red {}, black {}", names::point(vehicle, red), names::point(vehicle, black));
    let where_to = match vehicle.reach(red) {
        Reach::At(place) => format!("At {}.", names::place(vehicle, place)),
        Reach::Never => "No way to it without cutting in.".to_string(),
    };
    let probe = Probe::voltage(red, black);
    let mut lines = vec![match case.sound_band(&standing.state, standing.meter, probe) {
        Some(band) => format!("{title}: {} if all is sound, in the present state.", quantities::range(band)),
        None => format!("{title}: floating, nothing joins them in this state; a meter shows about 0 V or a ghost."),
    }];
    let lead = lead_to(vehicle, &standing.state, red);
    let open = lead.iter().copied().find(|&part| !standing.state.lets(vehicle, part));
    if let Some(part) = open {
        lines.push(format!("On the way there from the supply, {} is open in this state.", names::part(vehicle, part)));
    }
    let mut drops: Vec<(PartId, f64)> = lead
        .into_iter()
        .filter(|_| open.is_none())
        .map(|part| (part, model.solution().across(part.index()).0.abs()))
        .filter(|(_, drop)| *drop > LEAST_DROP)
        .collect();
    drops.sort_by(|a, b| b.1.total_cmp(&a.1));
    if !drops.is_empty() {
        let total: f64 = drops.iter().map(|(_, drop)| drop).sum();
        let most: Vec<String> = drops
            .iter()
            .take(5)
            .map(|&(part, drop)| format!("{} {}", names::short_part(vehicle, part), Volts(drop)))
            .collect();
        lines.push(format!(
            "Between there and the nearest supply post {} are lost: {}.",
            Volts(total),
            most.join(", ")
        ));
    }
    lines.push(where_to);
    lines.into_iter().map(Block::Paragraph).collect()
}

/// The same in one line.
pub fn expectation_alone(case: &Case, red: PointId, black: PointId) -> Block {
    let vehicle = case.vehicle();
    let standing = case.standing();
    let probe = Probe::voltage(red, black);
    let against =
        if black == standing.black { String::new() } else { format!(" against {}", names::point(vehicle, black)) };
    let reads = match case.sound_band(&standing.state, standing.meter, probe) {
        Some(band) => format!("{} if all is sound", quantities::range(band)),
        None => "about 0 V or a ghost: nothing joins it to the black lead as things are set".to_string(),
    };
    let at = format!("at {}", names::whereabouts(vehicle, red));
    let marks = super::marks::marks(vehicle, probe).map(|marks| format!(" {marks}")).unwrap_or_default();
    Block::Paragraph(format!("{}{against}: {reads}; {at}.{marks}", names::point(vehicle, red)))
}

/// What is known of a part, and where each number came from.
pub fn origins(case: &Case, id: PartId) -> Vec<Block> {
    let vehicle = case.vehicle();
    let part = vehicle.part(id);
    let (from, to) = vehicle.ends(id);
    if let Some(own) = part.kind.instrument() {
        let shows = match own.through {
            Some(through) => format!("the amperes of {}", names::part(vehicle, through)),
            None => format!("the volts from {from} to {to}"),
        };
        let digit = own.resolution;
        return vec![Block::Paragraph(format!("{}: shows {shows}, to {digit}.", names::part(vehicle, id)))];
    }
    let title = format!("{}: {}, from {from} to {to}.", names::part(vehicle, id), part.kind.words());
    let mut lines = Vec::new();
    let size = match &part.kind {
        PartKind::Cable(Cable { length, area, .. }) => format!("{} m of {:.2} mm²; ", length.0, area.0),
        PartKind::Fuse { rating } | PartKind::Breaker { rating } => format!("{} A; ", rating.0),
        PartKind::Coil(Coil { pull_in, drop_out }) => format!("pulls in at {pull_in}, lets go below {drop_out}; "),
        PartKind::HolderContact
        | PartKind::Joint
        | PartKind::Pin
        | PartKind::Switch
        | PartKind::Isolator
        | PartKind::Contact(_)
        | PartKind::Shunt
        | PartKind::Diode { .. }
        | PartKind::Chassis
        | PartKind::Load(_)
        | PartKind::Supply(_)
        | PartKind::Instrument(_) => String::new(),
    };
    let spread = (part.spread.exp() - 1.0) * PERCENT;
    lines.push(format!(
        "{size}{} ({}), real ones within about {spread:.0} % two times in three.",
        part.resistance.value, part.resistance.origin
    ));
    if !part.usual.is_empty() {
        lines.push(format!("default: {} (the file does not say it).", part.usual.join(", ")));
    }
    if let Some(place) = part.place {
        lines.push(format!("At {}.", names::place(vehicle, place)));
    }
    if let Ok(model) = case.predictor().in_state(&case.standing().state) {
        let current = model.solution().current(id.index()).abs();
        lines.push(format!(
            "In this state, all sound: {current}, {} across it.",
            Volts(model.solution().across(id.index()).0.abs())
        ));
    }
    vec![Block::Paragraph(title), Block::List(lines)]
}

/// The record, entry by entry.
pub fn record(case: &Case) -> Block {
    if case.entries().is_empty() {
        return Block::paragraph("Nothing entered yet.");
    }
    let stamps = case.journal().map(|journal| journal.stamps()).unwrap_or_default();
    let lines = case.entries().iter().enumerate().map(|(index, entry)| {
        let stamp = stamps.get(index).map_or(String::new(), |stamp| kept::stamp(stamp) + "  ");
        (format!("{stamp}{}", names::entry_said(case, entry)), Vec::new())
    });
    Block::Steps(lines.collect())
}

/// Why the answer is what it is, step by step.
pub fn reasons(case: &Case, steps: &[HuntStep]) -> Vec<Block> {
    if steps.is_empty() {
        return answer::segment_in_full(case);
    }
    let told = steps.iter().flat_map(|step| {
        let entry = names::entry_said(case, &case.entries()[step.entry]);
        [Block::Paragraph(format!("{entry}:")), Block::List(step_said(case.vehicle(), step))]
    });
    told.collect()
}

/// What a step did to the odds, one phrase for each way it worked.
pub fn step_said(vehicle: &Vehicle, step: &HuntStep) -> Vec<String> {
    let moved = |sites: &[(crate::belief::Site, f64, f64)]| {
        let named = sites.iter().map(|&(site, was, is)| {
            format!("{} to {}", quantities::odds(names::short_site(vehicle, site), was), quantities::percent(is))
        });
        named.collect::<Vec<_>>().join(", ")
    };
    let mut phrases = Vec::new();
    if !step.fell.is_empty() {
        phrases.push(format!("speaks against {}", moved(&step.fell)));
    }
    if !step.rose.is_empty() && step.fell.is_empty() && step.rose.iter().all(|(_, was, _)| *was == 0.0) {
        let named = step.rose.iter().map(|&(site, _, is)| quantities::odds(names::short_site(vehicle, site), is));
        phrases.push(format!("puts in question {} …", named.collect::<Vec<_>>().join(", ")));
    } else if !step.rose.is_empty() {
        phrases.push(format!("speaks for {}", moved(&step.rose)));
    }
    if step.fell.is_empty() && step.rose.is_empty() {
        phrases.push("changes nothing worth telling".to_string());
    }
    let (before, after) = step.in_question;
    if before != after {
        phrases.push(format!("{before} places in question before, {after} after"));
    }
    phrases
}

/// What there is to name.
pub fn known_things(case: &Case) -> Vec<Block> {
    let vehicle = case.vehicle();
    let mut lines = vec![format!("{} ({:.0} V)", vehicle.name, vehicle.nominal.0)];
    lines.push(format!("Loads: {}.", names::parts(vehicle, vehicle.loads())));
    let by_hand = vehicle
        .controls
        .iter()
        .filter(|control| {
            !matches!(control.kind, crate::vehicle::ControlKind::Fuse | crate::vehicle::ControlKind::Plug)
        })
        .map(|control| match control.label == control.name {
            true => control.name.clone(),
            false => format!("{} ({})", control.name, control.label),
        });
    lines.push(format!("Can be set: {}.", by_hand.collect::<Vec<_>>().join(", ")));
    let plain = |kind| {
        vehicle
            .controls
            .iter()
            .filter(move |control| control.kind == kind)
            .map(|control| control.name.clone())
            .collect::<Vec<_>>()
    };
    lines.push(format!("Fuses: {}.", plain(crate::vehicle::ControlKind::Fuse).join(", ")));
    lines.push(format!("Plugs: {}.", plain(crate::vehicle::ControlKind::Plug).join(", ")));
    let places = vehicle.places.iter().map(|place| format!("{} {}", place.name, place.minutes)).collect::<Vec<_>>();
    lines.push(format!("Places: {}.", places.join(", ")));
    let instruments = names::parts(vehicle, vehicle.instruments());
    lines.extend((!instruments.is_empty()).then(|| format!("Instruments: {instruments}.")));
    lines.extend(vehicle.notes.iter().map(|note| format!("Note: {note}")));
    lines.into_iter().map(Block::Paragraph).collect()
}
