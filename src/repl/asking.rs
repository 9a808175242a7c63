//! Complaints in people's words, and answers to the questions of their trees.

use super::command::{Command, CommandError};
use super::lookup::Lookup;
use super::reading::is_unit;
use super::signs::{self, settings_for};
use super::takes::Takes;
use super::verbs::{Verb, verb_of};
use crate::belief::Sign;
use crate::case::{Case, Entry};
use crate::complaint::{Channel, Lack, Meaning, Meant, QuestionId, Wrong};
use crate::plan::{Next, Test};
use crate::quantity::looks_like_number;
use crate::source::nearest;
use crate::vehicle::PartId;
use crate::words;

/// `complaint the fridge is dead`, or such a sentence alone: what it means of this vehicle.
/// A sentence `adds` to a complaint that stands.
pub fn heard(said: &str, adds: bool, case: &Case, lookup: &Lookup<'_>) -> Result<Command, CommandError> {
    let hearing =
        case.trees().hear(case.vehicle(), &case.standing().state, case.standing().evidence.complained_of(), said);
    let example = format!("complaint {}", lookup.example(Takes::Complaint));
    match (hearing.meanings.is_empty(), hearing.lack) {
        (false, _) => Ok(Command::Heard { hearing: Box::new(hearing), adds }),
        (true, Lack::Wording) => Err(CommandError::NoTree { example }),
        (true, Lack::Thing) => Err(CommandError::OfWhat { example }),
        (true, Lack::Of(sign)) => {
            let verb = verb_of(&case.trees().lexicon().signs[sign].verb);
            let example = verb.map_or(example, |verb| format!("{} {}", verb.word(), lookup.example(verb.takes)));
            Err(CommandError::OfWhat { example })
        }
    }
}

/// A meaning as entries: what works, what is complained of, the others of it, what side
/// remarks answer.
pub fn meant(meaning: &Meaning, adds: bool, case: &Case) -> Result<Vec<Entry>, CommandError> {
    let trees = case.trees();
    let tree = match meaning.what {
        Meant::Complaint(tree) => Some(tree),
        Meant::Sign(_) => None,
    };
    let sign = match meaning.what {
        Meant::Complaint(tree) if trees.tree(tree).wrong == Wrong::Uncharged && meaning.is_little => {
            Sign::ChargesLittle
        }
        Meant::Complaint(tree) => Sign::from(trees.tree(tree).wrong),
        Meant::Sign(number) => said_by(&trees.lexicon().signs[number].verb),
    };
    let any = || case.vehicle().loads().min_by_key(|&load| case.settings_for_sign(load, sign).len());
    let subjects = if meaning.subjects.is_empty() { any().into_iter().collect() } else { meaning.subjects.clone() };
    let observed = |subject: PartId, sign| {
        Ok::<_, CommandError>(Entry::Observe { settings: settings_for(case, subject, sign)?, subject, sign })
    };
    let works = meaning.works.iter().map(|&subject| observed(subject, Sign::WORKS));
    let mut entries = works.collect::<Result<Vec<_>, _>>()?;
    let complains = tree.filter(|_| !(adds && case.standing().complaint.is_some()));
    for (index, &subject) in subjects.iter().enumerate() {
        entries.push(match complains {
            Some(tree) if index == 0 => {
                Entry::Complain { settings: settings_for(case, subject, sign)?, subject, sign, tree }
            }
            _ => observed(subject, sign)?,
        });
    }
    let answers = meaning.answers.iter().filter(|_| complains.is_some());
    entries.extend(answers.map(|&(question, answer)| Entry::Answer { question, answer }));
    Ok(entries)
}

/// What a verb says of its subject.
fn said_by(verb: &str) -> Sign {
    verb_of(verb).and_then(Verb::says).unwrap_or(Sign::WORKS)
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
    let line = words.join(" ").to_lowercase().replace(['\'', '’', ','], "");
    let lexicon = case.trees().lexicon();
    let is_unknown = lexicon.unknown.contains(&line);
    let word = line.trim_start_matches("i think ").trim_end_matches(" i think").trim_end_matches(" i think so");
    let word = match () {
        () if lexicon.yes.iter().any(|yes| *yes == line || yes == word) => "yes",
        () if lexicon.no.iter().any(|no| *no == line || no == word) => "no",
        () => word,
    };
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

/// A value without what people say before it: `it says about 12.4 volts`.
pub fn value_alone<'l>(line: &'l str, case: &Case) -> &'l str {
    let mut rest = line;
    while let Some(after) = case.trees().lexicon().lead.iter().find_map(|lead| {
        let head = rest.get(..lead.len()).filter(|head| head.eq_ignore_ascii_case(lead))?;
        rest[head.len()..].strip_prefix(' ').map(str::trim_start)
    }) {
        rest = after;
    }
    let is_value = rest.split_whitespace().next().is_some_and(looks_like_number);
    if is_value && rest.split_whitespace().skip(1).all(is_unit) { rest } else { line }
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
