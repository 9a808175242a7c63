//! What would make faults quicker to find, each with what it was found to save.

use crate::review::{Proposal, ProposedChange};
use crate::tables::review::Reviewing;
use crate::trial::Mean;
use crate::vehicle::Vehicle;
use crate::words::document::Block;
use crate::words::names;
use serde_json::{Value, json};

/// The proposals as a screen.
pub fn proposals(vehicle: &Vehicle, practice: &Reviewing, of: &[Proposal]) -> Vec<Block> {
    let mut blocks = vec![Block::Heading("What would make faults quicker to find".to_string())];
    if of.is_empty() {
        blocks.push(Block::detail(
            "Nothing that was tried saved time: points brought out to the place at hand, joints moved there.",
        ));
        return blocks;
    }
    blocks.push(Block::Steps(
        of.iter().map(|one| (change(vehicle, one), vec![figures(vehicle, practice, one)])).collect(),
    ));
    blocks.push(Block::List(vec![
        "Each was chosen by some faults of its circuit and counted on others, planned again on the changed vehicle. Pilot lamps, split returns and plugs are not tried.".to_string(),
        "A wire to a test point needs a small fuse where it begins. A moved joint makes its cables longer: see `halfsplit size`.".to_string(),
    ]));
    blocks
}

fn change(vehicle: &Vehicle, one: &Proposal) -> String {
    match one.change {
        ProposedChange::TestPoint { point, place } => {
            format!("A test point for {} at {}.", names::point(vehicle, point), vehicle.place(place).name)
        }
        ProposedChange::MovedJoint { joint, place } => {
            format!("Make {} at {}.", names::part(vehicle, joint), vehicle.place(place).name)
        }
    }
}

fn figures(vehicle: &Vehicle, practice: &Reviewing, one: &Proposal) -> String {
    format!(
        "Faults of {}: {:.1} minutes before, {:.1} after; saves {:.1} ± {:.1} of each ({} faults). {:.1} minutes a year, at {} a year in the vehicle.",
        names::part(vehicle, one.circuit),
        one.before.mean,
        one.after.mean,
        one.saved.mean,
        one.saved.half,
        one.saved.of,
        one.saved_a_year.0,
        practice.faults_a_year
    )
}

/// The same as values.
pub fn proposals_machine(vehicle: &Vehicle, of: &[Proposal]) -> Value {
    let mean = |of: &Mean| json!({ "mean": of.mean, "half": of.half, "of": of.of });
    let values = of.iter().map(|one| {
        let (what, named, place) = match one.change {
            ProposedChange::TestPoint { point, place } => ("test point", names::short_point(vehicle, point), place),
            ProposedChange::MovedJoint { joint, place } => ("moved joint", names::short_part(vehicle, joint), place),
        };
        json!({
            "change": what,
            "of": named,
            "place": vehicle.place(place).name,
            "circuit": names::short_part(vehicle, one.circuit),
            "before_minutes": mean(&one.before),
            "after_minutes": mean(&one.after),
            "saved_minutes": mean(&one.saved),
            "saved_a_year": one.saved_a_year.0,
        })
    });
    values.collect()
}
