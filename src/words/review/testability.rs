//! What it takes to find a fault in each circuit.

use super::built::{counted, listed};
use crate::quantity::PERCENT;
use crate::review::{Inseparability, InseparableSet, Rehearsal, Testability, TestedCircuit};
use crate::trial::Share;
use crate::vehicle::Vehicle;
use crate::words::document::Block;
use crate::words::names;
use serde_json::{Value, json};

/// Layout: faults from which a mean is told with its spread; of fewer that would be a
/// guess itself.
const SPREAD_FROM: usize = 10;

/// The figures as a screen.
pub fn testability(vehicle: &Vehicle, rehearsal: Rehearsal, of: &Testability) -> Vec<Block> {
    let rows = of.circuits.iter().map(|one| row(vehicle, one));
    let mut blocks = vec![
        Block::Heading("How long a fault takes to find".to_string()),
        Block::Paragraph(format!(
            "{:.0} minutes on average, each circuit by how often a fault is complained of there. Played: {} of one part each, at most {} for a circuit, seed {}, in real parts with a real meter.",
            of.minutes.0,
            counted(of.played, "fault"),
            rehearsal.cases,
            rehearsal.seed
        )),
        Block::table(&["circuit", "of all", "minutes", "worst", "faults", "one part", "right"], rows),
        Block::Heading("Parts that no test told apart".to_string()),
    ];
    blocks.push(match of.inseparable.is_empty() {
        true => Block::detail("None was met."),
        false => Block::List(of.inseparable.iter().map(|set| inseparable(vehicle, set)).collect()),
    });
    blocks
}

fn row(vehicle: &Vehicle, one: &TestedCircuit) -> Vec<String> {
    let share = |share: &Share| format!("{} of {}", share.hits, share.of);
    vec![
        names::part(vehicle, one.circuit),
        format!("{:.0} %", one.weight * PERCENT),
        match one.minutes.of {
            few if few < SPREAD_FROM => format!("{:.0}", one.minutes.mean),
            _ => format!("{:.0} ± {:.0}", one.minutes.mean, one.minutes.half),
        },
        format!("{:.0}", one.worst.0),
        one.minutes.of.to_string(),
        share(&one.one_part),
        share(&one.right),
    ]
}

fn inseparable(vehicle: &Vehicle, set: &InseparableSet) -> String {
    let why = match set.why {
        Inseparability::OnMains => "mains: nobody probes there who has no licence for it",
        Inseparability::NoWayIn => "no probe gets in between",
        Inseparability::AllTheSame => "a probe gets in between, and all that was left to read or see shows the same",
    };
    format!("{} (met {}): {why}.", listed(vehicle, &set.parts), counted(set.met, "time"))
}

/// The same as values.
pub fn testability_machine(vehicle: &Vehicle, rehearsal: Rehearsal, of: &Testability) -> Value {
    let share = |share: &Share| json!({ "hits": share.hits, "of": share.of });
    json!({
        "minutes": of.minutes.0,
        "played": of.played,
        "cases": rehearsal.cases,
        "seed": rehearsal.seed,
        "circuits": of.circuits.iter().map(|one| json!({
            "circuit": names::short_part(vehicle, one.circuit),
            "weight": one.weight,
            "minutes": one.minutes.mean,
            "minutes_half": one.minutes.half,
            "worst_minutes": one.worst.0,
            "one_part": share(&one.one_part),
            "right": share(&one.right),
        })).collect::<Vec<_>>(),
        "inseparable": of.inseparable.iter().map(|set| json!({
            "parts": set.parts.iter().map(|&part| names::short_part(vehicle, part)).collect::<Vec<_>>(),
            "met": set.met,
            "why": match set.why {
                Inseparability::OnMains => "on mains",
                Inseparability::NoWayIn => "no way in",
                Inseparability::AllTheSame => "all the same",
            },
        })).collect::<Vec<_>>(),
    })
}
