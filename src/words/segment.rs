//! Diagnosis in words: where the trouble is, how it failed, how big it is, and
//! every suspect as a table.

use super::document::Block;
use super::{names, quantities};
use crate::belief::{Belief, Estimate, Explanation, Failure, Pair, Segment, Site, Stretch};
use crate::case::Case;
use crate::fault::FailureMode;
use crate::plan::Next;
use crate::tables::telling::Telling;
use crate::vehicle::{BatteryChemistry, LoadKind, PartId, PartKind, Supply, Vehicle};

/// Layout: parts beyond which a segment is too long to fence in.
pub const FENCED: usize = 10;
/// Numerical: a fuse that nothing accounts for has no shares.
const LEAST_TOTAL: f64 = 1e-9;
/// Layout: parts named in one line of an answer.
const NAMED: usize = 4;

pub fn where_it_is(case: &Case) -> Vec<Block> {
    let vehicle = case.vehicle();
    let belief = &case.assessment().belief;
    if let Next::Found { site: site @ (Site::Nothing | Site::Undrawn) } = case.assessment().next {
        let said = format!("Likeliest: {}.", quantities::odds(names::site(vehicle, site), belief.probability(site)));
        let tie = undrawn(case).filter(|_| site == Site::Undrawn);
        return std::iter::once(Block::Paragraph(said)).chain(tie).collect();
    }
    let Some(segment) = &case.assessment().segment else { return Vec::new() };
    let figures = &case.engine().tables().telling;
    let mut blocks = Vec::new();
    let found = matches!(case.assessment().next, Next::Found { .. });
    let inseparable = matches!(case.assessment().next, Next::Inseparable { .. });
    let count = segment.parts().count();
    let is_pair = segment.failures.len() > 1;
    let lead = match (found, inseparable) {
        (true, _) => "Found:".to_string(),
        (_, true) => "No test at hand tells these apart:".to_string(),
        _ if count > FENCED && !is_pair => format!("{count} parts in question, likeliest"),
        _ => "Narrowed to:".to_string(),
    };
    let named: Vec<String> = match count > FENCED {
        true if !is_pair => vec![parts_said(figures, vehicle, segment.parts())],
        _ => stretches_said(figures, vehicle, segment),
    };
    if segment.held >= figures.segment_held {
        blocks.push(Block::Paragraph(format!("{lead} {}.", named.join("; or "))));
    }
    if segment.likeliest() > 0.5 {
        let said = what_is_wrong(figures, vehicle, segment, belief);
        blocks.extend(said.into_iter().map(Block::Detail));
    }
    let beside: Vec<String> = beside(figures, vehicle, belief).collect();
    if !beside.is_empty() {
        blocks.push(Block::Paragraph(format!("Or: {}.", beside.join(", "))));
    }
    if belief.probability(Site::Undrawn) > figures.traced {
        blocks.extend(undrawn(case));
    }
    blocks
}

/// Where things stand in a line, for below the next test.
pub fn in_short(case: &Case) -> Option<Block> {
    let (vehicle, figures) = (case.vehicle(), &case.engine().tables().telling);
    let (assessment, belief) = (case.assessment(), &case.assessment().belief);
    let segment = assessment.segment.as_ref()?;
    let mut said = match segment.failures.len() {
        0 | 1 => vec![parts_said(figures, vehicle, segment.parts())],
        _ => stretches_said(figures, vehicle, segment),
    };
    said.retain(|said| !said.is_empty());
    said.extend(beside(figures, vehicle, belief));
    let good = match assessment.proved_good.len() {
        0 => String::new(),
        count => format!(" {count} proved good."),
    };
    Some(Block::Paragraph(format!("So far: {}.{good} (`more`)", said.join("; or "))))
}

/// What is no part of the vehicle and may be it all the same.
pub fn beside<'v>(figures: &Telling, vehicle: &'v Vehicle, belief: &Belief) -> impl Iterator<Item = String> + 'v {
    let likely = [Site::Nothing, Site::Undrawn].map(|site| (site, belief.probability(site)));
    let least = figures.beside;
    let said = |(site, probability)| quantities::odds(names::site(vehicle, site), probability);
    likely.into_iter().filter(move |&(_, probability)| probability > least).map(said)
}

/// Where readings and drawing part ways.
fn undrawn(case: &Case) -> Option<Block> {
    let vehicle = case.vehicle();
    let (from, to, ohms) = case.assessment().belief.undrawn_path()?;
    Some(Block::Detail(format!(
        "What would read so: a path of about {ohms} between {} and {}, or near them.",
        names::point(vehicle, from),
        names::point(vehicle, to)
    )))
}

/// The stretches and pairs worth naming, and how many lie elsewhere.
pub fn stretches_said(figures: &Telling, vehicle: &Vehicle, segment: &Segment) -> Vec<String> {
    let said = |&([first, second], probability): &Pair| {
        quantities::odds(names::site(vehicle, Site::Both(first, second)), probability)
    };
    let worth = segment.pairs.iter().filter(|(_, probability)| *probability > figures.named).count().min(NAMED);
    let mut pairs: Vec<String> = segment.pairs.iter().take(worth).map(said).collect();
    let more = segment.pairs.len() - worth;
    pairs.extend((more > 0).then(|| format!("{more} less likely pairs")));
    let singles = singles_said(figures, vehicle, segment);
    match segment.failures.len() {
        0 | 1 => singles.into_iter().chain(pairs).collect(),
        _ => pairs.into_iter().chain(singles).collect(),
    }
}

