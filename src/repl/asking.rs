//! Complaints in people's words, and answers to the questions of their trees.

use super::command::{Command, CommandError};
use super::lookup::Lookup;
use super::signs::settings_for;
use super::verbs::{Verb, verb_of};
use crate::belief::Sign;
use crate::case::{Case, Entry};
use crate::complaint::{Channel, QuestionId, TreeId, Wrong};
use crate::plan::{Next, Test};
use crate::source::nearest;
use crate::vehicle::trace::way_there_and_back;
use crate::vehicle::{PartId, Role};

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

/// A line that is nothing but the answer to the question just asked. Who does not
/// know leaves it out.
pub fn bare_answer(words: &[&str], case: &Case) -> Option<Command> {
    let question = asked(case)?;
    let line = words.join(" ").to_lowercase().replace(['\'', '’'], "");
    if matches!(line.as_str(), "dont know" | "do not know" | "no idea" | "unsure" | "not sure") {
        return Some(Command::Enter(Entry::Unwanted { test: Test::Ask(question) }));
    }
    let word = line.trim_start_matches("i think ").trim_end_matches(" i think").trim_end_matches(" i think so");
    let answer = case.trees().question(question).find_answer(word)?;
    Some(Command::Enter(Entry::Answer { question, answer }))
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
