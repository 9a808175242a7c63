//! The figures of a trial as tables and as one JSON object, and a single case
//! as a session that can be read.

use super::document::Block;
use super::{answer, names, quantities};
use crate::case::{Case, CaseError, Entry};
use crate::fault::Fault;
use crate::quantity::PERCENT;
use crate::trial::{
    Band, Calibration, CalibrationTable, CaseOutcome, Column, Conditions, Departure, Draw, FailureKind, Habits, Hidden,
    LookedBefore, Mean, MeterQuality, Misreading, Paired, PairedCase, PairedFigure, PlayedCase, PlayedEnding, Policy,
    Report, Share, Tails, Trouble,
};
use crate::vehicle::Vehicle;
use serde_json::{Value, json};

/// Layout: failed cases listed in a table, at most; all are in the machine form.
const LISTED: usize = 40;

/// The whole report.
pub fn report(vehicle: &Vehicle, of: &Report, outcomes: &[CaseOutcome]) -> Vec<Block> {
    let noticed = format!(
        "{}: {} cases. {} of the faults drawn make no complaint that anybody would notice; {} make something chatter.",
        vehicle.name,
        of.cases,
        percent(&of.unnoticed),
        percent(&of.restless),
    );
    let mut blocks = vec![Block::Paragraph(noticed)];
    blocks.extend(alike(of));
    blocks.extend(policies(of));
    blocks.push(Block::Paragraph(format!("Utility of naming nothing: {:.4}.", of.nothing_named)));
    blocks.extend(blamed(vehicle, of));
    blocks.extend(of.at_end.iter().flat_map(|at| calibration("Odds at the end of a case", at)));
    blocks.extend(of.at_every_answer.iter().flat_map(|at| calibration("Odds in every answer on the way", at)));
    blocks.extend(of.paired.iter().flat_map(with_and_without));
    blocks.extend(failures(vehicle, of, outcomes));
    blocks
}

/// How the tool advised.
pub fn habits(of: &Habits) -> Vec<Block> {
    let rows = [
        ("volts across a part or along one way", of.drops),
        ("volts with the black lead elsewhere than on the negative at hand", of.elsewhere),
        ("volts with the leads at two places", of.two_places),
        ("likely outcomes too close to tell apart", of.too_close),
        ("the likeliest outcome is what no contact would show, contact not proved", of.no_contact),
        ("a look, listening or question among the first two, where one tells", of.early_looks),
        ("loads and sources condemned without their own terminals or an aid", of.condemned),
    ];
    let rows = rows.iter().map(|(what, share)| vec![what.to_string(), share.of.to_string(), percent(share)]);
    vec![Block::Heading("How it advises".to_string()), Block::table(&["habit", "of", "share"], rows)]
}

/// How often a sound instrument of the vehicle was named.
fn blamed(vehicle: &Vehicle, of: &Report) -> Option<Block> {
    let share = of.columns.iter().map(|column| percent(&column.instrument_blamed)).collect::<Vec<_>>().join(", ");
    vehicle.instruments().next().map(|_| Block::Paragraph(format!("A sound instrument named: {share}.")))
}

/// The same cases with and without a handover.
fn with_and_without(of: &Paired) -> Vec<Block> {
    let row = |pair: &PairedCase| {
        let (low, high) = pair.difference.interval();
        vec![
            figure(pair.figure).to_string(),
            format!("{:.3}", pair.without),
            format!("{:.3}", pair.with),
            format!("{:+.3} ({low:+.3} to {high:+.3})", pair.difference.mean),
        ]
    };
    let mut blocks = vec![
        Block::Heading(format!("The same {} cases without and with readings at handover:", of.cases)),
        Block::table(&["", "without", "with", "difference of each case"], of.pairs.iter().map(row)),
    ];
    blocks.extend(of.at_every_answer.iter().flat_map(|at| calibration("Odds in every answer with them", at)));
    blocks
}

fn figure(of: PairedFigure) -> &'static str {
    match of {
        PairedFigure::Tests => "tests",
        PairedFigure::Minutes => "minutes",
        PairedFigure::Right => "right part named",
        PairedFigure::Segment => "parts of the segment",
        PairedFigure::EarlyBelief => "belief in the right place after two tests",
        PairedFigure::EarlyFirst => "right place likeliest after two tests",
        PairedFigure::EarlyPlaces => "places that hold 95 % after two tests",
        PairedFigure::LateBelief => "belief in the right place in the end",
    }
}

/// Which wrong drawings are no cases.
fn alike(of: &Report) -> Option<Block> {
    let told = format!(
        "Of the wrong drawings that would be noticed {} read like a drawn fault at every point and are left out.",
        percent(&of.alike)
    );
    (of.alike.hits > 0).then_some(Block::Paragraph(told))
}

