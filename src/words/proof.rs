//! Proof of repair: what must be shown, what has been, and what is not proved.

use super::document::Block;
use super::names::Length;
use super::{names, quantities};
use crate::belief::Sign;
use crate::case::Case;
use crate::case::proof::{BeyondProof, Check, CheckOutcome, Found, Proof, ProofVerdict, What};
use crate::predict::Probe;
use crate::tables::practice::{PRACTICE, STANDARD};
use crate::vehicle::{ControlId, Position, State, Vehicle};

/// Layout: parts named beside a check, at most.
const NAMED: usize = 3;

/// Every check with how it came out, and what is to be done.
pub fn proof(case: &Case, of: Option<&Proof>) -> Vec<Block> {
    let Some(of) = of else {
        let none = "Nothing is repaired yet: say so with `fixed NAME`, and its proof is laid out here.";
        return vec![Block::paragraph(none)];
    };
    let vehicle = case.vehicle();
    let mut blocks = laid_out(vehicle, of);
    let beyond = of.beyond.iter().map(|beyond| format!("{} {}", no_proof_of(vehicle, beyond), closes(beyond)));
    blocks.extend(beyond.map(Block::Paragraph));
    blocks.push(proof_stands(case, of));
    blocks
}

/// The same by the record alone, without advice.
pub fn recorded(vehicle: &Vehicle, of: &Proof) -> Vec<Block> {
    let mut blocks = laid_out(vehicle, of);
    blocks.extend(of.beyond.iter().map(|beyond| Block::Paragraph(no_proof_of(vehicle, beyond))));
    blocks.push(Block::Paragraph(verdict(vehicle, of)));
    let left = names::settings(vehicle, &of.left);
    blocks.extend((!left.is_empty()).then(|| Block::Paragraph(format!("Not put back: {left}."))));
    blocks
}

/// Every check with how it came out, whose limits they are, and what no check shows.
fn laid_out(vehicle: &Vehicle, of: &Proof) -> Vec<Block> {
    let mut blocks = vec![Block::Paragraph(format!("Proof that {} is mended:", names::part(vehicle, of.repaired)))];
    let rows = of.checks.iter().map(|check| {
        let (must, limit) = demanded(check);
        let shows = named(vehicle, check);
        vec![done(vehicle, check), must, limit, found(check), mark(check).to_string(), shows]
    });
    if !of.checks.is_empty() {
        blocks.push(Block::table(&["check", "must be", "at most", "found", "", "shows"], rows));
    }
    let named = |source: &str| {
        of.checks
            .iter()
            .any(|check| matches!(check.what, What::Read { limit: Some(limit), .. } if limit.source == source))
    };
    let sources = [
        (PRACTICE, "Limits by practice: what workshop manuals allow, circuit loaded (no standard)."),
        (STANDARD, "Limits by ISO 10133: the drop of the whole circuit, there and back."),
    ];
    blocks.extend(sources.into_iter().filter(|(source, _)| named(source)).map(|(_, text)| Block::paragraph(text)));
    blocks.extend(states(vehicle, of).map(Block::Paragraph));
    let unshown = names::short_parts(vehicle, of.unshown.iter().copied());
    let said = || Block::Paragraph(format!("Disturbed, and shown by none of these: {unshown}."));
    blocks.extend((!unshown.is_empty()).then(said));
    blocks
}

/// Where the proof stands, and the next check.
pub fn proof_stands(case: &Case, of: &Proof) -> Block {
    let vehicle = case.vehicle();
    let to_do = match of.verdict() {
        ProofVerdict::Proved | ProofVerdict::NotProved => String::new(),
        ProofVerdict::ToPutBack => {
            let back: Vec<(ControlId, Position)> =
                of.left.iter().map(|&(control, position)| (control, position.opposite())).collect();
            format!(" To put back: {}.", names::settings(vehicle, &back))
        }
        ProofVerdict::Unfinished if of.checks.is_empty() => " See the load work and say so (`works NAME`).".to_string(),
        ProofVerdict::Unfinished => {
            let next = of.next().map(|check| format!(" Next: {}.", order(case, check))).unwrap_or_default();
            format!("{next} (`proof`)")
        }
    };
    Block::Paragraph(verdict(vehicle, of) + &to_do)
}