fn singles_said(figures: &Telling, vehicle: &Vehicle, segment: &Segment) -> Vec<String> {
    let is_named = |stretch: &&Stretch| stretch.parts.iter().any(|(_, probability)| *probability > figures.named);
    let (named, faint): (Vec<&Stretch>, Vec<&Stretch>) = segment.stretches.iter().partition(is_named);
    let mut said: Vec<String> = named.into_iter().map(|stretch| stretch_said(figures, vehicle, stretch)).collect();
    let elsewhere: usize = faint.iter().map(|stretch| stretch.parts.len()).sum();
    said.extend((elsewhere > 0).then(|| format!("{elsewhere} less likely elsewhere")));
    said
}

fn stretch_said(figures: &Telling, vehicle: &Vehicle, stretch: &Stretch) -> String {
    let fence = stretch.fence.map(|(from, to)| {
        format!(", between {} and {}", names::short_point(vehicle, from), names::short_point(vehicle, to))
    });
    parts_said(figures, vehicle, stretch.parts.iter().copied()) + &fence.unwrap_or_default()
}

/// The likeliest parts with their probabilities, and how many more there are.
fn parts_said(figures: &Telling, vehicle: &Vehicle, parts: impl Iterator<Item = (PartId, f64)>) -> String {
    let mut parts: Vec<(PartId, f64)> = parts.collect();
    parts.sort_by(|a, b| b.1.total_cmp(&a.1));
    let said = |&(part, probability): &(PartId, f64)| quantities::odds(names::part(vehicle, part), probability);
    let worth = parts.iter().filter(|(_, probability)| *probability > figures.named).count().clamp(1, NAMED);
    let named: Vec<String> = parts.iter().take(worth).map(said).collect();
    match parts.len() - named.len() {
        0 => named.join(", "),
        more => format!("{} and {more} less likely", named.join(", ")),
    }
}

/// The fault itself: how it failed, how big, what it does there. One sentence
/// for each part at fault.
pub fn what_is_wrong(figures: &Telling, vehicle: &Vehicle, segment: &Segment, belief: &Belief) -> Vec<String> {
    let said = |failure: &Failure| failure_said(figures, vehicle, failure, belief);
    match &segment.failures[..] {
        [sole] => vec![said(sole)],
        failures => {
            let named = |failure: &Failure| format!("{}: {}", names::short_part(vehicle, failure.part), said(failure));
            failures.iter().map(named).collect()
        }
    }
}

fn failure_said(figures: &Telling, vehicle: &Vehicle, failure: &Failure, belief: &Belief) -> String {
    let (part, mode) = (failure.part, failure.mode);
    let mut text = names::mode(mode).to_string();
    if let Some(other) = other_way(belief, part, mode) {
        let upto = if mode == FailureMode::CommonCause { "as far as " } else { "" };
        text += &format!(", {upto}{}", names::part(vehicle, other));
    }
    if let Some(ohms) = failure.ohms() {
        text += &format!(" {}", quantities::estimate(ohms));
    }
    if let Some(times) = failure.times() {
        text += &draw_said(mode, times);
    }
    if let Some(size) = failure.size.filter(|_| mode.is_of_display()) {
        text = misshown_said(vehicle, part, mode, size.middle);
    }
    if let (Some(dropped), Some(heat)) = (failure.dropped, failure.heat) {
        text += &format!(
            "; drops {} and makes {} there in this state",
            quantities::estimate(dropped),
            quantities::estimate(heat)
        );
        if heat.middle > figures.hot {
            text += ": hot, feel near it before touching";
        }
    }
    if mode == FailureMode::ShortToGround && failure.size.is_some_and(|size| size.low > figures.a_load.0) {
        text += ": damp, a chafe, or something connected there that the drawing does not show";
    }
    if mode == FailureMode::OpenCircuit {
        text += &advice_on_open(figures, vehicle, belief, part);
    }
    text + "."
}

/// How wrong an instrument is.
fn misshown_said(vehicle: &Vehicle, part: PartId, mode: FailureMode, by: f64) -> String {
    let shows_amps = vehicle.part(part).kind.instrument().is_some_and(|own| own.shows_amps());
    let unit = if shows_amps { "A" } else { "V" };
    let way = if by < 0.0 { "low" } else { "high" };
    match mode {
        FailureMode::Stuck => format!("stuck: it shows {by:.2} {unit} whatever there is"),
        FailureMode::WrongScale => format!("it reads {} {way}", quantities::percent(by.abs())),
        FailureMode::Drifts => format!("it drifts, by {:.2} {unit} from reading to reading", by),
        _ => format!("it reads {:.2} {unit} {way}", by.abs()),
    }
}