/// What each policy came to, in three tables.
fn policies(of: &Report) -> Vec<Block> {
    type Cell = fn(&Column) -> String;
    let tables: [&[(&str, Cell)]; 3] = [
        &[
            ("cases", |column| column.cases.to_string()),
            ("right part named", |column| percent(&column.right)),
            ("in the segment", |column| percent(&column.in_segment)),
            ("parts in it (95th)", |column| mean(&column.segment)),
        ],
        &[
            ("tests (95th)", |column| mean(&column.tests)),
            ("minutes (95th)", |column| mean(&column.minutes)),
            ("tests, ours / its", |column| ratio(column.ours_tests)),
            ("minutes, ours / its", |column| ratio(column.ours_minutes)),
        ],
        &[
            ("culprit proved good", |column| percent(&column.cleared)),
            ("drawing doubted", |column| percent(&column.doubted)),
            ("sound parts named", |column| mean(&column.renewed)),
            ("no test left", |column| percent(&column.nothing_left)),
            ("utility", |column| interval(column.utility.mean, column.utility.interval(), 4)),
        ],
    ];
    let told = |cells: &&[(&str, Cell)]| {
        let header: Vec<&str> = std::iter::once("policy").chain(cells.iter().map(|(name, _)| *name)).collect();
        let row = |column: &Column| {
            let name = std::iter::once(column.policy.word().to_string());
            name.chain(cells.iter().map(|(_, cell)| cell(column))).collect()
        };
        Block::table(&header, of.columns.iter().map(row))
    };
    tables.iter().map(told).collect()
}

fn percent(share: &Share) -> String {
    quantities::share(share, 1)
}

fn mean(of: &Mean) -> String {
    format!("{:.2} ±{:.2} ({:.1})", of.mean, of.half, of.percentile_95)
}

fn interval(value: f64, (low, high): (f64, f64), digits: usize) -> String {
    format!("{value:.digits$} ({low:.digits$} to {high:.digits$})")
}

fn ratio(of: Option<(f64, (f64, f64))>) -> String {
    of.map_or_else(|| "-".to_string(), |(value, range)| interval(value, range, 3))
}

fn calibration(title: &str, of: &CalibrationTable) -> Vec<Block> {
    let level = |level: &Calibration| {
        vec![
            format!("{:.0} %", level.level * PERCENT),
            format!("{:.1} %", level.announced * PERCENT),
            percent(&level.held),
        ]
    };
    let error = interval(of.error, of.error_interval, 4);
    vec![
        Block::Heading(format!("{title}; expected calibration error of the likeliest place {error}:")),
        Block::table(&["level", "announced", "held"], of.levels.iter().map(level)),
        Block::table(&["likeliest place announced", "answers", "cases", "held"], of.bands.iter().map(band)),
    ]
}

fn band(of: &Band) -> Vec<String> {
    let (from, below) = of.announced;
    let (low, high) = of.interval();
    let held = match of.held.of {
        0 => "-".to_string(),
        _ => format!("{:.1} % ({:.1} to {:.1})", of.held.value() * PERCENT, low * PERCENT, high * PERCENT),
    };
    let announced = format!("{:.0} to {:.0} %", from * PERCENT, below * PERCENT);
    vec![announced, of.held.of.to_string(), of.cases.to_string(), held]
}

fn failures(vehicle: &Vehicle, of: &Report, outcomes: &[CaseOutcome]) -> Vec<Block> {
    if of.failures.is_empty() {
        return vec![Block::Heading("No case went wrong.".to_string())];
    }
    let rows = of.failures.iter().take(LISTED).filter_map(|failure| {
        let hidden = outcomes.get(failure.case)?.hidden.as_ref()?;
        let after = match (failure.is_mistaken, failure.is_misread) {
            (true, true) => "complaint mistaken, misread",
            (true, false) => "complaint mistaken",
            (false, true) => "misread",
            (false, false) => "",
        };
        let seed = failure.seed.to_string();
        Some(vec![seed, went_wrong(failure.kind).to_string(), after.to_string(), wrong(vehicle, hidden)])
    });
    let lead = format!("{} cases went wrong; `--replay SEED` shows one:", of.failures.len());
    let more = of.failures.len().saturating_sub(LISTED);
    let more = (more > 0).then(|| Block::Paragraph(format!("{more} more (`--machine` lists all)")));
    let table = Block::table(&["seed", "what went wrong", "after", "fault"], rows);
    [Block::Heading(lead), table].into_iter().chain(more).collect()
}

fn went_wrong(kind: FailureKind) -> &'static str {
    match kind {
        FailureKind::WrongFound => "another part found",
        FailureKind::DrawingBlamed => "drawing said to be wrong",
        FailureKind::SaidSound => "wiring said to be sound",
        FailureKind::WrongSet => "inseparable set without it",
        FailureKind::NothingLeft => "no test left, another part likelier",
        FailureKind::NothingAmiss => "nothing seemed amiss",
        FailureKind::GaveUp => "too many tests",
        FailureKind::ClearedOnly => "named, yet proved good",
    }
}

