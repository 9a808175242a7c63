//! Complaint trees in words: their questions, what they warn of, and how a
//! complaint is begun and closed.

use super::document::Block;
use super::{names, perishable};
use crate::belief::is_news;
use crate::case::{Case, Entry};
use crate::complaint::{Channel, Danger, QuestionId, TreeId};
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
    format!("Answer {}", answers(case, id))
}

/// The words that answer it.
pub fn answers(case: &Case, id: QuestionId) -> String {
    let answers = &case.trees().question(id).answers;
    names::alternatives(&answers.iter().map(|answer| answer.word.as_str()).collect::<Vec<_>>())
}

/// An answer in a list of outcomes.
pub fn answer_said(case: &Case, test: Test, answer: usize) -> String {
    let Test::Ask(id) = test else { return String::new() };
    let answer = &case.trees().question(id).answers[answer];
    format!("{}, {}", answer.word, answer.says)
}

/// What comes before anything else where words tell of something that can hurt.
pub fn danger(danger: &Danger) -> Vec<Block> {
    danger.first.iter().map(|line| Block::Caution(line.clone())).collect()
}

/// What is said when words told of nothing but danger.
pub fn after_danger(case: &Case) -> Block {
    let load = names::example_load(case.vehicle());
    Block::Paragraph(format!("Once it is safe, say what is wrong, such as `complaint the {load} is dead`."))
}

/// What is said when a complaint has just been entered: how to set everything,
/// and what to beware of.
pub fn begun(case: &Case) -> Vec<Block> {
    let Some(complaint) = &case.standing().complaint else { return Vec::new() };
    let tree = case.trees().tree(complaint.tree);
    let first = format!("Taken as `{}`, {}; `tree` shows its traps. First:", tree.class, tree.title);
    let mut blocks = vec![Block::Paragraph(first), Block::List(tree.setup.clone())];
    blocks.extend(tree.cautions.iter().map(|line| Block::Caution(format!("Caution: {line}"))));
    // By phone it stands above every instruction.
    blocks.extend(perishable::keeps_until(case).filter(|_| case.standing().channel == Channel::OnSite));
    blocks
}

/// What the tree of the last complaint asks for once it is repaired.
pub fn closing(case: &Case) -> Vec<Block> {
    let class = case.entries().iter().rev().find_map(|entry| match entry {
        Entry::Complain { tree, .. } => Some(*tree),
        _ => None,
    });
    let Some(class) = class else { return Vec::new() };
    let tree = case.trees().tree(class);
    vec![Block::Paragraph(format!("To close a complaint of `{}`:", tree.class)), Block::List(tree.proof.clone())]
}

/// The trees there are.
pub fn trees(case: &Case) -> Block {
    let rows: Vec<Vec<String>> = case
        .trees()
        .iter()
        .map(|(_, tree)| {
            let said: Vec<&str> = tree.said.iter().take(3).map(String::as_str).collect();
            vec![tree.class.clone(), tree.title.clone(), said.join(", "), tree.questions.len().to_string()]
        })
        .collect();
    match rows.is_empty() {
        true => Block::paragraph("No complaint trees are at hand."),
        false => Block::table(&["class", "what", "said as", "asks"], rows),
    }
}

/// One tree: how people say it, what it asks, traps, cautions, closing proof.
pub fn tree(case: &Case, id: TreeId) -> Vec<Block> {
    let tree = case.trees().tree(id);
    let asks = tree.questions.iter().map(|question| format!("{}: {}", question.name, question.ask)).collect();
    let sections = [
        ("First", tree.setup.clone()),
        ("Asks", asks),
        ("Traps", tree.traps.clone()),
        ("Cautions", tree.cautions.clone()),
        ("Closing proof", tree.proof.clone()),
    ];
    let lead = [format!("`{}`: {}.", tree.class, tree.title), format!("Said as: {}.", tree.said.join("; "))];
    let sections =
        sections.into_iter().flat_map(|(title, of)| [Block::Paragraph(format!("{title}:")), Block::List(of)]);
    lead.map(Block::Paragraph).into_iter().chain(sections).collect()
}

/// The questions of the complaint at hand, with what was answered.
pub fn questions(case: &Case) -> Vec<Block> {
    let Some(complaint) = &case.standing().complaint else {
        let none =
            "No complaint is being asked about; say it in people's words, such as `complaint the fridge is dead`.";
        return vec![Block::paragraph(none)];
    };
    let mut blocks = vec![Block::Paragraph(format!(
        "Complaint `{}` of {}; answer with `answer QUESTION WORD`.",
        case.trees().tree(complaint.tree).class,
        names::short_part(case.vehicle(), complaint.subject)
    ))];
    let evidence = &case.standing().evidence;
    for id in case.trees().questions(complaint.tree).filter(|&id| is_news(case.engine(), evidence, id)) {
        let question = case.trees().question(id);
        let given = evidence.answers.iter().find(|answered| answered.question == id);
        let answer = match given {
            Some(answered) => format!("answered `{}`", question.answers[answered.answer].word),
            None => answers(case, id),
        };
        let said = format!("{}: {} {answer} [{}].", question.name, asked(case, id), question.minutes);
        blocks.push(Block::Paragraph(said));
    }
    blocks
}
