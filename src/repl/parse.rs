//! A line to a command. A word that is not understood is an error with the
//! nearest match; it never silently means something else.

use super::asking;
use super::command::{Command, CommandError};
use super::lookup::Lookup;
use super::paper;
use super::reading::{is_brightness, is_no_path, is_unit, reading, value};
use super::verbs::{SIGNS, listed, verb_word};
use crate::belief::{Past, Sign};
use crate::case::journal::{Access, OFF};
use crate::case::{Case, Entry};
use crate::meter::MeterKind;
use crate::plan::walk::Scope;
use crate::plan::{Next, Test};
use crate::quantity::looks_like_number;
use crate::vehicle::{ControlId, PartId, PointId, Position};

/// Understands a line.
///
/// # Errors
/// [`CommandError`] with what was wrong; nothing has changed.
pub fn parse(line: &str, case: &Case) -> Result<Command, CommandError> {
    let line = line.trim();
    if line.is_empty() || line.starts_with('#') {
        return Ok(Command::Nothing);
    }
    let words = words(line);
    let lookup = Lookup::new(case.vehicle());
    let words = lookup.labels_as_names(words);
    let Some((&first, rest)) = words.split_first() else { return Ok(Command::Nothing) };
    if let Some(command) = asking::bare_answer(&words, case) {
        return Ok(command);
    }
    match verb_word(first) {
        Some("note") => note(line, first),
        Some("report") => report(line, first),
        Some("comeback") => {
            let file = &line[first.len()..];
            let order = paper::order(file).map_err(|error| CommandError::File { why: error.to_string() })?;
            Ok(Command::Comeback(order))
        }
        Some("handover") => handover(line, rest, &lookup),
        Some("sheet") => sheet(line, first, &lookup),
        Some("sketch") => Ok(Command::Sketch(line[first.len()..].trim().to_string())),
        Some("save") => save(line, first),
        Some("complaint") => asking::complaint(rest, case, &lookup),
        Some("answer") => asking::answer(rest, case, &lookup),
        Some("tree") => asking::tree(rest, case),
        Some("phone") => asking::phone(rest),
        Some(verb @ ("retake" | "strike")) => correction(verb, rest),
        Some("read") => reading(rest, case, &lookup),
        Some("black") if words.iter().any(|word| is_value(word)) => reading(&words, case, &lookup),
        Some("lamp") if words.iter().any(|word| is_value(word) || is_brightness(word)) => {
            reading(&words, case, &lookup)
        }
        Some(verb) => command(verb, rest, case, &lookup),
        None if words.iter().any(|word| is_value(word) && lookup.is_no_name(word)) => reading(&words, case, &lookup),
        None => subject_first(&words, case, &lookup),
    }
}

/// The words of a line; a unit that stands alone belongs to the number before it.
fn words(line: &str) -> Vec<&str> {
    let mut words: Vec<&str> = Vec::new();
    for word in line.split_whitespace() {
        let word = word.trim_end_matches([';', ':', '!', '?']);
        let word = if looks_like_number(word) { word } else { word.trim_end_matches([',', '.']) };
        match words.last() {
            Some(last) if is_unit(word) && looks_like_number(last) => {
                let start = last.as_ptr() as usize - line.as_ptr() as usize;
                let end = word.as_ptr() as usize + word.len() - line.as_ptr() as usize;
                words.pop();
                words.push(&line[start..end]);
            }
            _ if word.is_empty() => words.extend((line == "?").then_some("?")),
            _ => words.push(word),
        }
    }
    words
}

fn is_value(word: &str) -> bool {
    looks_like_number(word) || is_no_path(word)
}

fn note(line: &str, first: &str) -> Result<Command, CommandError> {
    let text = line[first.len()..].trim();
    if text.is_empty() {
        let example = "note cover was already loose".to_string();
        return Err(CommandError::Missing { verb: "note", what: "words", example });
    }
    Ok(Command::Enter(Entry::Note { text: text.to_string() }))
}

fn report(line: &str, first: &str) -> Result<Command, CommandError> {
    let order = paper::order(&line[first.len()..]).map_err(|error| CommandError::File { why: error.to_string() })?;
    Ok(Command::Report(order))
}

fn sheet(line: &str, first: &str, lookup: &Lookup<'_>) -> Result<Command, CommandError> {
    let rest = line[first.len()..].trim();
    let (load, file) = rest.split_once(char::is_whitespace).ok_or_else(|| lookup.missing("sheet"))?;
    let load = lookup.load(load)?;
    let order = paper::order(file).map_err(|error| CommandError::File { why: error.to_string() })?;
    Ok(Command::Sheet { load, order })
}