/// What is wrong, and the complaint.
fn wrong(vehicle: &Vehicle, hidden: &Hidden) -> String {
    let blown = names::short_parts(vehicle, hidden.blown.iter().copied());
    let blown = if blown.is_empty() { blown } else { format!(", opens {blown}") };
    let fault = |(fault, size): (Fault, f64)| {
        let with = fault.other.map(|other| format!(" {}", names::short_part(vehicle, other))).unwrap_or_default();
        let size = match size {
            0.0 => String::new(),
            // What draws is a multiple of what it should be.
            size => format!(" {size:.3}"),
        };
        format!("{} {}{with}{size}", names::part(vehicle, fault.part), names::mode(fault.mode))
    };
    let what = match hidden.trouble {
        Trouble::Undrawn { from, to, ohms } => format!(
            "{ohms} from {} to {}, which the drawing does not show",
            names::short_point(vehicle, from),
            names::short_point(vehicle, to)
        ),
        Trouble::Departed(departure) => departed(vehicle, departure),
        Trouble::Nothing => "nothing".to_string(),
        trouble => trouble.faults().map(fault).collect::<Vec<_>>().join(" and "),
    };
    let besides =
        hidden.departure.map(|departure| format!(" (besides, {})", departed(vehicle, departure))).unwrap_or_default();
    format!("{what}{blown}{besides}; {}", names::sign(vehicle, hidden.subject, hidden.sign))
}

/// What the drawing has otherwise.
fn departed(vehicle: &Vehicle, departure: Departure) -> String {
    let part = |part| names::short_part(vehicle, part);
    let point = |point| names::short_point(vehicle, point);
    match departure {
        Departure::Longer { cable, times } => format!("{} is {times} times as long as drawn", part(cable)),
        Departure::Bigger { load, times } => format!("{} draws {times} times as much as drawn", part(load)),
        Departure::Swapped { one, other } => {
            format!("{} and {} have changed places at their far ends", part(one), part(other))
        }
        Departure::Spliced { from, to, ohms } => {
            format!("something of {ohms} is spliced in from {} to {}", point(from), point(to))
        }
        Departure::Returned { from, to, ohms } => {
            format!("a second return of {ohms} goes from {} to {}", point(from), point(to))
        }
        Departure::Joined { from, to, ohms } => {
            format!("{ohms} from {} to {}, which the drawing does not show", point(from), point(to))
        }
    }
}

/// A case as a session: each entry, and what the tool said to it.
///
/// # Errors
/// [`CaseError`] if the entries do not stand, which played they did.
pub fn replayed(mut case: Case, outcome: &CaseOutcome, policies: &[Policy]) -> Result<Vec<Block>, CaseError> {
    let Some(hidden) = &outcome.hidden else {
        return Ok(vec![Block::paragraph("No fault drawn from this seed is ever noticed.")]);
    };
    let mut blocks = vec![Block::Paragraph(format!("Hidden: {}.", wrong(case.vehicle(), hidden)))];
    let shown = outcome.played.iter().flatten().find(|played| !played.entries.is_empty());
    for entry in shown.map(|played| played.entries.as_slice()).unwrap_or_default() {
        blocks.push(Block::Heading(format!("> {}", names::entry_said(&case, entry))));
        case.add(entry.clone())?;
        blocks.extend(match entry {
            Entry::OutOfReach { .. } => super::next_test(&case),
            _ => answer::answer(&case),
        });
    }
    let row = |(policy, played): (&Policy, &Option<PlayedCase>)| {
        let Some(played) = played else { return vec![policy.word().to_string()] };
        vec![
            policy.word().to_string(),
            if played.is_right { "right" } else { "wrong" }.to_string(),
            ended(played.ending).to_string(),
            names::short_parts(case.vehicle(), played.named.iter().copied()),
            played.tests.to_string(),
            format!("{:.1}", played.minutes),
        ]
    };
    let heads = ["policy", "", "ended with", "named", "tests", "minutes"];
    blocks.push(Block::Heading("How it went".to_string()));
    blocks.push(Block::table(&heads, policies.iter().zip(&outcome.played).map(row)));
    Ok(blocks)
}

fn ended(ending: PlayedEnding) -> &'static str {
    match ending {
        PlayedEnding::Found => "one place",
        PlayedEnding::Inseparable => "an inseparable set",
        PlayedEnding::NothingWorthwhile => "no test worth its effort",
        PlayedEnding::NothingAmiss => "nothing amiss",
        PlayedEnding::GaveUp => "patience",
    }
}

