//! Two revisions of a drawing held against each other.

use crate::quantity::Amps;
use crate::review::{ChangedPart, Comparison, PartChange, Revised, RevisedLoad, ServedOtherwise};
use crate::words::document::Block;
use serde_json::{Value, json};
use std::collections::BTreeSet;

/// The comparison as a screen.
pub fn comparison(of: &Comparison) -> Vec<Block> {
    let changed = of.changed.iter().map(|one| format!("{}: {}.", one.name, said(one)));
    let mut blocks = Vec::new();
    for (title, items) in [("Added", named(&of.added)), ("Gone", named(&of.gone)), ("Changed", changed.collect())] {
        blocks.push(Block::Heading(title.to_string()));
        blocks.push(if items.is_empty() { Block::detail("Nothing.") } else { Block::List(items) });
    }
    blocks.push(Block::Heading("Loads, each running alone".to_string()));
    if of.loads.is_empty() {
        blocks.push(Block::detail("Every load draws what it drew, loses what it lost, and has the fuse that it had."));
        return blocks;
    }
    let columns = ["load", "fuse", "draws", "loses V", "may lose V", ""];
    blocks.push(Block::table(&columns, of.loads.iter().map(row)));
    blocks
}

fn named(names: &[String]) -> Vec<String> {
    if names.is_empty() { Vec::new() } else { vec![names.join(", ")] }
}

fn said(part: &ChangedPart) -> String {
    part.changes.iter().map(change).collect::<Vec<_>>().join("; ")
}

fn change(change: &PartChange) -> String {
    let rating = |rating: &Option<Amps>| rating.map_or("none".to_string(), |amps| format!("{} A", amps.0));
    let place = |place: &Option<String>| place.clone().unwrap_or_else(|| "no place of its own".to_string());
    let names = |names: &BTreeSet<String>| names.iter().cloned().collect::<Vec<_>>().join(", ");
    match change {
        PartChange::Kind(of) => format!("was a {}, is a {}", of.old, of.new),
        PartChange::Rating(of) => format!("rated {}, was {}", rating(&of.new), rating(&of.old)),
        PartChange::Length(of) => format!("{} m long, was {}", of.new.0, of.old.0),
        PartChange::Area(of) => format!("{:.2} mm², was {:.2}", of.new.0, of.old.0),
        PartChange::Resistance(of) => format!("{}, was {}", of.new, of.old),
        PartChange::Place(of) => format!("at {}, was at {}", place(&of.new), place(&of.old)),
        PartChange::Meets(of) => match (of.old.is_empty(), of.new.is_empty()) {
            (true, _) => format!("joined to {} besides", names(&of.new)),
            (false, true) => format!("no more joined to {}", names(&of.old)),
            (false, false) => format!("joined to {} instead of {}", names(&of.new), names(&of.old)),
        },
    }
}

fn row(ServedOtherwise { name, figures: load }: &ServedOtherwise) -> Vec<String> {
    let cell = |of: &dyn Fn(&RevisedLoad) -> String| {
        let side = |side: &Option<RevisedLoad>| side.as_ref().map_or("-".to_string(), of);
        let (old, new) = (side(&load.old), side(&load.new));
        if old == new { old } else { format!("{old} > {new}") }
    };
    vec![
        name.clone(),
        cell(&|one| match (&one.protection, one.rating) {
            (Some(fuse), Some(rating)) => format!("{fuse}, {} A", rating.0),
            _ => "none".to_string(),
        }),
        cell(&|one| one.amps.to_string()),
        cell(&|one| format!("{:.2}", one.drop.0)),
        cell(&|one| format!("{:.2}", one.limit.0)),
        verdict(load).to_string(),
    ]
}

fn verdict(load: &Revised<Option<RevisedLoad>>) -> &'static str {
    let too_much = |one: &RevisedLoad| one.drop > one.limit;
    match (&load.old, &load.new) {
        (Some(_), None) => "runs no more",
        (None, Some(new)) if too_much(new) => "new, loses too much",
        (None, _) => "new",
        (Some(old), Some(new)) => match (too_much(old), too_much(new)) {
            (false, true) => "loses too much now",
            (true, true) => "loses too much still",
            (true, false) => "no more too much",
            (false, false) if new.protection.is_none() && old.protection.is_some() => "has no fuse now",
            (false, false) => "ok",
        },
    }
}

/// The same as values.
pub fn comparison_machine(of: &Comparison) -> Value {
    let load = |one: &Option<RevisedLoad>| {
        one.as_ref().map(|one| {
            json!({
                "protection": one.protection,
                "rating_amps": one.rating.map(|rating| rating.0),
                "amps": one.amps.0,
                "drop_volts": one.drop.0,
                "limit_volts": one.limit.0,
            })
        })
    };
    json!({
        "added": of.added,
        "gone": of.gone,
        "changed": of.changed.iter().map(|one| json!({
            "part": one.name,
            "changes": one.changes.iter().map(change_value).collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
        "loads": of.loads.iter().map(|ServedOtherwise { name, figures: one }| json!({
            "load": name, "old": load(&one.old), "new": load(&one.new), "verdict": verdict(one),
        })).collect::<Vec<_>>(),
    })
}

fn change_value(change: &PartChange) -> Value {
    let amps = |rating: Option<Amps>| rating.map(|rating| rating.0);
    let row = |what: &str, old: Value, new: Value| json!({ "what": what, "old": old, "new": new });
    match change {
        PartChange::Kind(of) => row("kind", json!(of.old), json!(of.new)),
        PartChange::Rating(of) => row("rating_amps", json!(amps(of.old)), json!(amps(of.new))),
        PartChange::Length(of) => row("metres", json!(of.old.0), json!(of.new.0)),
        PartChange::Area(of) => row("mm2", json!(of.old.0), json!(of.new.0)),
        PartChange::Resistance(of) => row("ohms", json!(of.old.0), json!(of.new.0)),
        PartChange::Place(of) => row("place", json!(of.old), json!(of.new)),
        PartChange::Meets(of) => row("joined_to", json!(of.old), json!(of.new)),
    }
}