fn history(rest: &[&str], lookup: &Lookup<'_>) -> Result<Command, CommandError> {
    let heed = |counts| Command::Enter(Entry::Heed { past: Past::History, counts });
    match one(rest, "history", lookup)? {
        "on" => Ok(heed(true)),
        "off" => Ok(heed(false)),
        word => Err(lookup.unknown(word)),
    }
}

fn handover(line: &str, rest: &[&str], lookup: &Lookup<'_>) -> Result<Command, CommandError> {
    let heed = |counts| Command::Enter(Entry::Heed { past: Past::Handover, counts });
    let (scope, rest) = match rest {
        ["on"] => return Ok(heed(true)),
        ["off"] => return Ok(heed(false)),
        [] | ["list", ..] => (None, rest),
        ["all", rest @ ..] => (Some(Scope::All), rest),
        ["short", rest @ ..] => (Some(Scope::Short), rest),
        [load, rest @ ..] => (Some(Scope::Of(lookup.load(load)?)), rest),
    };
    match rest {
        [] => Ok(Command::Handover(scope)),
        ["list", ..] => {
            let file = line.split_once(" list").map(|(_, file)| file).unwrap_or_default();
            let order = paper::order(file).map_err(|error| CommandError::File { why: error.to_string() })?;
            Ok(Command::Walk(scope, order))
        }
        [word, ..] => Err(CommandError::TooMany { word: word.to_string() }),
    }
}

fn save(line: &str, first: &str) -> Result<Command, CommandError> {
    match line[first.len()..].trim() {
        "" => Err(CommandError::Missing { verb: "save", what: "a file", example: "save van.ron".to_string() }),
        name => Ok(Command::Save(name.into())),
    }
}

fn correction(verb: &str, rest: &[&str]) -> Result<Command, CommandError> {
    let missing = |verb, what, example: &str| CommandError::Missing { verb, what, example: example.to_string() };
    let number = |word: &str| word.parse::<usize>().map_err(|_| CommandError::NotANumber { word: word.to_string() });
    match (verb, rest) {
        ("retake", [first, typed]) => {
            Ok(Command::Enter(Entry::Retake { number: number(first)?, measured: value(typed)? }))
        }
        ("strike", [first]) => Ok(Command::Enter(Entry::Strike { number: number(first)? })),
        ("retake", [] | [_]) => Err(missing("retake", "the number of a reading and its value", "retake 2 12.31")),
        ("strike", []) => Err(missing("strike", "the number of a reading", "strike 2")),
        (_, words) => Err(CommandError::TooMany { word: words[words.len() - 1].to_string() }),
    }
}

fn command(verb: &'static str, rest: &[&str], case: &Case, lookup: &Lookup<'_>) -> Result<Command, CommandError> {
    let plain = |command: Command| match rest {
        [] => Ok(command),
        [word, ..] => Err(CommandError::TooMany { word: word.to_string() }),
    };
    match verb {
        "undo" => plain(Command::Undo),
        "redo" => plain(Command::Redo),
        "next" => plain(Command::Next),
        "others" => plain(Command::Others),
        "why" => plain(Command::Why),
        "suspects" => plain(Command::Suspects),
        "segment" => plain(Command::Segment),
        "good" => plain(Command::Good),
        "readings" => plain(Command::Readings),
        "trees" => plain(Command::Trees),
        "questions" => plain(Command::Questions),
        "proof" => plain(Command::Proof),
        "record" => plain(Command::Record),
        "cases" => plain(Command::Cases),
        "case" => case_named(rest),
        "history" => history(rest, lookup),
        "list" => plain(Command::List),
        "warnings" => plain(Command::Warnings),
        "leave" => plain(Command::Leave),
        "skip" => plain(skip(case, lookup)?),
        "help" => help(rest),
        "lamp" => lamp(rest, lookup),
        _ if is_sign(verb) && rest.is_empty() => answer_sense(verb, case, lookup),
        _ if is_sign(verb) => {
            let what: Vec<&str> = rest.iter().copied().filter(|word| !matches!(*word, "on" | "is" | "the")).collect();
            let word = one(&what, verb, lookup)?;
            signed(verb, word, case, lookup)
        }
        "on" | "off" | "pull" | "fit" | "unplug" | "plug" => set(verb, rest, lookup),
        "fixed" => Ok(Command::Enter(Entry::Repaired { part: lookup.part(one(rest, verb, lookup)?)? })),
        "cannot" => cannot(rest, case, lookup),
        "black" => Ok(Command::Enter(Entry::BlackLead { point: lookup.point(one(rest, verb, lookup)?)? })),
        "meter" => meter(one(rest, verb, lookup)?),
        "state" => state(rest, case, lookup),
        "expect" => expect(rest, case, lookup),
        "trace" => Ok(Command::Trace(circuit(rest, verb, case, lookup)?)),
        "profile" => Ok(Command::Profile(circuit(rest, verb, case, lookup)?)),
        _ => Ok(Command::Part(lookup.part(one(rest, verb, lookup)?)?)),
    }
}

