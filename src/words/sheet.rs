//! The test sheet: a decision tree in numbered steps, to be printed and left in
//! the vehicle.

use super::document::{Block, Document, Layout, Paper};
use super::{caution, names, quantities};
use crate::plan::{Range, Sense, Test};
use crate::predict::{Burden, Probe, Scale};
use crate::quantity::{Amps, KILO};
use crate::sheet::{Figures, SheetBranch, SheetStep, TestSheet, Then, When};
use crate::trial::Share;
use crate::vehicle::{PartId, PlaceId, Vehicle};

/// How the sheet is used.
const HOW: [&str; 5] = [
    "Begin at step 1 and go where the line of the value that you read leads: to a step, or to what to look at and to repair or renew; of several parts the first is the likeliest. A step without a setting goes on with everything set as it was.",
    "A value that no line holds: read it again. If it stays so, bring the tool, or ring with all readings.",
    "Prove the meter on a known source first. Read twice what surprises; leave the thing switched on as told, or the readings mean nothing.",
    "After a repair read the last points again in the same state: they must read as it should be, and the thing must work.",
    "Renew a fuse once and with its own rating only. If it opens again, stop: look for the short, and bring the tool.",
];

/// The sheet, written out.
pub fn sheet(vehicle: &Vehicle, sheet: &TestSheet, paper: Paper) -> String {
    document(vehicle, sheet).written(paper)
}

fn document(vehicle: &Vehicle, sheet: &TestSheet) -> Document {
    let load = names::part(vehicle, sheet.load);
    let set = names::settings_between(vehicle, &sheet.settings, ", then ", "");
    let start = vec![
        format!("For: {load} does nothing, {}, {:.0} V.", vehicle.name, vehicle.nominal.0),
        format!("Set before step 1: Everything at rest{set}."),
        format!(
            "Black lead on {} unless a step says otherwise. Meter: {} or better.",
            names::point(vehicle, sheet.black),
            sheet.meter.word()
        ),
    ];
    let mut blocks = vec![Block::List(start)];
    blocks.extend(cautions(vehicle, sheet));
    let places = opened(sheet);
    if !places.is_empty() {
        blocks.push(Block::Heading("How to get there".to_string()));
        blocks.push(Block::List(places.into_iter().map(|place| names::place(vehicle, place)).collect()));
    }
    blocks.push(Block::Heading("Steps".to_string()));
    blocks.push(Block::Steps(sheet.steps.iter().map(|step| told(vehicle, sheet, step)).collect()));
    blocks.push(Block::Heading("How to use it".to_string()));
    blocks.push(Block::List(HOW.map(str::to_string).to_vec()));
    blocks.push(Block::Heading("How far it goes".to_string()));
    blocks.push(Block::Paragraph(figures(&sheet.figures)));
    Document { title: format!("Test sheet: {load}"), layout: Layout::Dense, blocks }
}

/// Places that are opened, in the order in which steps come to them.
fn opened(sheet: &TestSheet) -> Vec<PlaceId> {
    let mut places: Vec<PlaceId> = Vec::new();
    for &place in sheet.steps.iter().flat_map(|step| &step.opens) {
        if !places.contains(&place) {
            places.push(place);
        }
    }
    places
}

fn cautions(vehicle: &Vehicle, sheet: &TestSheet) -> Vec<Block> {
    let mut places = opened(sheet);
    for step in &sheet.steps {
        if let Test::Measure(probe) = step.test {
            let (red, black) = probe.points(vehicle);
            places.extend(vehicle.point(red).places.iter().chain(&vehicle.point(black).places));
        }
    }
    caution::said_of(vehicle, |place| places.contains(place)).map(Block::Caution).collect()
}

fn told(vehicle: &Vehicle, sheet: &TestSheet, step: &SheetStep) -> (String, Vec<String>) {
    let mut text = names::settings_between(vehicle, &step.settings, "Set ", ". ");
    text += &what(vehicle, sheet, step.test);
    // A measurement says where its leads go.
    if !step.opens.is_empty() && matches!(step.test, Test::Sense { .. }) {
        text += &format!(" Open {}.", names::places(vehicle, &step.opens));
    }
    if let Some(sound) = step.sound {
        text += &format!(" As it should be: {}.", quantities::range(sound));
    }
    // What is met by misreading alone is told once for all steps.
    let told = step.branches.iter().filter(|branch| branch.then != Then::Tool(Vec::new()));
    (text, told.map(|branch| branch_said(vehicle, branch)).collect())
}

