//! A tree file to a [`Tree`], with every error of the file at once.

use super::{Answer, Kind, Odds, Question, Tree};
use crate::files::{KeyedFile, LoadError, Root, load_keyed, read_keyed};
use crate::quantity::Minutes;
use crate::source::{Diagnostic, SourceFile, Span};
use crate::tables::rates::PartClass;
use crate::vehicle::sides::Side;
use serde::Deserialize;
use std::collections::HashSet;

/// Format: minutes that a question may take.
const MINUTES: (f64, f64) = (0.1, 30.0);
/// Format: trust that an answer may have.
const TRUST: (f64, f64) = (0.1, 0.95);

const KIND: Root = Root { word: "Tree", noun: "tree", has_tuples: false };
const TREE_KEYS: [&str; 11] =
    ["class", "title", "wrong", "extent", "loads", "said", "setup", "questions", "traps", "cautions", "proof"];
const QUESTION_KEYS: [&str; 9] = ["name", "ask", "plain", "minutes", "trust", "by_phone", "topic", "answers", "odds"];
/// Format: how far the chances of a row, written with two digits, may miss one.
const ROUNDING: f64 = 0.011;

/// A row as the file writes it.
#[derive(Deserialize)]
#[serde(rename = "Odds", deny_unknown_fields)]
struct OddsEntry {
    #[serde(default)]
    kinds: Vec<Kind>,
    #[serde(default)]
    at: Vec<Side>,
    #[serde(default)]
    of: Vec<PartClass>,
    are: Vec<f64>,
}

/// Reads a tree file.
///
/// # Errors
/// [`LoadError`] with every error found.
pub fn load(path: &str) -> Result<Tree, LoadError> {
    load_keyed(path, KIND, &TREE_KEYS, tree)
}

/// Reads the text of a tree file.
///
/// # Errors
/// [`LoadError::Rejected`] with every error found.
pub fn parse(file: SourceFile) -> Result<Tree, LoadError> {
    read_keyed(file, KIND, &TREE_KEYS, tree)
}

fn tree(sheet: &mut KeyedFile<'_, '_, '_>) -> Option<Tree> {
    let class: Option<String> = sheet.value("class");
    if class.as_ref().is_some_and(|class| !is_word(class)) {
        not_a_word(sheet, "class");
    }
    let (title, wrong) = (sheet.value("title"), sheet.value("wrong"));
    let extent = sheet.optional("extent").unwrap_or_default();
    let loads = sheet.optional("loads").unwrap_or_default();
    let (said, setup) = (sheet.texts("said"), sheet.texts("setup"));
    let questions = questions(sheet);
    let (traps, cautions, proof) = (sheet.texts("traps"), sheet.texts("cautions"), sheet.texts("proof"));
    Some(Tree {
        class: class?,
        title: title?,
        wrong: wrong?,
        extent,
        loads,
        said,
        setup,
        questions,
        traps,
        cautions,
        proof,
    })
}

fn is_word(text: &str) -> bool {
    !text.is_empty() && text.chars().all(|c| c.is_ascii_lowercase() || c == '-')
}

fn not_a_word(sheet: &mut KeyedFile<'_, '_, '_>, key: &str) {
    let span = sheet.span_of(key);
    sheet.reject(Diagnostic::error(
        span,
        format!("`{key}` must be one word, since people type it"),
        "no such word",
        "small letters and `-` alone, such as `cuts-out`",
    ));
}

fn questions(sheet: &mut KeyedFile<'_, '_, '_>) -> Vec<Question> {
    let mut names = HashSet::new();
    let mut questions = Vec::new();
    for node in sheet.nodes("questions") {
        let Some(mut inner) = sheet.inside(node, "Question", &QUESTION_KEYS) else { continue };
        let Some(question) = question(&mut inner) else { continue };
        if !names.insert(question.name.clone()) {
            let span = inner.span_of("name");
            inner.reject(Diagnostic::error(
                span,
                format!("two questions are called `{}`", question.name),
                "second one",
                "give one of them another name",
            ));
        }
        questions.push(question);
    }
    questions
}

fn question(sheet: &mut KeyedFile<'_, '_, '_>) -> Option<Question> {
    let name: Option<String> = sheet.value("name");
    if name.as_ref().is_some_and(|name| !is_word(name)) {
        not_a_word(sheet, "name");
    }
    let ask = sheet.value("ask");
    let plain = sheet.optional("plain");
    let minutes = number(sheet, "minutes", MINUTES);
    let trust = number(sheet, "trust", TRUST);
    let by_phone = plain.is_some().then(|| number(sheet, "by_phone", TRUST));
    let topic = sheet.optional("topic").or(name.clone());
    let answers: Vec<(Answer, Span)> = sheet.entries("answers");
    let mut words = HashSet::new();
    for (answer, span) in &answers {
        let headline = match (is_word(&answer.word), words.insert(&answer.word)) {
            (false, _) => format!("`{}` is no word that people can type", answer.word),
            (_, false) => format!("two answers are called `{}`", answer.word),
            _ => continue,
        };
        sheet.reject(Diagnostic::error(*span, headline, "this answer", "write one word of its own"));
    }
    let odds = sheet.entries::<OddsEntry>("odds");
    odds.iter().for_each(|(row, span)| check_row(sheet, row, *span, answers.len()));
    let odds = odds.into_iter().map(|(OddsEntry { kinds, at, of, are }, _)| Odds { kinds, at, of, are });
    Some(Question {
        name: name?,
        ask: ask?,
        plain,
        minutes: Minutes(minutes?),
        trust: trust?,
        by_phone: by_phone.unwrap_or(trust)?,
        topic: topic?,
        answers: answers.into_iter().map(|(answer, _)| answer).collect(),
        odds: odds.collect(),
    })
}

fn number(sheet: &mut KeyedFile<'_, '_, '_>, key: &'static str, (least, most): (f64, f64)) -> Option<f64> {
    let value: f64 = sheet.value(key)?;
    if !(least..=most).contains(&value) {
        let span = sheet.span_of(key);
        let headline = format!("`{key}` must be between {least} and {most}, but is {value}");
        let help = match key {
            "minutes" => "a question that takes longer is a test",
            _ => "the share of answers that can be taken at their word; nobody is always right",
        };
        sheet.reject(Diagnostic::error(span, headline, "this value", help));
    }
    Some(value)
}

/// Chances have to be one for each answer, none below nought, together one.
fn check_row(sheet: &mut KeyedFile<'_, '_, '_>, row: &OddsEntry, span: Span, answers: usize) {
    let sum: f64 = row.are.iter().sum();
    let headline = match () {
        () if row.are.len() != answers => {
            format!("expected {answers} chances, one for each answer, but found {}", row.are.len())
        }
        () if row.are.iter().any(|chance| !(0.0..=1.0).contains(chance)) => "a chance lies between 0 and 1".to_string(),
        () if (sum - 1.0).abs() > ROUNDING => format!("the chances of a row must add up to 1, but come to {sum:.2}"),
        () => return,
    };
    sheet.reject(Diagnostic::error(span, headline, "in this row", "say how many of all such faults get each answer"));
}
