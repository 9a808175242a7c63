//! A line to a command. A word that is not understood is an error with the
//! nearest match; it never silently means something else.

use super::aids;
use super::asking;
use super::command::{Command, CommandError};
use super::lookup::Lookup;
use super::paper::{self, ReportOrder};
use super::reading::{is_brightness, is_comparison, is_no_path, is_unit, reading, value};
use super::signs;
use super::takes::Takes;
use super::verbs::{Grammar, Verb, verb_of};
use crate::belief::Past;
use crate::case::journal::{Access, OFF};
use crate::case::{Case, Entry};
use crate::meter::MeterKind;
use crate::plan::walk::Scope;
use crate::plan::{Next, Test};
use crate::quantity::looks_like_number;
use crate::vehicle::{PartId, PointId, Position, Reach};

/// Layout: words that a line has at least to be a sentence, though it begins with a command.
const SENTENCE: usize = 4;

/// Understands a line.
///
/// # Errors
/// [`CommandError`] with what was wrong; nothing has changed.
pub fn parse(line: &str, case: &Case) -> Result<Command, CommandError> {
    let line = line.trim();
    if line.is_empty() || line.starts_with('#') {
        return Ok(Command::Nothing);
    }
    let lookup = Lookup::new(case.vehicle());
    commanded(line, case, &lookup).or_else(|error| sentence(line, error, case, &lookup))
}

/// A line that is no command, as a sentence; it stays the error that it is, where it
/// means nothing either.
fn sentence(line: &str, error: CommandError, case: &Case, lookup: &Lookup<'_>) -> Result<Command, CommandError> {
    let words = line.split_whitespace().count();
    let is_command = line.split_whitespace().next().is_some_and(|word| verb_of(word).is_some());
    let is_heard = matches!(error, CommandError::NoTree { .. } | CommandError::OfWhat { .. });
    if is_heard || words < 2 || words < SENTENCE && !error.is_of_words() {
        return Err(error);
    }
    match asking::heard(line, true, case, lookup) {
        // So short and begun as a command, what is nearly a name is a slip in that command.
        Ok(Command::Heard { hearing, .. }) if is_command && words < SENTENCE && !hearing.mended.is_empty() => {
            Err(error)
        }
        Err(why @ CommandError::OfWhat { .. })
            if !is_command && matches!(error, CommandError::Unknown { .. } | CommandError::Reading { .. }) =>
        {
            Err(why)
        }
        Err(_) => Err(error),
        heard => heard,
    }
}

