//! A build looked over: what hangs on single parts, where circuits come together,
//! what carries too much, what loses too much, how long the batteries last.

use crate::quantity::{Amps, PERCENT};
use crate::review::{AsBuilt, FeedsTogether, LoadFigures, LoadedSupply, Reserve, SharedReturn, SingleParts};
use crate::tables::ampacity;
use crate::tables::limits::{CRITICAL_DROP, DROP_STANDARD, ORDINARY_DROP};
use crate::tables::review::Reviewing;
use crate::tables::supply::LEAST_CHARGE;
use crate::vehicle::{PartId, Vehicle};
use crate::words::document::Block;
use crate::words::names;
use serde_json::{Value, json};

/// Layout: names in one row before the rest is counted.
const NAMED: usize = 12;

/// Layout: a current below which a supply gives nothing worth telling.
const LEAST: Amps = Amps(1e-3);
/// Numerical: share of what it can from which a supply gives all of it.
const ALL_OF_IT: f64 = 0.999;

/// What the review goes by.
pub fn standards() -> Vec<String> {
    vec![
        format!(
            "Volts lost: {:.0} % where safety hangs on it, {:.0} % elsewhere: {DROP_STANDARD}.",
            CRITICAL_DROP * PERCENT,
            ORDINARY_DROP * PERCENT
        ),
        format!(
            "What a cable carries: {}, 30 °C, and 183.460 for cable before the first fuse: pleasure boats under US law (the code of federal regulations as it stood when the table was read).",
            ampacity::TABLE_NAME
        ),
        "Terminals on one stud: FAA AC 43.13-1B, aircraft (from memory).".to_string(),
        "None of them is made for the accessories of a road vehicle, and keeping them is no approval. Local codes, the rules of the vehicle's maker and licensed practice come first.".to_string(),
    ]
}

/// The review as a screen.
pub fn built(vehicle: &Vehicle, practice: &Reviewing, of: &AsBuilt) -> Vec<Block> {
    let mut blocks = vec![
        Block::Paragraph(format!(
            "{}, {:.0} V: {} loads run, in {} circuits (what hangs on one fuse is one circuit), each switched on by itself.",
            vehicle.name,
            vehicle.nominal.0,
            of.loads.len(),
            of.circuits
        )),
        Block::Heading("By what it is judged".to_string()),
        Block::List(standards()),
    ];
    if !of.still.is_empty() {
        blocks.push(Block::detail(format!("Do not run though all is sound: {}.", listed(vehicle, &of.still))));
    }
    section(&mut blocks, "Single parts that take several circuits down", "None.", single(vehicle, &of.single));
    section(
        &mut blocks,
        "Many feeds at one point",
        &format!("No point has more than {}.", practice.on_one_stud),
        feeds(vehicle, practice, &of.feeds),
    );
    section(&mut blocks, "Returns that circuits share", "None.", returns(vehicle, &of.returns));
    section(
        &mut blocks,
        "Protection",
        "Every fuse opens at a short at the load and carries everything at once.",
        protection(vehicle, practice, of),
    );
    blocks.push(Block::Heading("Volts lost on the way".to_string()));
    blocks.push(drops(vehicle, &of.loads));
    blocks.push(Block::Heading("Supplies with everything on".to_string()));
    blocks.push(Block::List(of.supplies.iter().map(|one| supply(vehicle, one)).collect()));
    let hours = of.reserve.iter().map(|one| reserve(vehicle, one)).collect();
    section(&mut blocks, "Hours of reserve, of what runs at rest and what was said to be in use", "No battery.", hours);
    let findings =
        of.findings.iter().map(|finding| format!("{}: {}.", names::capital(&finding.headline), finding.help));
    section(&mut blocks, "What the check of the file finds", "Nothing.", findings.collect());
    blocks
}

fn section(blocks: &mut Vec<Block>, title: &str, none: &str, items: Vec<String>) {
    blocks.push(Block::Heading(title.to_string()));
    blocks.push(match items.is_empty() {
        true => Block::detail(none),
        false => Block::List(items),
    });
}