/// How much of its own current a load draws, and what that is. Common practice,
/// no source.
fn draw_said(mode: FailureMode, times: Estimate<f64>) -> String {
    let said = format!(", about {:.2} times its own current ({:.2} to {:.2})", times.middle, times.low, times.high);
    let cause = match mode {
        FailureMode::LowDraw => {
            ": part of it is open or worn, such as one element of several, one lamp of a bank, or a brush"
        }
        _ => ": it turns hard, is partly shorted inside, or is bigger than the drawing says",
    };
    said + cause
}

/// What to mind about a part that has opened. Common practice, no source.
fn advice_on_open(figures: &Telling, vehicle: &Vehicle, belief: &Belief, part: PartId) -> String {
    match &vehicle.part(part).kind {
        PartKind::Fuse { rating } | PartKind::Breaker { rating } => fuse_advice(figures, vehicle, belief, part, rating.0),
        PartKind::Supply(Supply::Battery(battery)) if battery.chemistry == BatteryChemistry::LithiumIron => {
            ": a lithium battery opens itself when too low, too cold or overloaded; find out which, let its own charger \
             wake it, never jump, bridge or open it"
                .to_string()
        }
        PartKind::Load(load) => {
            let mains = if load.kind == LoadKind::Inverter { " (its mains side is licensed work)" } else { "" };
            let name = names::short_part(vehicle, part);
            format!(
                ": it does nothing itself; before replacing it prove it with a direct fused feed (`feed \
                 {name} both`) or a lamp in its plug (`lamp {name}`){mains}"
            )
        }
        PartKind::HolderContact
        | PartKind::Cable { .. }
        | PartKind::Joint
        | PartKind::Pin
        | PartKind::Switch
        | PartKind::Isolator
        | PartKind::Contact(_)
        | PartKind::Coil(_)
        | PartKind::Shunt
        | PartKind::Diode { .. }
        | PartKind::Chassis
        | PartKind::Supply(_)
        | PartKind::Instrument(_) => String::new(),
    }
}

/// The neighbour that a way through a plug or cable is joined to or has
/// changed places with.
pub fn other_way(belief: &Belief, part: PartId, mode: FailureMode) -> Option<PartId> {
    let own = |one: &Explanation| {
        one.hypothesis.faults().map(|(fault, _)| fault).find(|fault| (fault.part, fault.mode) == (part, mode))
    };
    let of_it = belief.explanations.iter().filter(|one| own(one).is_some());
    of_it.max_by(|a, b| a.probability.total_cmp(&b.probability)).and_then(own)?.other
}

fn fuse_advice(figures: &Telling, vehicle: &Vehicle, belief: &Belief, fuse: PartId, rating: f64) -> String {
    let causes = belief.causes_at(Site::Part(fuse));
    let total: f64 = causes.iter().map(|(_, probability)| probability).sum();
    let shorts: Vec<(&str, f64)> = causes
        .iter()
        .filter(|(part, _)| *part != fuse)
        .map(|&(part, probability)| (names::short_part(vehicle, part), probability / total.max(LEAST_TOTAL)))
        .collect();
    let share: f64 = shorts.iter().map(|(_, share)| share).sum();
    let mut text = ". A fuse rarely opens without a reason: find it before fitting a new one".to_string();
    if share > figures.beside {
        let named: Vec<&str> = shorts.iter().take(NAMED).map(|(name, _)| *name).collect();
        text += &format!(" (a short beyond it, {}: {} …)", quantities::percent(share), named.join(", "));
    }
    text + &format!("; {rating} A, never a bigger one")
}

/// What is said while nothing is suspect.
pub fn nothing_yet(case: &Case) -> Block {
    let load = names::example_load(case.vehicle());
    Block::Paragraph(format!("Nothing is suspect yet: say what is wrong, such as `dead {load}`."))
}

/// Suspects as a table.
pub fn suspects(case: &Case) -> Vec<Block> {
    let (vehicle, figures) = (case.vehicle(), &case.engine().tables().telling);
    let belief = &case.assessment().belief;
    if matches!(case.assessment().next, Next::AskComplaint) {
        return vec![nothing_yet(case)];
    }
    let rows = belief.suspects.iter().filter(|suspect| suspect.probability > figures.named).map(|suspect| {
        let ways = belief.modes_at(suspect.site);
        let how: Vec<&str> = ways.into_iter().map(|(_, mode)| names::mode(mode)).collect();
        let between: Vec<String> = (suspect.site.parts())
            .map(|part| {
                let (from, to) = vehicle.ends(part);
                format!("{from} to {to}")
            })
            .collect();
        vec![
            quantities::percent(suspect.probability.value()),
            names::site(vehicle, suspect.site),
            how.join("; "),
            between.join("; "),
        ]
    });
    let others = belief.suspects.iter().filter(|suspect| suspect.probability <= figures.named).count();
    let table = Block::table(&["chance", "part", "likeliest", "between"], rows);
    let more = (others > 0).then(|| Block::Paragraph(format!("{others} more at 1 % or less each")));
    [table].into_iter().chain(more).collect()
}
