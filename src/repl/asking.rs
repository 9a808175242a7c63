//! Complaints in people's words, and answers to the questions of their trees.

use super::command::{Command, CommandError};
use super::lookup::Lookup;
use super::signs::{self, settings_for};
use super::verbs::{Verb, verb_of};
use crate::belief::Sign;
use crate::case::{Case, Entry};
use crate::complaint::{Channel, QuestionId, TreeId, Wrong};
use crate::plan::{Next, Test};
use crate::source::nearest;
use crate::vehicle::trace::way_there_and_back;
use crate::vehicle::{PartId, Role};
use crate::words;

/// `complaint the fridge is dead`: which thing, which tree.
pub fn complaint(words: &[&str], case: &Case, lookup: &Lookup<'_>) -> Result<Command, CommandError> {
    let vehicle = case.vehicle();
    let example = || lookup.example_complaint();
    let named = words.iter().find_map(|word| {
        let found = vehicle.find_part(word)?;
        let kind = &vehicle.part(found).kind;
        let fits = match kind.role() {
            Role::Load | Role::Protection | Role::Source => true,
            Role::Coil | Role::Switchgear | Role::Connection | Role::Conductor | Role::Rectifier | Role::Display => {
                false
            }
        };
        fits.then_some((found, *word))
    });
    let said: Vec<&str> = words.iter().copied().filter(|word| named.is_none_or(|(_, name)| *word != name)).collect();
    let tree =
        meant(&said, named.map(|(part, _)| part), case).ok_or_else(|| CommandError::NoTree { example: example() })?;
    let wrong = case.trees().tree(tree).wrong;
    let subject =
        subject(wrong, named.map(|(part, _)| part), case).ok_or_else(|| CommandError::OfWhat { example: example() })?;
    let is_little = words.iter().any(|word| matches!(*word, "little" | "less" | "half" | "low" | "slowly" | "weakly"));
    let sign = if wrong == Wrong::Uncharged && is_little { Sign::ChargesLittle } else { Sign::from(wrong) };
    let settings = settings_for(case, subject, sign)?;
    Ok(Command::Enter(Entry::Complain { settings, subject, sign, tree }))
}

/// The tree whose wordings fit, or else one for what a known word says.
fn meant(said: &[&str], named: Option<PartId>, case: &Case) -> Option<TreeId> {
    let trees = case.trees();
    let kind = named.and_then(|part| case.vehicle().part(part).kind.load()).map(|load| load.kind);
    let by_verb = || {
        let sign = said.iter().find_map(|word| verb_of(word)?.says())?;
        trees.iter().find(|(_, tree)| tree.loads.is_empty() && Sign::from(tree.wrong) == sign).map(|(id, _)| id)
    };
    trees.meant(&said.join(" "), kind).or_else(by_verb)
}

/// What such a complaint is of: what was named, or what stands for it.
fn subject(wrong: Wrong, named: Option<PartId>, case: &Case) -> Option<PartId> {
    let vehicle = case.vehicle();
    let kind = |part: PartId| &vehicle.part(part).kind;
    let is_fuse = |part: &PartId| kind(*part).is_protection();
    let is_battery = |part: &PartId| kind(*part).is_battery();
    match (wrong, named) {
        (Wrong::Blows, Some(named)) if is_fuse(&named) => Some(named),
        // Of a load, the fuse nearest to it.
        (Wrong::Blows, Some(named)) => {
            let way = way_there_and_back(vehicle, &case.standing().state, named);
            way.into_iter().rfind(is_fuse)
        }
        (Wrong::GoesFlat | Wrong::Uncharged, named) => named.filter(is_battery).or_else(|| {
            let mut batteries = vehicle.supplies().filter(is_battery);
            batteries.next().filter(|_| batteries.next().is_none())
        }),
        (_, named) => named.filter(|&part| kind(part).is_load()),
    }
}

