//! A tree file to a [`Tree`], with every error of the file at once.

use super::{Answer, Danger, Extent, Lexicon, Odds, Question, Tree, Wrong};
use crate::files::{List, LoadError, Located, Root, read_entry};
use crate::quantity::Minutes;
use crate::source::{Diagnostic, SourceFile, Span};
use crate::vehicle::LoadKind;
use serde::Deserialize;
use std::collections::HashSet;

/// Format: minutes that a question may take.
const MINUTES: (f64, f64) = (0.1, 30.0);
/// Format: trust that an answer may have.
const TRUST: (f64, f64) = (0.1, 0.95);

const KIND: Root = Root { word: "Tree", noun: "tree" };
const DANGERS: Root = Root { word: "Dangers", noun: "dangers" };
const LEXICON: Root = Root { word: "Lexicon", noun: "lexicon" };
const QUESTIONS: Root = Root { word: "Questions", noun: "questions" };
/// Format: how far the chances of a row, written with two digits, may miss one.
const ROUNDING: f64 = 0.011;

/// A tree as its file writes it.
#[derive(Deserialize)]
#[serde(rename = "Tree", deny_unknown_fields)]
struct TreeEntry {
    class: Located<String>,
    title: Located<String>,
    wrong: Located<Wrong>,
    #[serde(default)]
    extent: Located<Extent>,
    #[serde(default)]
    loads: Located<Vec<LoadKind>>,
    said: List<String>,
    setup: List<String>,
    questions: List<QuestionEntry>,
    traps: List<String>,
    cautions: List<String>,
    proof: List<String>,
}

#[derive(Deserialize)]
#[serde(rename = "Questions", deny_unknown_fields)]
struct QuestionsEntry {
    questions: List<QuestionEntry>,
}

#[derive(Deserialize)]
#[serde(rename = "Dangers", deny_unknown_fields)]
struct DangersEntry {
    dangers: List<Danger>,
}

#[derive(Deserialize)]
#[serde(rename = "Question", deny_unknown_fields)]
struct QuestionEntry {
    name: Located<String>,
    ask: Located<String>,
    #[serde(default)]
    plain: Located<String>,
    minutes: Located<f64>,
    trust: Located<f64>,
    #[serde(default)]
    by_phone: Located<f64>,
    #[serde(default)]
    topic: Located<String>,
    answers: List<Answer>,
    odds: List<Odds>,
}

/// A text with what was wrong with its letters, as [`read_text`](crate::files::read_text)
/// gives it.
type Text = (SourceFile, Vec<Diagnostic>);

/// Reads a tree file.
///
/// # Errors
/// [`LoadError::Rejected`] with every error found.
pub fn tree(text: Text) -> Result<Tree, LoadError> {
    read_entry(text, KIND, built)
}

/// Reads a file of questions that no tree has for itself.
///
/// # Errors
/// [`LoadError::Rejected`] with every error found.
pub fn of_every(text: Text) -> Result<Vec<Question>, LoadError> {
    read_entry(text, QUESTIONS, |entry: QuestionsEntry, findings| Some(questions(entry.questions, findings)))
}

/// Reads a file of words that come before every complaint.
///
/// # Errors
/// [`LoadError::Rejected`] with every error found.
pub fn dangers(text: Text) -> Result<Vec<Danger>, LoadError> {
    read_entry(text, DANGERS, |entry: DangersEntry, findings| {
        Some(filled(entry.dangers, "dangers", findings).into_iter().map(|(danger, _)| danger).collect())
    })
}

/// Reads a lexicon.
///
/// # Errors
/// [`LoadError::Rejected`] with every error found.
pub fn lexicon(text: Text) -> Result<Lexicon, LoadError> {
    read_entry(text, LEXICON, |entry: Lexicon, _| Some(entry))
}

fn questions(list: List<QuestionEntry>, findings: &mut Vec<Diagnostic>) -> Vec<Question> {
    let mut names = HashSet::new();
    let mut questions = Vec::new();
    for (entry, span) in filled(list, "questions", findings) {
        let at = entry.name.span;
        let Some(question) = question(entry, span, findings) else { continue };
        if !names.insert(question.name.clone()) {
            findings.push(Diagnostic::error(
                at.unwrap_or(span),
                format!("two questions are called `{}`", question.name),
                "second one",
                "give one of them another name",
            ));
        }
        questions.push(question);
    }
    questions
}