/// The whole report as one JSON object.
pub fn machine(vehicle: &Vehicle, conditions: &Conditions, seed: u64, of: &Report, outcomes: &[CaseOutcome]) -> Value {
    json!({
        "vehicle": vehicle.name,
        "parts": vehicle.parts.len(),
        "seed": seed,
        "conditions": {
            "draw": match conditions.draw { Draw::ByRate => "by rate", Draw::Evenly => "evenly", Draw::ByKind => "by kind" },
            "spread": conditions.spread,
            "supplies": conditions.supplies,
            "tails": match conditions.tails { Tails::Usual => "usual", Tails::Heavy => "heavy" },
            "misreads": match conditions.misreads {
                Misreading::Share(share) => json!(share),
                Misreading::OneInEach | Misreading::At(_) => json!("one in each"),
            },
            "departures": conditions.departures,
            "blocked": conditions.blocked,
            "looked_before": match conditions.looked_before {
                LookedBefore::No => "no",
                LookedBefore::Tagged => "tagged",
                LookedBefore::Untagged => "untagged",
            },
            "instrument": match conditions.instrument { MeterQuality::Real => "real", MeterQuality::Perfect => "perfect" },
        },
        "cases": of.cases,
        "unnoticed": share_value(&of.unnoticed),
        "restless": share_value(&of.restless),
        "alike": share_value(&of.alike),
        "policies": of.columns.iter().map(column_value).collect::<Vec<_>>(),
        "utility_of_nothing": of.nothing_named,
        "at_end": of.at_end.as_ref().map(table_value),
        "at_every_answer": of.at_every_answer.as_ref().map(table_value),
        "handover": of.paired.as_ref().map(|paired| json!({
            "cases": paired.cases,
            "figures": paired.pairs.iter().map(pair_value).collect::<Vec<_>>(),
            "at_every_answer": paired.at_every_answer.as_ref().map(table_value),
        })),
        "failures": of.failures.iter().map(|failure| json!({
            // As text: a JSON number keeps no more than 53 bits in many readers.
            "seed": failure.seed.to_string(),
            "what": went_wrong(failure.kind),
            "complaint_mistaken": failure.is_mistaken,
            "misread": failure.is_misread,
            "fault": outcomes.get(failure.case).and_then(|outcome| outcome.hidden.as_ref()).map(|hidden| wrong(vehicle, hidden)),
        })).collect::<Vec<_>>(),
    })
}

fn share_value(of: &Share) -> Value {
    let (low, high) = of.interval();
    json!({ "share": of.value(), "low": low, "high": high, "hits": of.hits, "of": of.of })
}

fn mean_value(of: &Mean) -> Value {
    let (low, high) = of.interval();
    json!({ "mean": of.mean, "low": low, "high": high, "percentile_95": of.percentile_95 })
}

fn ratio_value(of: Option<(f64, (f64, f64))>) -> Value {
    json!(of.map(|(value, (low, high))| json!({ "ratio": value, "low": low, "high": high })))
}

fn column_value(of: &Column) -> Value {
    json!({
        "policy": of.policy.word(),
        "cases": of.cases,
        "right": share_value(&of.right),
        "in_segment": share_value(&of.in_segment),
        "segment": mean_value(&of.segment),
        "tests": mean_value(&of.tests),
        "minutes": mean_value(&of.minutes),
        "cleared": share_value(&of.cleared),
        "found": share_value(&of.found),
        "nothing_worthwhile": share_value(&of.nothing_left),
        "drawing_doubted": share_value(&of.doubted),
        "instrument_blamed": share_value(&of.instrument_blamed),
        "sound_parts_named": of.renewed.mean,
        "utility": mean_value(&of.utility),
        "ours_tests": ratio_value(of.ours_tests),
        "ours_minutes": ratio_value(of.ours_minutes),
    })
}

fn pair_value(of: &PairedCase) -> Value {
    json!({
        "what": figure(of.figure),
        "without": of.without,
        "with": of.with,
        "difference": mean_value(&of.difference),
    })
}

fn table_value(of: &CalibrationTable) -> Value {
    let level = |level: &crate::trial::Calibration| json!({ "level": level.level, "announced": level.announced, "held": share_value(&level.held) });
    let band = |band: &Band| {
        let (low, high) = band.interval();
        json!({
            "from": band.announced.0,
            "to": band.announced.1,
            "answers": band.held.of,
            "cases": band.cases,
            "held": { "share": band.held.value(), "low": low, "high": high },
        })
    };
    let (low, high) = of.error_interval;
    json!({
        "levels": of.levels.iter().map(level).collect::<Vec<_>>(),
        "bands": of.bands.iter().map(band).collect::<Vec<_>>(),
        "expected_calibration_error": of.error,
        "expected_calibration_error_interval": { "low": low, "high": high },
    })
}