/// What to measure or look at, and where.
fn what(vehicle: &Vehicle, sheet: &TestSheet, test: Test) -> String {
    let at = |point| names::whereabouts(vehicle, point);
    match test {
        Test::Sense { subject, sense } => {
            let said = names::sense_said(vehicle, subject, sense);
            let how = match sense {
                Sense::Listen => "By ear",
                Sense::Feel => "By hand, near it, not on it",
                Sense::Look | Sense::Fuse | Sense::Lamp | Sense::Source => "By eye",
            };
            format!("{how}: {said}.")
        }
        Test::Measure(Probe::Voltage { red, black, burden }) => {
            let lamp = if burden == Burden::Lamp { ", a test lamp across the leads" } else { "" };
            let red_said = format!("Volts: red on {}, at {}", names::point(vehicle, red), at(red));
            match black == sheet.black {
                true => format!("{red_said}{lamp}."),
                false => {
                    format!("{red_said}; black on {}, at {}{lamp}.", names::point(vehicle, black), at(black))
                }
            }
        }
        Test::Measure(Probe::Resistance { red, black }) => format!(
            "Ohms, everything dead there: from {}, at {}, to {}, at {}.",
            names::point(vehicle, red),
            at(red),
            names::point(vehicle, black),
            at(black)
        ),
        Test::Measure(Probe::Current { part }) => {
            format!("Amperes, clamp round {}, at {}.", names::part(vehicle, part), at(vehicle.part(part).from))
        }
        Test::Measure(Probe::Fixed { instrument, .. }) => format!("Read {}.", names::part(vehicle, instrument)),
        // Paper asks nothing.
        Test::Ask(_) => String::new(),
    }
}

fn branch_said(vehicle: &Vehicle, branch: &SheetBranch) -> String {
    format!("{} ({}): {}", when(&branch.when), quantities::percent(branch.share), then(vehicle, &branch.then))
}

fn when(when: &When) -> String {
    match when {
        When::Signs(signs) => signs.iter().map(|&sign| names::bare_sign(sign)).collect::<Vec<_>>().join(" or "),
        When::Reads { scale, from, below, is_sound } => {
            let value = |value: f64| match scale {
                Scale::Volts => edge(value),
                Scale::LogOhms => Scale::displayed_ohms(value).to_string(),
                Scale::Amps => Amps(value).to_string(),
            };
            let said = match (*from, *below) {
                (None, Some(below)) => format!("under {}", value(below)),
                (Some(from), None) => format!("{} or more", value(from)),
                (Some(low), Some(high)) => match scale {
                    Scale::LogOhms => quantities::range(Range { scale: *scale, low, high }),
                    _ => format!("{} to {}", value(low), value(high)),
                },
                (None, None) => "anything".to_string(),
            };
            if *is_sound { format!("{said}, as it should be") } else { said }
        }
    }
}

/// A limit in volts, as round as it is.
fn edge(volts: f64) -> String {
    // Layout: a tenth of a millivolt below a volt.
    let millivolts = volts * KILO;
    match volts.abs() {
        small if small < 0.9995 => format!("{} mV", (millivolts * 10.0).round() / 10.0),
        _ => format!("{} V", millivolts.round() / KILO),
    }
}

fn then(vehicle: &Vehicle, then: &Then) -> String {
    match then {
        Then::Step(next) => format!("step {}", next + 1),
        Then::Parts(parts) => match parts.as_slice() {
            [(part, _)] => names::part(vehicle, *part),
            several => listed(vehicle, several),
        },
        Then::Tool(parts) => format!("bring the tool; likeliest {}", listed(vehicle, parts)),
    }
}

fn listed(vehicle: &Vehicle, parts: &[(PartId, f64)]) -> String {
    let named = parts.iter().map(|&(part, share)| quantities::odds(names::short_part(vehicle, part), share));
    named.collect::<Vec<_>>().join(", ")
}

fn figures(figures: &Figures) -> String {
    let share = |share: &Share| quantities::share(share, 0);
    format!(
        "Measured on {} simulated faults of one part each in real parts with a real meter, other ones than the sheet was made from: {:.1} tests and {:.0} minutes on average. It ends with the right part named first in {}, with the right part among those named in {}, and with bringing the tool in {}. In brackets: what chance allows, 19 times in 20; after an outcome: how often it is met there.",
        figures.first.of,
        figures.tests,
        figures.minutes.0,
        share(&figures.first),
        share(&figures.among),
        share(&figures.tool)
    )
}