fn built(entry: TreeEntry, findings: &mut Vec<Diagnostic>) -> Option<Tree> {
    let class = word(entry.class, "class", findings);
    let mut texts = |list, key| filled(list, key, findings).into_iter().map(|(text, _)| text).collect();
    let (said, setup, traps) = (texts(entry.said, "said"), texts(entry.setup, "setup"), texts(entry.traps, "traps"));
    let (cautions, proof) = (texts(entry.cautions, "cautions"), texts(entry.proof, "proof"));
    let questions = questions(entry.questions, findings);
    Some(Tree {
        class: class?,
        title: entry.title.value?,
        wrong: entry.wrong.value?,
        extent: entry.extent.value.unwrap_or_default(),
        loads: entry.loads.value.unwrap_or_default(),
        said,
        setup,
        questions,
        traps,
        cautions,
        proof,
    })
}

/// What a list holds; one that is empty is reported.
fn filled<T>(mut list: List<T>, key: &str, findings: &mut Vec<Diagnostic>) -> Vec<(T, Span)> {
    if let (Some([]), Some(span)) = (list.value.as_deref(), list.span) {
        let headline = format!("expected something in `{key}`, but found nothing");
        let help = format!("write at least one into `{key}: [ … ]`");
        findings.push(Diagnostic::error(span, headline, "empty", help));
    }
    list.take().collect()
}

fn is_word(text: &str) -> bool {
    !text.is_empty() && text.chars().all(|c| c.is_ascii_lowercase() || c == '-')
}

/// What people type; anything but one word is reported.
fn word(given: Located<String>, key: &str, findings: &mut Vec<Diagnostic>) -> Option<String> {
    let (text, span) = given.read()?;
    if !is_word(&text) {
        let headline = format!("`{key}` must be one word, since people type it");
        let help = "small letters and `-` alone, such as `cuts-out`";
        findings.push(Diagnostic::error(span, headline, "no such word", help));
    }
    Some(text)
}

fn question(entry: QuestionEntry, span: Span, findings: &mut Vec<Diagnostic>) -> Option<Question> {
    let name = word(entry.name, "name", findings);
    let plain = entry.plain.value;
    let minutes = number(entry.minutes, "minutes", MINUTES, findings);
    let trust = number(entry.trust, "trust", TRUST, findings);
    if plain.is_some() && entry.by_phone.span.is_none() {
        let (headline, help) = ("a question in plain words needs `by_phone`, but has none", "add `by_phone: …`");
        let head = Span { start: span.start, end: span.start + "Question".len() };
        findings.push(Diagnostic::error(head, headline, "missing from this entry", help));
    }
    let by_phone = number(entry.by_phone, "by_phone", TRUST, findings);
    let answers = filled(entry.answers, "answers", findings);
    let mut words = HashSet::new();
    for (answer, span) in &answers {
        let headline = match (is_word(&answer.word), words.insert(&answer.word)) {
            (false, _) => format!("`{}` is no word that people can type", answer.word),
            (_, false) => format!("two answers are called `{}`", answer.word),
            _ => continue,
        };
        findings.push(Diagnostic::error(*span, headline, "this answer", "write one word of its own"));
    }
    let odds = filled(entry.odds, "odds", findings);
    odds.iter().for_each(|(row, span)| check_row(row, *span, answers.len(), findings));
    Some(Question {
        topic: entry.topic.value.or_else(|| name.clone())?,
        name: name?,
        ask: entry.ask.value?,
        plain,
        minutes: Minutes(minutes?),
        trust: trust?,
        by_phone: by_phone.or(trust)?,
        answers: answers.into_iter().map(|(answer, _)| answer).collect(),
        odds: odds.into_iter().map(|(row, _)| row).collect(),
    })
}

fn number(given: Located<f64>, key: &str, (least, most): (f64, f64), findings: &mut Vec<Diagnostic>) -> Option<f64> {
    let (value, span) = given.read()?;
    if !(least..=most).contains(&value) {
        let headline = format!("`{key}` must be between {least} and {most}, but is {value}");
        let help = match key {
            "minutes" => "a question that takes longer is a test",
            _ => "the share of answers that can be taken at their word; nobody is always right",
        };
        findings.push(Diagnostic::error(span, headline, "this value", help));
    }
    Some(value)
}

/// Chances have to be one for each answer, none below nought, together one.
fn check_row(row: &Odds, span: Span, answers: usize, findings: &mut Vec<Diagnostic>) {
    let sum: f64 = row.are.iter().sum();
    let headline = match () {
        () if row.are.len() != answers => {
            format!("expected {answers} chances, one for each answer, but found {}", row.are.len())
        }
        () if row.are.iter().any(|chance| !(0.0..=1.0).contains(chance)) => "a chance lies between 0 and 1".to_string(),
        () if (sum - 1.0).abs() > ROUNDING => format!("the chances of a row must add up to 1, but come to {sum:.2}"),
        () => return,
    };
    let help = "say how many of all such faults get each answer";
    findings.push(Diagnostic::error(span, headline, "in this row", help));
}