/// Names of parts, the first few and how many more.
pub(super) fn listed(vehicle: &Vehicle, parts: &[PartId]) -> String {
    let mut text: Vec<&str> = parts.iter().take(NAMED).map(|&part| names::short_part(vehicle, part)).collect();
    let more = parts.len().saturating_sub(NAMED);
    let rest = format!("{more} more");
    text.extend((more > 0).then_some(rest.as_str()));
    text.join(", ")
}

pub(super) fn counted(count: usize, noun: &str) -> String {
    if count == 1 { format!("{count} {noun}") } else { format!("{count} {noun}s") }
}

fn single(vehicle: &Vehicle, all: &[SingleParts]) -> Vec<String> {
    let said = |one: &SingleParts| {
        let any = if one.parts.len() == 1 { "" } else { "any one of " };
        format!(
            "{}, {}: {any}{}. Dark: {}.",
            counted(one.circuits, "circuit"),
            counted(one.dark.len(), "load"),
            listed(vehicle, &one.parts),
            listed(vehicle, &one.dark)
        )
    };
    all.iter().map(said).collect()
}

fn feeds(vehicle: &Vehicle, practice: &Reviewing, all: &[FeedsTogether]) -> Vec<String> {
    let said = |one: &FeedsTogether| {
        format!(
            "{}: {} for {} ({}). If that is a stud and no bar: no more than {} on one.",
            names::point(vehicle, one.point),
            counted(one.feeds.len(), "feed"),
            counted(one.circuits, "circuit"),
            listed(vehicle, &one.feeds),
            practice.on_one_stud
        )
    };
    all.iter().map(said).collect()
}

fn returns(vehicle: &Vehicle, all: &[SharedReturn]) -> Vec<String> {
    let said = |one: &SharedReturn| {
        let weakest = one.weakest.map(|(cable, carries)| {
            let name = names::short_part(vehicle, cable);
            match one.is_overloaded() {
                true => format!("; too much for {name}, which may carry {carries}, and no fuse stands in a return"),
                false => format!("; {name} may carry {carries}"),
            }
        });
        format!(
            "{}, {}: {}. {} with everything on{}.",
            counted(one.circuits, "circuit"),
            counted(one.loads, "load"),
            listed(vehicle, &one.parts),
            one.amps,
            weakest.unwrap_or_default()
        )
    };
    all.iter().map(said).collect()
}

fn protection(vehicle: &Vehicle, practice: &Reviewing, of: &AsBuilt) -> Vec<String> {
    // What opens nothing behind one fuse is one thing to mend.
    let mut shorts: Vec<(Option<PartId>, Amps, Vec<PartId>)> = Vec::new();
    for one in &of.nothing_opens {
        let (fuse, amps) = one.protection.map_or((None, Amps::ZERO), |(fuse, amps)| (Some(fuse), amps));
        match shorts.iter_mut().find(|(known, ..)| *known == fuse) {
            Some((_, most, loads)) => {
                *most = most.max(amps);
                loads.push(one.load);
            }
            None => shorts.push((fuse, amps, vec![one.load])),
        }
    }
    let shorts = shorts.into_iter().map(|(fuse, amps, loads)| {
        let short = format!("A short at {} opens nothing", listed(vehicle, &loads));
        match fuse {
            Some(fuse) => format!(
                "{short}: {} gets {amps}, which does not open it. Take a smaller one, a bigger cable, or a supply that gives more.",
                names::part(vehicle, fuse)
            ),
            None => format!("{short}: no fuse or breaker is on its way."),
        }
    });
    let loaded = of.protection.iter().map(|one| {
        let fuse = names::part(vehicle, one.protection);
        match one.amps {
            Some(amps) => format!(
                "{fuse}, {} A, carries {amps} with everything on; for hours no more than {:.0} %.",
                one.rating.0,
                practice.fuse_loaded * PERCENT
            ),
            None => format!("{fuse}, {} A, opens with everything on.", one.rating.0),
        }
    });
    shorts.chain(loaded).collect()
}

fn drops(vehicle: &Vehicle, loads: &[LoadFigures]) -> Block {
    let rows = loads.iter().map(|one| {
        let verdict = match (one.drop > one.limit, one.drop_all_on > one.limit) {
            (true, _) => "too much",
            (false, true) => "too much with all on",
            (false, false) => "ok",
        };
        vec![
            names::short_part(vehicle, one.load).to_string(),
            one.protection.map_or("none".to_string(), |fuse| names::short_part(vehicle, fuse).to_string()),
            one.amps.to_string(),
            volts(one.drop.0),
            volts(one.drop_all_on.0),
            volts(one.limit.0),
            verdict.to_string(),
        ]
    });
    Block::table(&["load", "fuse", "draws", "loses V", "all on V", "may lose V", ""], rows)
}