/// Where the proof stands, by the record.
fn verdict(vehicle: &Vehicle, of: &Proof) -> String {
    let counted = format!("{} of {} passed", of.passed(), of.checks.len());
    match of.verdict() {
        ProofVerdict::Proved => format!("Proved: {counted}, everything put back."),
        ProofVerdict::ToPutBack => format!("Proved: {counted}."),
        ProofVerdict::Unfinished if of.checks.is_empty() => "Not proved: no reading in this state tells.".to_string(),
        ProofVerdict::Unfinished => format!("Not proved yet: {counted}.{}", in_other_states(vehicle, of)),
        ProofVerdict::NotProved => {
            let wrong = of
                .checks
                .iter()
                .filter(|check| matches!(check.outcome, CheckOutcome::Failed(_) | CheckOutcome::Doubtful(_)));
            let said: Vec<String> = wrong.map(|check| complaint(vehicle, check)).collect();
            format!("Not proved: {}.", said.join("; "))
        }
    }
}

/// What was done of the checks in a state that does not count, and which one does.
fn in_other_states(vehicle: &Vehicle, of: &Proof) -> String {
    let found = |check: &Check| Some((check.state.clone(), check.in_other_state.clone()?));
    let mut known: Vec<(State, State)> = Vec::new();
    for pair in of.checks.iter().filter_map(found) {
        if !known.contains(&pair) {
            known.push(pair);
        }
    }
    let said = known.into_iter().map(|(counts, was)| {
        let checks =
            of.checks.iter().filter(|check| check.in_other_state.as_ref() == Some(&was) && check.state == counts);
        let checks: Vec<String> = checks.map(|check| done(vehicle, check)).collect();
        format!(
            " Found with {}, which does not count: {}. It counts with {}.",
            names::settings(vehicle, &to_set(vehicle, &counts, &was)),
            checks.join("; "),
            names::settings(vehicle, &to_set(vehicle, &was, &counts)),
        )
    });
    said.collect()
}

/// What to do for a check, with what must be set for it.
fn order(case: &Case, check: &Check) -> String {
    let vehicle = case.vehicle();
    let set = to_set(vehicle, &case.standing().state, &check.state);
    let set = names::settings_between(vehicle, &set, "set ", ", then ");
    match check.what {
        What::Shows { subject, sign } => {
            let word = names::bare_sign(sign);
            let (long, short) = (names::part(vehicle, subject), names::short_part(vehicle, subject));
            let how = match sign {
                Sign::Clicks => format!("listen that {long} clicks as it is switched on"),
                Sign::LooksWhole => format!("see that {long} stays whole"),
                Sign::Gives => format!("see by its lamp or display that {long} gives current"),
                _ => format!("see that {long} {word}"),
            };
            format!("{set}{how} (`{word} {short}`)")
        }
        What::Read { probe: Probe::Current { part }, .. } => {
            let must = demanded(check).0;
            format!("{set}current through {}, must be {must}", names::part(vehicle, part))
        }
        What::Read { probe: Probe::Fixed { instrument, .. }, .. } => {
            format!("{set}read {}, must be {}", names::part(vehicle, instrument), demanded(check).0)
        }
        What::Read { probe, .. } => {
            let (red, black) = names::leads(vehicle, probe, Length::Full);
            format!("{set}red lead on {red}, black lead on {black}, must be {}", demanded(check).0)
        }
    }
}

fn complaint(vehicle: &Vehicle, check: &Check) -> String {
    let (must, limit) = demanded(check);
    let why = match check.outcome {
        CheckOutcome::Doubtful(_) => format!(", within {limit}, but more than sound parts show"),
        _ => String::new(),
    };
    match check.what {
        What::Shows { sign, .. } => format!("{} is {}, {}", done(vehicle, check), found(check), must_do(sign)),
        What::Read { .. } => format!("{} is {}, must be {must}{why}", done(vehicle, check), found(check)),
    }
}

/// What somebody must be able to say of a part.
fn must_do(sign: Sign) -> &'static str {
    match sign {
        Sign::Clicks => "must click",
        Sign::LooksWhole => "must stay whole",
        Sign::Gives => "must give current",
        _ => "must work",
    }
}