/// The one word that a command needs.
fn one<'w>(rest: &[&'w str], verb: &'static str, lookup: &Lookup<'_>) -> Result<&'w str, CommandError> {
    match rest {
        [word] => Ok(word),
        [] => Err(lookup.missing(verb)),
        [_, word, ..] => Err(CommandError::TooMany { word: word.to_string() }),
    }
}

fn case_named(rest: &[&str]) -> Result<Command, CommandError> {
    let opened = |name: &str, access| Ok(Command::OpenCase { name: name.to_string(), access });
    match rest {
        [] => Ok(Command::WhichCase),
        [word] if *word == OFF => Ok(Command::CloseCase),
        [name] => opened(name, Access::Write),
        [name, "read-only"] => opened(name, Access::ReadOnly),
        [_, word, ..] => Err(CommandError::TooMany { word: word.to_string() }),
    }
}

fn help(rest: &[&str]) -> Result<Command, CommandError> {
    match rest {
        [] => Ok(Command::Help(None)),
        [word] => match verb_word(word).and_then(listed) {
            Some(verb) => Ok(Command::Help(Some(verb))),
            None => Err(Lookup::unknown_verb(word)),
        },
        [_, word, ..] => Err(CommandError::TooMany { word: word.to_string() }),
    }
}

/// What a verb says of its subject, if it says anything.
fn sign_of(verb: &str) -> Option<Sign> {
    SIGNS.iter().find(|(word, _)| *word == verb).map(|(_, sign)| *sign)
}

fn is_sign(verb: &str) -> bool {
    sign_of(verb).is_some()
}

/// A sign alone answers the look, or the like, that is advised.
fn answer_sense(verb: &'static str, case: &Case, lookup: &Lookup<'_>) -> Result<Command, CommandError> {
    match (&case.assessment().next, sign_of(verb)) {
        (Next::Test(advice), Some(sign)) => match advice.test {
            Test::Sense { subject, sense } if sense.outcomes().contains(&sign) => {
                Ok(Command::Enter(case.observed(subject, sign)))
            }
            _ => Err(lookup.no_look_advised(verb)),
        },
        (Next::AskComplaint, _) => Err(lookup.missing(verb)),
        _ => Err(lookup.no_look_advised(verb)),
    }
}

/// A test lamp in place of a fuse.
fn lamp(rest: &[&str], lookup: &Lookup<'_>) -> Result<Command, CommandError> {
    let control = lookup.fuse_control(one(rest, "lamp", lookup)?)?;
    Ok(Command::Enter(Entry::Set { settings: vec![(control, Position::Lamp)] }))
}

/// Something said of a part.
fn signed(verb: &'static str, word: &str, case: &Case, lookup: &Lookup<'_>) -> Result<Command, CommandError> {
    let Some(sign) = sign_of(verb) else { return Err(lookup.unknown(verb)) };
    let subject = lookup.taken_by(verb, word)?;
    let settings = settings_for(case, subject, sign)?;
    Ok(Command::Enter(Entry::Observe { settings, subject, sign }))
}

/// What has to be set for something said of a part, which then must be able to
/// be so.
pub(super) fn settings_for(
    case: &Case,
    subject: PartId,
    sign: Sign,
) -> Result<Vec<(ControlId, Position)>, CommandError> {
    let vehicle = case.vehicle();
    let settings = case.settings_for_sign(subject, sign);
    let state = case.standing().state.with_all(&settings);
    let served = case.predictor().in_state(&state).is_ok_and(|model| model.is_served(vehicle, subject));
    let load = || vehicle.part(subject).name.clone();
    match sign {
        Sign::StaysOn | Sign::Glows if served => Err(CommandError::MeantToRun { load: load() }),
        Sign::Looks(_) | Sign::Sometimes if !served => Err(CommandError::NotServed { load: load() }),
        _ => Ok(settings),
    }
}

/// `fridge is dead`, `S2 on`.
fn subject_first(words: &[&str], case: &Case, lookup: &Lookup<'_>) -> Result<Command, CommandError> {
    let words: Vec<&str> =
        words.iter().copied().filter(|word| !matches!(*word, "is" | "the" | "only" | "does" | "doesn't")).collect();
    let (subject, said) = match words[..] {
        [subject, said] => (subject, said),
        [subject, "not", "working" | "work"] => (subject, "dead"),
        [subject, "stays", "on"] => (subject, "stays"),
        [subject, "goes", "flat"] => (subject, "flat"),
        [subject, "works", "sometimes"] => (subject, "sometimes"),
        [subject, "not", "charged" | "charging"] => (subject, "uncharged"),
        [subject, "not", "click" | "clicking"] => (subject, "silent"),
        [word, ..] => return Err(lookup.unknown(word)),
        [] => return Ok(Command::Nothing),
    };
    match verb_word(said) {
        Some(verb) if is_sign(verb) => signed(verb, subject, case, lookup),
        Some(verb @ ("on" | "off")) => set(verb, &[subject], lookup),
        _ if lookup.is_no_name(subject) => Err(lookup.unknown(subject)),
        _ => Err(lookup.unknown(said)),
    }
}

