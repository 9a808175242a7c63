//! The report of a case: made from the record alone, so the same record gives
//! the same bytes. No clock, no names but those of the drawing and the notes.

use super::phrases::state_said;
use super::{hunt, phrases, proof};
use crate::belief::Symptom;
use crate::case::{Account, Bearing, Case, Entry, HuntStep, Judged};
use crate::meter::MeterKind;
use crate::quantity::PERCENT;
use crate::vehicle::{PlaceId, State};
use crate::words::document::{Block, Cell, Document, Layout, Paper, Table};
use crate::words::{caution, names, quantities};

/// What a job card asks for and the record does not hold.
const BY_HAND: [&str; 9] = [
    "Job number",
    "Date and time, odometer or hours",
    "Who asked, in whose words",
    "Meter, and when it was last proved on a known source",
    "Why it failed (chafe, crimp, heat, water …)",
    "Parts fitted, size and rating",
    "Temporary? What must be done again, by when",
    "Tried after the repair: load, time, shaken, warm",
    "Signature",
];

/// The report.
pub fn report(case: &Case, account: &Account, steps: &[HuntStep], paper: Paper) -> String {
    document(case, account, steps).written(paper)
}

fn document(case: &Case, account: &Account, steps: &[HuntStep]) -> Document {
    let states = states(account);
    let mut blocks = vec![in_short(case, account)];
    blocks.extend(complaint(case, account));
    blocks.extend(conditions(case, account, &states));
    blocks.extend(readings(case, account, &states));
    for number in 0..account.hunts.len() {
        blocks.extend(hunt::told(case, account, number, steps));
    }
    blocks.extend(proof::correction(case));
    blocks.extend(proof::told(case, account));
    blocks.extend(cautions(case, account));
    blocks.extend(proof::not_checked(case, account));
    blocks.extend(notes(case));
    blocks.extend(by_hand());
    Document { title: format!("Fault report: {}", case.vehicle().name), layout: Layout::Roomy, blocks }
}

fn in_short(case: &Case, account: &Account) -> Block {
    let vehicle = case.vehicle();
    let mut rows = vec![Cell::row(["Vehicle".to_string(), format!("{}, {:.0} V", vehicle.name, vehicle.nominal.0)])];
    for (number, hunt) in account.hunts.iter().enumerate() {
        let complaint = account.complaint(number).map(|seen| names::sign(vehicle, seen.subject, seen.sign));
        rows.push(Cell::row(["Complaint".to_string(), complaint.unwrap_or_default()]));
        rows.push(Cell::row([
            "Cause".to_string(),
            hunt::cause_in_short(&case.engine().tables().telling, vehicle, hunt),
        ]));
    }
    rows.push(Cell::row(["Correction".to_string(), proof::correction_in_short(case)]));
    rows.push(vec!["Proof".into(), proof::in_short(case, account)]);
    Block::Table(Table::of("In short", &["what", "found"], rows))
}

/// What was seen, complaints and what works.
fn complaint(case: &Case, account: &Account) -> Vec<Block> {
    let said = account.seen.iter().map(|seen| names::entry_said(case, &case.entries()[seen.entry]));
    let heading = Block::Heading("Complaint".to_string());
    match account.seen.is_empty() {
        true => vec![heading, Block::Paragraph("Nothing was complained of.".to_string())],
        false => vec![heading, Block::List(said.collect())],
    }
}

/// Every state that something was seen or read in, in order.
fn states(account: &Account) -> Vec<State> {
    let seen = account.seen.iter().map(|seen| (seen.entry, &seen.state));
    let read = account.readings.iter().map(|judged| (judged.entry, &judged.of.reading.state));
    let mut used: Vec<(usize, &State)> = seen.chain(read).collect();
    used.sort_by_key(|(entry, _)| *entry);
    let mut states: Vec<State> = Vec::new();
    for (_, state) in used {
        if !states.contains(state) {
            states.push(state.clone());
        }
    }
    states
}

