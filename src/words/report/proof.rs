//! What was done, what was proved after it, and what nobody checked.

use crate::belief::Site;
use crate::case::proof::{Proof, ProofVerdict};
use crate::case::{Account, Case, Entry, Hunt, Judged, SeenSign};
use crate::plan::Next;
use crate::tables::telling::Telling;
use crate::vehicle::{PartId, Vehicle};
use crate::words::document::{Block, Cell, Tone};
use crate::words::proof::recorded;
use crate::words::{names, quantities};

/// The correction in one line.
pub fn correction_in_short(case: &Case) -> String {
    let parts = names::parts(case.vehicle(), case.entries().iter().filter_map(Entry::repaired));
    if parts.is_empty() { "none recorded".to_string() } else { format!("repaired: {parts}") }
}

/// What was done, with the notes made after it.
pub fn correction(case: &Case) -> Vec<Block> {
    let heading = Block::Heading("Correction".to_string());
    let from = case.entries().iter().position(|entry| entry.repaired().is_some());
    let Some(from) = from else {
        return vec![heading, Block::Paragraph("No repair is recorded.".to_string())];
    };
    let done = case.entries()[from..]
        .iter()
        .filter(|entry| matches!(entry, Entry::Repaired { .. } | Entry::Note { .. }))
        .map(|entry| names::entry_said(case, entry));
    vec![heading, Block::List(done.collect())]
}

/// Proved or not, in one line.
pub fn in_short(case: &Case, account: &Account) -> Cell {
    match &account.proof {
        Some(_) if !failings(case, account).is_empty() => Cell { text: "failed".to_string(), tone: Tone::Bad },
        Some(of) => stands(of),
        None => "nothing to prove: no repair is recorded".into(),
    }
}

/// What speaks against the repair beside the checks of its proof.
fn failings(case: &Case, account: &Account) -> Vec<String> {
    let complaint =
        |seen: &SeenSign| format!("Complained of again: {}.", names::sign(case.vehicle(), seen.subject, seen.sign));
    let amiss = |judged: &Judged| format!("Reading {}, taken after the repair, is amiss.", judged.of.number);
    account.complained_again(case).map(complaint).chain(account.amiss_again(case).map(amiss)).collect()
}

/// Where a proof stands, in a word or two.
pub fn stands(of: &Proof) -> Cell {
    let (text, tone) = match of.verdict() {
        ProofVerdict::Proved | ProofVerdict::ToPutBack => ("proved", Tone::Good),
        ProofVerdict::Unfinished => ("not proved", Tone::Bad),
        ProofVerdict::NotProved => ("failed", Tone::Bad),
    };
    Cell { text: text.to_string(), tone }
}

/// Every check with how it came out.
pub fn told(case: &Case, account: &Account) -> Vec<Block> {
    let Some(of) = &account.proof else { return Vec::new() };
    let mut blocks = vec![Block::Heading("Proof of the repair".to_string())];
    blocks.extend(recorded(case.vehicle(), of));
    blocks.extend(failings(case, account).into_iter().map(Block::Paragraph));
    blocks
}

/// What nobody checked: said plainly, so that nobody takes it for proved.
pub fn not_checked(case: &Case, account: &Account) -> Vec<Block> {
    let (vehicle, figures) = (case.vehicle(), &case.engine().tables().telling);
    let mut items: Vec<String> = account.hunts.iter().flat_map(|hunt| left_open(figures, vehicle, hunt)).collect();
    let standing = case.standing();
    let points: Vec<String> = standing.out_of_reach.iter().map(|&point| names::point(vehicle, point)).collect();
    if !points.is_empty() {
        items.push(format!("Could not be reached: {}.", points.join(", ")));
    }
    let tests: Vec<String> = standing.unwanted.iter().map(|&test| names::test(case, test)).collect();
    if !tests.is_empty() {
        items.push(format!("Left out: {}.", tests.join("; ")));
    }
    if items.is_empty() {
        items.push("Nothing on the way that was hunted.".to_string());
    }
    items.push("Whatever no reading and no look in this report speaks of.".to_string());
    vec![Block::Heading("Not checked".to_string()), Block::List(items)]
}

fn left_open(figures: &Telling, vehicle: &Vehicle, hunt: &Hunt) -> Vec<String> {
    let belief = &hunt.assessment.belief;
    let found: Vec<PartId> = match hunt.assessment.next {
        Next::Found { site } => site.parts().collect(),
        _ => Vec::new(),
    };
    // What was found or repaired is told as the cause, not as left open.
    let is_told = |part: PartId| hunt.repaired.contains(&part) || found.contains(&part);
    let is_done = |site: Site| site.parts().count() > 0 && site.parts().all(is_told);
    let possible: Vec<String> = belief
        .suspects
        .iter()
        .filter(|suspect| suspect.probability > figures.named && !is_done(suspect.site))
        .map(|suspect| quantities::odds(names::site(vehicle, suspect.site), suspect.probability.value()))
        .collect();
    let mut items = Vec::new();
    if !possible.is_empty() {
        items.push(format!("Still possible when the hunt ended: {}.", possible.join(", ")));
    }
    let cleared = |part: PartId| hunt.assessment.proved_good.contains(&part) || is_told(part);
    if let Some(way) = &hunt.way {
        let parts = way.stations.iter().filter_map(|station| station.stop.by);
        let open = names::short_parts(vehicle, parts.filter(|&part| !cleared(part)));
        if !open.is_empty() {
            let load = names::short_part(vehicle, way.load);
            items.push(format!("On the way of {load}, never proved good: {open}."));
        }
    }
    items
}