fn set(verb: &'static str, rest: &[&str], lookup: &Lookup<'_>) -> Result<Command, CommandError> {
    if rest.is_empty() {
        return Err(lookup.missing(verb));
    }
    let settings = rest
        .iter()
        .filter(|word| **word != "and")
        .map(|word| lookup.setting(verb, word.trim_end_matches(',')))
        .collect::<Result<Vec<_>, _>>()?;
    Ok(Command::Enter(Entry::Set { settings }))
}

fn skip(case: &Case, lookup: &Lookup<'_>) -> Result<Command, CommandError> {
    match &case.assessment().next {
        Next::Test(advice) => Ok(Command::Enter(Entry::Unwanted { test: advice.test })),
        _ => Err(CommandError::NoTestAdvised { example: lookup.example_point() }),
    }
}

fn cannot(rest: &[&str], case: &Case, lookup: &Lookup<'_>) -> Result<Command, CommandError> {
    let words: Vec<&str> = rest.iter().copied().filter(|word| !matches!(*word, "reach" | "that" | "the")).collect();
    let point = match (&words[..], &case.assessment().next) {
        ([], Next::Test(advice)) => match advice.test {
            Test::Measure(probe) => {
                let (red, black) = probe.points(case.vehicle());
                harder(case, red, black)
            }
            Test::Sense { .. } | Test::Ask(_) => return Ok(Command::Enter(Entry::Unwanted { test: advice.test })),
        },
        ([], _) => return Err(lookup.missing("cannot")),
        (words, _) => lookup.point(one(words, "cannot", lookup)?)?,
    };
    Ok(Command::Enter(Entry::OutOfReach { point }))
}

/// The point that is harder to get at.
fn harder(case: &Case, red: PointId, black: PointId) -> PointId {
    let vehicle = case.vehicle();
    let effort = |point| match vehicle.reach(point) {
        crate::vehicle::Reach::At(place) => vehicle.place(place).effort().0,
        crate::vehicle::Reach::Never => f64::INFINITY,
    };
    if black != case.standing().black && effort(black) > effort(red) { black } else { red }
}

fn meter(word: &str) -> Result<Command, CommandError> {
    let kinds = [MeterKind::Cheap, MeterKind::Good];
    match kinds.into_iter().find(|kind| kind.word() == word.to_lowercase()) {
        Some(kind) => Ok(Command::Enter(Entry::TakeMeter { kind })),
        None => Err(CommandError::NoSuch {
            what: "meter",
            word: word.to_string(),
            near: crate::source::nearest(word, kinds.map(MeterKind::word)).map(str::to_string),
        }),
    }
}

fn state(rest: &[&str], case: &Case, lookup: &Lookup<'_>) -> Result<Command, CommandError> {
    let vehicle = case.vehicle();
    let now = &case.standing().state;
    match rest {
        [] => Ok(Command::State),
        ["rest"] => Ok(Command::Enter(Entry::Set { settings: now.to_rest(vehicle) })),
        [word] => Ok(Command::Enter(Entry::Set { settings: lookup.state(word)?.settings.clone() })),
        [_, word, ..] => Err(CommandError::TooMany { word: word.to_string() }),
    }
}

fn expect(rest: &[&str], case: &Case, lookup: &Lookup<'_>) -> Result<Command, CommandError> {
    let (red, black) = match rest {
        [] => return Err(lookup.missing("expect")),
        [red] => (lookup.point(red)?, case.standing().black),
        [red, black] => (lookup.point(red)?, lookup.point(black)?),
        [_, _, word, ..] => return Err(CommandError::TooMany { word: word.to_string() }),
    };
    Ok(Command::Expect { red, black })
}

/// The load named, or the one complained of.
fn circuit(
    rest: &[&str],
    verb: &'static str,
    case: &Case,
    lookup: &Lookup<'_>,
) -> Result<crate::vehicle::PartId, CommandError> {
    let complained = case.standing().evidence.observations.iter().find(|seen| seen.is_complaint());
    match (rest, complained) {
        ([], Some(seen)) if case.vehicle().loads().any(|load| load == seen.subject) => Ok(seen.subject),
        _ => lookup.load(one(rest, verb, lookup)?),
    }
}