/// The check in a few words.
fn done(vehicle: &Vehicle, check: &Check) -> String {
    match check.what {
        What::Shows { subject, .. } => names::short_part(vehicle, subject).to_string(),
        What::Read { probe: Probe::Current { part }, .. } => format!("current {}", names::short_part(vehicle, part)),
        What::Read { probe: Probe::Fixed { instrument, .. }, .. } => names::short_part(vehicle, instrument).to_string(),
        What::Read { probe, .. } => {
            let (red, black) = names::leads(vehicle, probe, Length::Short);
            format!("{red} to {black}")
        }
    }
}

/// What it must be, and the limit with what says so.
fn demanded(check: &Check) -> (String, String) {
    match &check.what {
        What::Shows { sign, .. } => (names::bare_sign(*sign).to_string(), String::new()),
        What::Read { band, limit, .. } => {
            let limit = limit.map(|limit| format!("{} {}", limit.volts, limit.source));
            (quantities::range(*band), limit.unwrap_or_default())
        }
    }
}

fn found(check: &Check) -> String {
    match check.outcome {
        CheckOutcome::Open => String::new(),
        CheckOutcome::Passed(found) | CheckOutcome::Doubtful(found) | CheckOutcome::Failed(found) => match found {
            Found::Told(sign) => names::bare_sign(sign).to_string(),
            Found::Read { scale, value } => quantities::on_scale(scale, value),
        },
    }
}

fn mark(check: &Check) -> &'static str {
    match check.outcome {
        CheckOutcome::Open => "open",
        CheckOutcome::Passed(_) => "pass",
        CheckOutcome::Doubtful(_) => "doubt !",
        CheckOutcome::Failed(_) => "fail !",
    }
}

fn named(vehicle: &Vehicle, check: &Check) -> String {
    let parts = names::short_parts(vehicle, check.shows.iter().copied().take(NAMED));
    let more = check.shows.len().saturating_sub(NAMED);
    if more > 0 { format!("{parts} and {more} more") } else { parts }
}

/// The states that the checks need, each once.
fn states<'p>(vehicle: &'p Vehicle, of: &'p Proof) -> impl Iterator<Item = String> + 'p {
    let needed = |check: &Check| check.state.changes(vehicle).collect::<Vec<_>>();
    let mut known: Vec<Vec<(ControlId, Position)>> = Vec::new();
    for check in &of.checks {
        if !known.contains(&needed(check)) {
            known.push(needed(check));
        }
    }
    known.into_iter().map(move |settings| {
        let checks = of.checks.iter().filter(|check| needed(check) == settings).map(|check| done(vehicle, check));
        let checks = checks.collect::<Vec<_>>().join("; ");
        match settings.is_empty() {
            true => format!("With everything at rest: {checks}."),
            false => format!("With {}: {checks}.", names::settings(vehicle, &settings)),
        }
    })
}

/// What readings of a few minutes do not prove.
fn no_proof_of(vehicle: &Vehicle, beyond: &BeyondProof) -> String {
    match *beyond {
        BeyondProof::ComesAndGoes => "It came and went: one good reading is no proof.".to_string(),
        BeyondProof::GoesFlat(part) => format!("{} went flat: one reading is no proof.", names::part(vehicle, part)),
        BeyondProof::Blows(part) => format!("{} blew: one moment is no proof.", names::part(vehicle, part)),
    }
}

/// What does.
fn closes(beyond: &BeyondProof) -> &'static str {
    match beyond {
        BeyondProof::ComesAndGoes => "Read again while the loom is moved, warm and on the road.",
        BeyondProof::GoesFlat(_) => "It takes the resting current with everything off, and a night.",
        BeyondProof::Blows(_) => "Leave it loaded for some minutes, and never fit a bigger one.",
    }
}

/// Every check that has not been passed, in a sentence each.
pub fn unshown(vehicle: &Vehicle, of: &Proof) -> Vec<String> {
    let is_left = |check: &&Check| !matches!(check.outcome, CheckOutcome::Passed(_));
    let told = |check: &Check| match check.outcome {
        CheckOutcome::Open => format!("Not shown after the repair: {}.", done(vehicle, check)),
        _ => format!("Not as it must be after the repair: {}.", complaint(vehicle, check)),
    };
    of.checks.iter().filter(is_left).map(told).collect()
}

/// What to set to get from one state to another.
fn to_set(vehicle: &Vehicle, now: &State, then: &State) -> Vec<(ControlId, Position)> {
    now.settings_to(then, vehicle)
}
