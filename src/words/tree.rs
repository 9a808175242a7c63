//! Complaint trees in words: their questions, what they warn of, and how a
//! complaint is begun and closed.

use super::{names, perishable, table, wrapped};
use crate::case::{Case, Entry};
use crate::complaint::{Channel, QuestionId, TreeId};
use crate::plan::Test;

/// A question as it is put to whoever is there.
pub fn asked(case: &Case, id: QuestionId) -> String {
    let question = case.trees().question(id);
    match (case.standing().channel, &question.plain) {
        (Channel::ByPhone, Some(plain)) => plain.clone(),
        _ => question.ask.clone(),
    }
}

/// How it is answered.
pub fn how_to_answer(case: &Case, id: QuestionId) -> String {
    let question = case.trees().question(id);
    let words: Vec<&str> = question.answers.iter().map(|answer| answer.word.as_str()).collect();
    format!("Answer {}", alternatives(&words))
}

/// `a`, `b` or `c`.
fn alternatives(words: &[&str]) -> String {
    let quoted: Vec<String> = words.iter().map(|word| format!("`{word}`")).collect();
    match quoted.split_last() {
        Some((last, [])) => last.clone(),
        Some((last, rest)) => format!("{} or {last}", rest.join(", ")),
        None => String::new(),
    }
}

/// An answer in a list of outcomes.
pub fn answer_said(case: &Case, test: Test, answer: usize) -> String {
    let Test::Ask(id) = test else { return String::new() };
    let answer = &case.trees().question(id).answers[answer];
    format!("{}, {}", answer.word, answer.says)
}

/// What is said when a complaint has just been entered: how to set everything,
/// and what to beware of.
pub fn begun(case: &Case, width: usize) -> String {
    let Some(complaint) = &case.standing().complaint else { return String::new() };
    let tree = case.trees().tree(complaint.tree);
    let first = format!("Taken as `{}`, {}; `tree` shows its traps. First:", tree.class, tree.title);
    let mut lines = vec![wrapped(&first, width, 2)];
    lines.extend(tree.setup.iter().map(|line| wrapped(&format!("  {line}"), width, 4)));
    lines.extend(tree.cautions.iter().map(|line| wrapped(&format!("Caution: {line}"), width, 2)));
    // By phone it stands above every instruction.
    lines.extend(perishable::keeps_until(case, width).filter(|_| case.standing().channel == Channel::OnSite));
    lines.join("\n")
}

/// What the tree of the last complaint asks for once it is repaired.
pub fn closing(case: &Case, width: usize) -> Option<String> {
    let class = case.entries().iter().rev().find_map(|entry| match entry {
        Entry::Complain { tree, .. } => Some(*tree),
        _ => None,
    });
    let tree = case.trees().tree(class?);
    let mut lines = vec![wrapped(&format!("To close a complaint of `{}`:", tree.class), width, 2)];
    lines.extend(tree.proof.iter().map(|line| wrapped(&format!("  {line}"), width, 4)));
    Some(lines.join("\n"))
}

/// The trees there are.
pub fn trees(case: &Case, width: usize) -> String {
    let rows: Vec<Vec<String>> = case
        .trees()
        .iter()
        .map(|(_, tree)| {
            let said: Vec<&str> = tree.said.iter().take(3).map(String::as_str).collect();
            vec![tree.class.clone(), tree.title.clone(), said.join(", "), tree.questions.len().to_string()]
        })
        .collect();
    match rows.is_empty() {
        true => "No complaint trees are at hand.".to_string(),
        false => table::table(&["class", "what", "said as", "asks"], rows, width),
    }
}

/// One tree: how people say it, what it asks, traps, cautions, closing proof.
pub fn tree(case: &Case, id: TreeId, width: usize) -> String {
    let tree = case.trees().tree(id);
    let mut lines = vec![wrapped(&format!("`{}`: {}.", tree.class, tree.title), width, 2)];
    lines.push(wrapped(&format!("Said as: {}.", tree.said.join("; ")), width, 2));
    let mut section = |title: &str, of: Vec<String>| {
        lines.push(format!("{title}:"));
        lines.extend(of.iter().map(|line| wrapped(&format!("  {line}"), width, 4)));
    };
    section("First", tree.setup.clone());
    section("Asks", tree.questions.iter().map(|question| format!("{}: {}", question.name, question.ask)).collect());
    section("Traps", tree.traps.clone());
    section("Cautions", tree.cautions.clone());
    section("Closing proof", tree.proof.clone());
    lines.join("\n")
}

/// The questions of the complaint at hand, with what was answered.
pub fn questions(case: &Case, width: usize) -> String {
    let Some(complaint) = &case.standing().complaint else {
        return wrapped(
            "No complaint is being asked about; say it in people's words, such as `complaint the fridge is dead`.",
            width,
            2,
        );
    };
    let mut lines = vec![wrapped(
        &format!(
            "Complaint `{}` of {}; answer with `answer QUESTION WORD`.",
            case.trees().tree(complaint.tree).class,
            names::short_part(case.vehicle(), complaint.subject)
        ),
        width,
        2,
    )];
    for id in case.trees().questions(complaint.tree) {
        let question = case.trees().question(id);
        let answers = &case.standing().evidence.answers;
        let given = answers.iter().find(|answered| answered.question == id);
        let answer = match given {
            Some(answered) => format!("answered `{}`", question.answers[answered.answer].word),
            None => {
                let words: Vec<&str> = question.answers.iter().map(|answer| answer.word.as_str()).collect();
                alternatives(&words)
            }
        };
        lines.push(wrapped(
            &format!("{}: {} {answer} [{}].", question.name, asked(case, id), question.minutes),
            width,
            2,
        ));
    }
    lines.join("\n")
}
