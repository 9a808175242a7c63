//! What past cases say: what they raise, and the comeback report.

use super::document::{Block, Cell, Document, Layout, Paper, Table};
use super::proof::unshown;
use super::report::stands;
use super::{names, quantities};
use crate::belief::{Because, Past, Raise};
use crate::case::Case;
use crate::case::past::Comeback;
use crate::vehicle::{PartId, Vehicle};

/// Layout: raised parts told in one answer, at most.
const MOST_TOLD: usize = 3;

/// Which suspects the past makes likelier, and why.
pub fn raised(case: &Case) -> Option<Block> {
    if case.standing().evidence.unheeded.contains(&Past::History) {
        return None;
    }
    let tables = case.engine().tables();
    let (signs, figures) = (&tables.signs, &tables.telling);
    let suspects = &case.assessment().belief.suspects;
    let likely = suspects.iter().filter(|suspect| suspect.probability > figures.named);
    let told: Vec<String> = likely
        .flat_map(|suspect| suspect.site.parts())
        .filter_map(|part| {
            let raises = case.engine().history().iter().filter(|raise| raise.part == part);
            let most = raises.max_by(|a, b| a.factor(signs).total_cmp(&b.factor(signs)))?;
            (most.factor(signs) > figures.raise_told).then(|| because(case, most))
        })
        .take(MOST_TOLD)
        .collect();
    let text = format!("Raised by what was repaired before (`history off` leaves it out): {}.", told.join("; "));
    (!told.is_empty()).then_some(Block::Paragraph(text))
}

fn because(case: &Case, raise: &Raise) -> String {
    let name = names::short_part(case.vehicle(), raise.part);
    let factor = raise.factor(&case.engine().tables().signs);
    let why = match raise.because {
        Because::Repaired => "repaired",
        Because::WorkedBeside => "beside what was repaired",
        Because::RepairedElsewhere => "repaired in another vehicle",
    };
    format!("{name} {factor:.1} times, {why} {} (case {})", ago(raise.days), raise.case)
}

fn ago(days: f64) -> String {
    match days {
        days if days < 1.0 => "today".to_string(),
        days if days < 2.0 => "a day ago".to_string(),
        days => format!("{days:.0} days ago"),
    }
}

/// The comeback report: each past case, and what nobody has ever measured.
pub fn comeback(vehicle: &Vehicle, told: &[Comeback], enough: f64, paper: Paper) -> String {
    let parts = |parts: &[PartId]| names::short_parts(vehicle, parts.iter().copied());
    let mut blocks = Vec::new();
    let rows = told.iter().map(|case| {
        let complaints = case.complaints.iter().map(|&(part, sign)| names::short_sign(vehicle, part, sign));
        vec![
            Cell::from(case.begun.as_ref().map_or(case.name.clone(), |begun| begun.to_the_minute())),
            complaints.collect::<Vec<_>>().join("; ").into(),
            parts(&case.repaired).into(),
            case.proof.as_ref().map_or("nothing repaired".into(), stands),
        ]
    });
    blocks.push(Block::Table(Table::of("Oldest first", &["when", "complaint", "repaired", "proof"], rows)));
    for case in told {
        blocks.push(Block::Heading(format!("Case {}", case.name)));
        let complaints = case.complaints.iter().map(|&(part, sign)| names::sign(vehicle, part, sign));
        let mut items: Vec<String> = complaints.map(|text| format!("Complaint: {text}.")).collect();
        items.extend(case.found.iter().map(|&(part, odds)| {
            // What no test settled was not found.
            let lead = if odds >= enough { "Found" } else { "Likeliest" };
            let count = match case.readings {
                0 => "no reading".to_string(),
                1 => "one reading".to_string(),
                count => format!("{count} readings"),
            };
            format!("{lead}: {} at {}, from {count}.", names::part(vehicle, part), quantities::percent(odds))
        }));
        items.extend((!case.repaired.is_empty()).then(|| format!("Done: {} repaired.", parts(&case.repaired))));
        items.extend(case.proof.iter().flat_map(|proof| unshown(vehicle, proof)));
        if !case.never_measured.is_empty() {
            items.push(format!("Never measured on its way: {}.", parts(&case.never_measured)));
        }
        blocks.push(Block::List(items));
    }
    let again = again(told);
    if !again.is_empty() {
        blocks.push(Block::Heading("Repaired more than once".to_string()));
        blocks.push(Block::Paragraph(format!(
            "{}. A part that fails again has a cause beside it: look for chafe, heat, water, load.",
            parts(&again)
        )));
    }
    Document { title: format!("Comebacks: {}", vehicle.name), layout: Layout::Roomy, blocks }.written(paper)
}

/// Parts repaired in more than one case, in order.
fn again(told: &[Comeback]) -> Vec<PartId> {
    let mut all: Vec<PartId> = told
        .iter()
        .flat_map(|case| {
            let mut own = case.repaired.clone();
            own.sort_unstable();
            own.dedup();
            own
        })
        .collect();
    all.sort_unstable();
    all.chunk_by(|a, b| a == b).filter(|same| same.len() > 1).map(|same| same[0]).collect()
}