fn conditions(case: &Case, account: &Account, states: &[State]) -> Vec<Block> {
    let vehicle = case.vehicle();
    let mut items: Vec<String> = match states {
        [only] => vec![format!("Set: {}.", state_said(vehicle, only))],
        several => (several.iter().enumerate())
            .map(|(index, state)| format!("State {}: {}.", index + 1, state_said(vehicle, state)))
            .collect(),
    };
    for kind in [MeterKind::Cheap, MeterKind::Good] {
        let sheet = kind.meter(&case.engine().tables().instruments);
        if account.readings.iter().any(|judged| judged.of.reading.meter == kind) {
            items.push(format!(
                "Meter: {}, ±({} % + {} digits), input {}.",
                kind.word(),
                sheet.accuracy * PERCENT,
                sheet.digits,
                sheet.input
            ));
        }
    }
    items.push(format!("Usual point of the black lead: {}.", names::point(vehicle, case.standing().black)));
    vec![Block::Heading("Conditions".to_string()), Block::List(items)]
}

fn readings(case: &Case, account: &Account, states: &[State]) -> Vec<Block> {
    let heading = Block::Heading("Readings against expected".to_string());
    if account.readings.is_empty() {
        return vec![heading, Block::Paragraph("Nothing was read.".to_string())];
    }
    let vehicle = case.vehicle();
    let several = states.len() > 1;
    let mut heads = vec!["no", "red lead", "black lead", "read", "all sound", "verdict"];
    let has_remarks = account.readings.iter().any(|judged| !remark(case, judged).is_empty());
    heads.extend(has_remarks.then_some("remark"));
    if several {
        heads.insert(3, "state");
    }
    let rows = account.readings.iter().map(|judged| {
        let reading = &judged.of.reading;
        let (red, black) = names::leads(vehicle, reading.probe, names::Length::Full);
        let mut cells = Cell::row([
            judged.of.number.to_string(),
            red,
            black,
            names::shown(reading.measured, reading.symptom),
            judged.expected.map_or("floating".to_string(), quantities::range),
        ]);
        if several {
            let state = states.iter().position(|state| *state == reading.state).map_or(0, |index| index + 1);
            cells.insert(3, state.to_string().into());
        }
        cells.push(phrases::verdict(judged.verdict));
        cells.extend(has_remarks.then(|| remark(case, judged).into()));
        cells
    });
    let table = Table::of("In the order they were entered", &heads, rows);
    let how = "All sound: what a sound vehicle shows there in that state, in the light of the readings before.";
    vec![heading, Block::Paragraph(how.to_string()), Block::Table(table)]
}

fn remark(case: &Case, judged: &Judged) -> String {
    let mut remarks: Vec<String> =
        judged.taken_before.iter().map(|volts| format!("taken again, first {volts}")).collect();
    remarks.extend(match judged.of.bearing {
        Bearing::BeforeRepair => Some("before the repair".to_string()),
        Bearing::Live => Some("the circuit was live: does not count".to_string()),
        Bearing::StruckOut => Some("struck out".to_string()),
        Bearing::Counts => None,
    });
    if judged.of.reading.symptom == Symptom::Absent {
        remarks.push("while it worked: clears nothing".to_string());
    }
    let doubt = case.assessment().contradiction;
    if doubt.is_some_and(|doubt| case.standing().number_of(doubt.reading) == judged.of.number) {
        remarks.push("does not go with the rest".to_string());
    }
    remarks.join("; ")
}

/// Cautions of every place that was opened or lies on the way.
fn cautions(case: &Case, account: &Account) -> Vec<Block> {
    let vehicle = case.vehicle();
    let on_the_way = account.hunts.iter().filter_map(|hunt| hunt.way.as_ref()).flat_map(|way| {
        way.stations.iter().flat_map(|station| vehicle.point(station.stop.point).places.iter().copied())
    });
    let places: Vec<PlaceId> = case.standing().opened.iter().copied().chain(on_the_way).collect();
    let mut blocks = vec![Block::Heading("Cautions".to_string())];
    blocks.extend(caution::said_of(vehicle, |place| places.contains(place)).map(Block::Caution));
    blocks.push(Block::Paragraph("Cautions do not replace local codes or licensed practice.".to_string()));
    blocks
}

fn notes(case: &Case) -> Vec<Block> {
    let notes: Vec<String> = case
        .entries()
        .iter()
        .filter_map(|entry| match entry {
            Entry::Note { text } => Some(text.clone()),
            _ => None,
        })
        .collect();
    match notes.is_empty() {
        true => Vec::new(),
        false => vec![Block::Heading("Notes".to_string()), Block::List(notes)],
    }
}

fn by_hand() -> Vec<Block> {
    let rows = BY_HAND.iter().map(|asked| vec![*asked, ""]);
    let table = Table::of("What the record does not hold", &["asked", "filled in"], rows);
    vec![Block::Heading("To fill in by hand".to_string()), Block::Table(table)]
}