/// `answer slowly`, `answer onset slowly`, `answer 2`.
pub fn answer(verb: &Verb, words: &[&str], case: &Case, lookup: &Lookup<'_>) -> Result<Command, CommandError> {
    let trees = case.trees();
    let tree = case.standing().complaint.as_ref().map(|complaint| complaint.tree);
    let (question, word) = match (words, tree) {
        ([], _) => return Err(lookup.missing(verb)),
        ([word], _) => (asked(case), *word),
        ([name, word], Some(tree)) => (trees.find_question(tree, name), *word),
        ([_, word], None) => (None, *word),
        ([_, _, word, ..], _) => return Err(CommandError::TooMany { word: word.to_string() }),
    };
    let found = question.and_then(|id| Some((id, trees.question(id).find_answer(word)?)));
    // A word that only one open question has will do.
    let found = found.or_else(|| {
        let all = tree.filter(|_| words.len() == 1).into_iter().flat_map(|tree| trees.questions(tree));
        let mut fitting = all.filter_map(|id| {
            let answers = &trees.question(id).answers;
            Some((id, answers.iter().position(|answer| answer.word.eq_ignore_ascii_case(word))?))
        });
        fitting.next().filter(|_| fitting.next().is_none())
    });
    match found {
        Some((question, answer)) => Ok(Command::Enter(Entry::Answer { question, answer })),
        None => Err(CommandError::NoAnswer { word: word.to_string() }),
    }
}

/// A line that is nothing but the answer to what was just asked: a word of a
/// question, or yes or no to a look or a listening. Who does not know leaves it out.
pub fn bare_answer(words: &[&str], case: &Case) -> Result<Option<Command>, CommandError> {
    let line = words.join(" ").to_lowercase().replace(['\'', '’'], "");
    let word = line.trim_start_matches("i think ").trim_end_matches(" i think").trim_end_matches(" i think so");
    let is_unknown = matches!(line.as_str(), "dont know" | "do not know" | "no idea" | "unsure" | "not sure");
    let is_bare = is_unknown || matches!(word, "yes" | "no");
    let advice = match &case.assessment().next {
        Next::Test(advice) => advice,
        _ if is_bare => return Err(CommandError::NothingAsked { word: line }),
        _ => return Ok(None),
    };
    match advice.test {
        Test::Ask(_) | Test::Sense { .. } if is_unknown => {
            Ok(Some(Command::Enter(Entry::Unwanted { test: advice.test })))
        }
        Test::Ask(question) => match case.trees().question(question).find_answer(word) {
            Some(answer) => Ok(Some(Command::Enter(Entry::Answer { question, answer }))),
            None if is_bare => Err(CommandError::WhichOne { word: line, of: words::answers(case, question) }),
            None => Ok(None),
        },
        Test::Sense { subject, sense } if is_bare => match sense.answered(word == "yes", case.standing().channel) {
            Some(sign) => Ok(Some(signs::sensed(case, advice, subject, sign))),
            None => Err(CommandError::WhichOne { word: line, of: words::told_by(sense) }),
        },
        Test::Measure(_) if is_bare => {
            Err(CommandError::NoYesOrNo { word: line, advised: words::test(case, advice.test) })
        }
        Test::Sense { .. } | Test::Measure(_) => Ok(None),
    }
}

/// The question that is the next test.
pub fn asked(case: &Case) -> Option<QuestionId> {
    match &case.assessment().next {
        Next::Test(advice) => match advice.test {
            Test::Ask(question) => Some(question),
            _ => None,
        },
        _ => None,
    }
}

/// `tree`, `tree CLASS`.
pub fn tree(words: &[&str], case: &Case) -> Result<Command, CommandError> {
    let complaint = case.standing().complaint.as_ref();
    let word = match words {
        [] => return Ok(complaint.map_or(Command::Trees, |complaint| Command::Tree(complaint.tree))),
        [word] => *word,
        [_, word, ..] => return Err(CommandError::TooMany { word: word.to_string() }),
    };
    let classes = case.trees().iter().map(|(_, tree)| tree.class.as_str());
    let unknown = || CommandError::NoSuch {
        what: "complaint tree",
        word: word.to_string(),
        near: nearest(word, classes).map(str::to_string),
    };
    case.trees().find(word).map(Command::Tree).ok_or_else(unknown)
}

/// `phone on`, `phone off`, `phone never`.
pub fn phone(words: &[&str]) -> Result<Command, CommandError> {
    match words {
        [] => Ok(Command::Helping),
        ["on"] => Ok(Command::Enter(Entry::Helping { channel: Channel::ByPhone })),
        ["off"] => Ok(Command::Enter(Entry::Helping { channel: Channel::OnSite })),
        ["never"] => Ok(Command::NeverByPhone),
        [word] => Err(CommandError::NoSuch { what: "way to help", word: word.to_string(), near: None }),
        [_, word, ..] => Err(CommandError::TooMany { word: word.to_string() }),
    }
}