fn volts(volts: f64) -> String {
    format!("{volts:.2}")
}

fn supply(vehicle: &Vehicle, one: &LoadedSupply) -> String {
    let name = names::part(vehicle, one.supply);
    let gives = match one.amps {
        amps if amps.abs() < LEAST => "gives nothing".to_string(),
        amps if amps < Amps::ZERO => format!("takes {}", amps.abs()),
        amps => format!("gives {amps}"),
    };
    match one.most {
        Some(most) if one.amps > most => format!("{name} {gives}: more than its {most}."),
        Some(most) if one.amps > most * ALL_OF_IT => format!("{name} {gives}, all that it can: what is on gets less."),
        Some(most) => format!("{name} {gives} of at most {most}."),
        None => format!("{name} {gives}."),
    }
}

fn reserve(vehicle: &Vehicle, one: &Reserve) -> String {
    let name = names::part(vehicle, one.battery);
    match one.hours {
        Some(hours) => format!(
            "{name}: {hours:.0} hours at {}, from full down to {:.0} % (common practice, no source).",
            one.amps,
            LEAST_CHARGE * PERCENT
        ),
        None => format!("{name}: nothing is drawn from it."),
    }
}

/// The same as values.
pub fn built_machine(vehicle: &Vehicle, of: &AsBuilt) -> Value {
    let name = |&part: &PartId| names::short_part(vehicle, part).to_string();
    let all = |parts: &[PartId]| parts.iter().map(name).collect::<Vec<_>>();
    json!({
        "vehicle": vehicle.name,
        "nominal_volts": vehicle.nominal.0,
        "judged_by": standards(),
        "circuits": of.circuits,
        "still": all(&of.still),
        "single": of.single.iter().map(|one| json!({
            "parts": all(&one.parts), "dark": all(&one.dark), "circuits": one.circuits,
        })).collect::<Vec<_>>(),
        "feeds": of.feeds.iter().map(|one| json!({
            "point": names::short_point(vehicle, one.point), "feeds": all(&one.feeds), "circuits": one.circuits,
        })).collect::<Vec<_>>(),
        "returns": of.returns.iter().map(|one| json!({
            "parts": all(&one.parts), "circuits": one.circuits, "loads": one.loads, "amps": one.amps.0,
            "weakest": one.weakest.map(|(cable, carries)| json!({"cable": name(&cable), "carries_amps": carries.0})),
        })).collect::<Vec<_>>(),
        "nothing_opens": of.nothing_opens.iter().map(|one| json!({
            "load": name(&one.load),
            "protection": one.protection.map(|(fuse, amps)| json!({"part": name(&fuse), "amps": amps.0})),
        })).collect::<Vec<_>>(),
        "protection": of.protection.iter().map(|one| json!({
            "part": name(&one.protection), "rating_amps": one.rating.0, "amps": one.amps.map(|amps| amps.0),
        })).collect::<Vec<_>>(),
        "loads": of.loads.iter().map(|one| json!({
            "load": name(&one.load),
            "protection": one.protection.as_ref().map(name),
            "rating_amps": one.rating.map(|rating| rating.0),
            "amps": one.amps.0,
            "drop_volts": one.drop.0,
            "drop_all_on_volts": one.drop_all_on.0,
            "limit_volts": one.limit.0,
        })).collect::<Vec<_>>(),
        "supplies": of.supplies.iter().map(|one| json!({
            "supply": name(&one.supply), "amps": one.amps.0, "most_amps": one.most.map(|most| most.0),
        })).collect::<Vec<_>>(),
        "reserve": of.reserve.iter().map(|one| json!({
            "battery": name(&one.battery), "amps": one.amps.0, "hours": one.hours,
        })).collect::<Vec<_>>(),
        "findings": of.findings.iter().map(|finding| json!({
            "headline": finding.headline, "help": finding.help,
        })).collect::<Vec<_>>(),
    })
}