fn commanded(line: &str, case: &Case, lookup: &Lookup<'_>) -> Result<Command, CommandError> {
    let line = asking::value_alone(line, case);
    let words = words(line);
    let words = lookup.labels_as_names(words);
    let Some((&first, rest)) = words.split_first() else { return Ok(Command::Nothing) };
    if let Some(command) = asking::bare_answer(&words, case)? {
        return Ok(command);
    }
    let has_value = |fits: fn(&str) -> bool| words.iter().any(|word| fits(word));
    let Some(verb) = verb_of(first) else {
        if lookup.instrument(first).is_ok() {
            return reading(&words, case, lookup);
        }
        return match words.iter().any(|word| (is_value(word) || is_comparison(word)) && lookup.is_no_name(word)) {
            true => reading(&words, case, lookup),
            false => subject_first(&words, case, lookup),
        };
    };
    let text = line[first.len()..].trim();
    match &verb.grammar {
        Grammar::Alone(command) => alone(command.clone(), rest),
        Grammar::Says(sign) => signs::sign(*sign, verb, rest, case, lookup),
        Grammar::Sets(position) => set(verb, *position, rest, lookup),
        Grammar::Complaint => asking::heard(text, false, case, lookup),
        Grammar::Answer => asking::answer(verb, rest, case, lookup),
        Grammar::Tree => asking::tree(rest, case),
        Grammar::Helping => asking::phone(rest),
        Grammar::Touched => signs::touched(verb, rest, case, lookup),
        Grammar::Read => reading(rest, case, lookup),
        Grammar::Retake => retake(verb, rest, lookup),
        Grammar::Strike => Ok(Command::Enter(Entry::Strike { number: number(lookup.one(rest, verb)?)? })),
        Grammar::Repaired => Ok(Command::Enter(Entry::Repaired { part: lookup.part(lookup.one(rest, verb)?)? })),
        Grammar::OutOfReach => cannot(verb, rest, case, lookup),
        Grammar::Skip => alone(skip(case)?, rest),
        Grammar::Lamp if has_value(|word| is_value(word) || is_brightness(word)) => reading(&words, case, lookup),
        Grammar::Lamp | Grammar::Feed | Grammar::Bridge | Grammar::Disconnect => aids::put(verb, rest, case, lookup),
        Grammar::Remove => aids::remove(rest, case, lookup),
        Grammar::State => state(rest, case, lookup),
        Grammar::BlackLead if has_value(is_value) => reading(&words, case, lookup),
        Grammar::BlackLead => Ok(Command::Enter(Entry::BlackLead { point: lookup.point(lookup.one(rest, verb)?)? })),
        Grammar::Meter => meter(lookup.one(rest, verb)?),
        Grammar::What => expected(verb, rest, case, lookup).map(|(red, black)| Command::What { red, black }),
        Grammar::Expect => expected(verb, rest, case, lookup).map(|(red, black)| Command::Expect { red, black }),
        Grammar::Trace => Ok(Command::Trace(circuit(verb, rest, case, lookup)?)),
        Grammar::Profile => Ok(Command::Profile(circuit(verb, rest, case, lookup)?)),
        Grammar::Part => Ok(Command::Part(lookup.part(lookup.one(rest, verb)?)?)),
        Grammar::Sketch => Ok(Command::Sketch(text.to_string())),
        Grammar::Save => Ok(Command::Save(needed(text, verb, lookup)?.into())),
        Grammar::Note => Ok(Command::Enter(Entry::Note { text: needed(text, verb, lookup)?.to_string() })),
        Grammar::Report => Ok(Command::Report(order(text)?)),
        Grammar::Sheet => sheet(verb, text, lookup),
        Grammar::Handover => handover(line, rest, lookup),
        Grammar::History => history(verb, rest, lookup),
        Grammar::Comeback => Ok(Command::Comeback(order(text)?)),
        Grammar::Case => case_named(rest),
        Grammar::Help => help(rest),
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

fn alone(command: Command, rest: &[&str]) -> Result<Command, CommandError> {
    match rest {
        [] => Ok(command),
        [word, ..] => Err(CommandError::TooMany { word: word.to_string() }),
    }
}

/// Free words, which must not be missing.
fn needed<'t>(text: &'t str, verb: &Verb, lookup: &Lookup<'_>) -> Result<&'t str, CommandError> {
    if text.is_empty() { Err(lookup.missing(verb)) } else { Ok(text) }
}

fn order(file: &str) -> Result<ReportOrder, CommandError> {
    paper::order(file).map_err(|error| CommandError::File { why: error.to_string() })
}

fn number(word: &str) -> Result<usize, CommandError> {
    word.parse().map_err(|_| CommandError::NotANumber { word: word.to_string() })
}

fn retake(verb: &Verb, rest: &[&str], lookup: &Lookup<'_>) -> Result<Command, CommandError> {
    match rest {
        [first, typed] => Ok(Command::Enter(Entry::Retake { number: number(first)?, measured: value(typed)? })),
        [] | [_] => Err(lookup.missing(verb)),
        [_, _, word, ..] => Err(CommandError::TooMany { word: word.to_string() }),
    }
}

fn sheet(verb: &Verb, text: &str, lookup: &Lookup<'_>) -> Result<Command, CommandError> {
    let (load, file) = text.split_once(char::is_whitespace).ok_or_else(|| lookup.missing(verb))?;
    let load = lookup.load(load)?;
    Ok(Command::Sheet { load, order: order(file)? })
}

fn history(verb: &Verb, rest: &[&str], lookup: &Lookup<'_>) -> Result<Command, CommandError> {
    let heed = |counts| Command::Enter(Entry::Heed { past: Past::History, counts });
    match lookup.one(rest, verb)? {
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
            Ok(Command::Walk(scope, order(file)?))
        }
        [word, ..] => Err(CommandError::TooMany { word: word.to_string() }),
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
        [word] => match verb_of(word) {
            Some(verb) => Ok(Command::Help(Some(verb.word()))),
            None => Err(Lookup::unknown_verb(word)),
        },
        [_, word, ..] => Err(CommandError::TooMany { word: word.to_string() }),
    }
}

/// `fridge is dead`, `S2 on`.
fn subject_first(words: &[&str], case: &Case, lookup: &Lookup<'_>) -> Result<Command, CommandError> {
    let is_between = |word: &str| {
        matches!(word, "is" | "the" | "only" | "does" | "doesn't" | "looks" | "has" | "are")
            || matches!(word, "fuse" | "breaker" | "relay") && lookup.is_no_name(word)
    };
    let words: Vec<&str> = words.iter().copied().filter(|word| !is_between(word)).collect();
    if let [red] = words[..]
        && let Some(red) = case.vehicle().find_point(red)
    {
        return Ok(Command::What { red, black: case.standing().black });
    }
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
    match verb_of(said).map(|verb| (verb, &verb.grammar)) {
        Some((verb, Grammar::Says(sign))) => signs::signed(*sign, verb, subject, case, lookup),
        Some((verb, Grammar::Sets(position))) if verb.takes == Takes::Switch => {
            set(verb, *position, &[subject], lookup)
        }
        _ if lookup.is_no_name(subject) => Err(lookup.unknown(subject)),
        _ => Err(lookup.unknown(said)),
    }
}

fn set(verb: &Verb, position: Position, rest: &[&str], lookup: &Lookup<'_>) -> Result<Command, CommandError> {
    if rest.is_empty() {
        return Err(lookup.missing(verb));
    }
    let settings = rest
        .iter()
        .filter(|word| **word != "and")
        .map(|word| lookup.setting(verb, position, word.trim_end_matches(',')))
        .collect::<Result<Vec<_>, _>>()?;
    Ok(Command::Enter(Entry::Set { settings }))
}

fn skip(case: &Case) -> Result<Command, CommandError> {
    match &case.assessment().next {
        Next::Test(advice) => Ok(Command::Enter(Entry::Unwanted { test: advice.test })),
        _ => Err(CommandError::NothingToSkip),
    }
}

fn cannot(verb: &Verb, rest: &[&str], case: &Case, lookup: &Lookup<'_>) -> Result<Command, CommandError> {
    let words: Vec<&str> = rest.iter().copied().filter(|word| !matches!(*word, "reach" | "that" | "the")).collect();
    let point = match (&words[..], &case.assessment().next) {
        ([], Next::Test(advice)) => match advice.test {
            Test::Measure(probe) => {
                let (red, black) = probe.points(case.vehicle());
                harder(case, red, black)
            }
            Test::Sense { .. } | Test::Ask(_) => return Ok(Command::Enter(Entry::Unwanted { test: advice.test })),
        },
        ([], _) => return Err(lookup.missing(verb)),
        (words, _) => lookup.point(lookup.one(words, verb)?)?,
    };
    Ok(Command::Enter(Entry::OutOfReach { point }))
}

/// The point that is harder to get at.
fn harder(case: &Case, red: PointId, black: PointId) -> PointId {
    let vehicle = case.vehicle();
    let effort = |point| match vehicle.reach(point) {
        Reach::At(place) => vehicle.place(place).effort().0,
        Reach::Never => f64::INFINITY,
    };
    if black != case.standing().black && effort(black) > effort(red) { black } else { red }
}

fn meter(word: &str) -> Result<Command, CommandError> {
    let kinds = MeterKind::ALL;
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

/// The points that something is asked of: red and black lead.
fn expected(verb: &Verb, rest: &[&str], case: &Case, lookup: &Lookup<'_>) -> Result<(PointId, PointId), CommandError> {
    match rest {
        [] => Err(lookup.missing(verb)),
        [red] => Ok((lookup.point(red)?, case.standing().black)),
        [red, black] => Ok((lookup.point(red)?, lookup.point(black)?)),
        [_, _, word, ..] => Err(CommandError::TooMany { word: word.to_string() }),
    }
}

/// The load named, or the one complained of.
fn circuit(verb: &Verb, rest: &[&str], case: &Case, lookup: &Lookup<'_>) -> Result<PartId, CommandError> {
    let complained = case.standing().evidence.complained_of();
    match (rest, complained) {
        ([], Some(subject)) if case.vehicle().loads().any(|load| load == subject) => Ok(subject),
        _ => lookup.load(lookup.one(rest, verb)?),
    }
}
