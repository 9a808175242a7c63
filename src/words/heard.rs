//! What a sentence was taken for, and what is asked where it may mean two things.

use super::document::Block;
use super::names;
use crate::case::Case;
use crate::complaint::{Meaning, Meant, Understood};
use crate::vehicle::PartId;

/// A meaning in one line.
fn meaning(case: &Case, meaning: &Meaning) -> String {
    let all = |parts: &[PartId]| {
        parts.iter().map(|&part| names::part(case.vehicle(), part)).collect::<Vec<_>>().join(" and ")
    };
    let (what, trees) = (meaning.what, case.trees());
    let what = match what {
        Meant::Complaint(tree) => format!("`{}`, {}", trees.tree(tree).class, trees.tree(tree).title),
        Meant::Sign(sign) => format!("`{}`", trees.lexicon().signs[sign].verb),
    };
    let of = if meaning.subjects.is_empty() { "everything".to_string() } else { all(&meaning.subjects) };
    let works = if meaning.works.is_empty() { String::new() } else { format!("; works: {}", all(&meaning.works)) };
    let answer = |&(question, answer): &(crate::complaint::QuestionId, usize)| {
        trees.question(question).answers[answer].says.clone()
    };
    let answers: Vec<String> = meaning.answers.iter().map(answer).collect();
    let remarks = if answers.is_empty() { String::new() } else { format!("; {}", answers.join("; ")) };
    format!("{of}: {what}{works}{remarks}")
}

/// What a sentence was taken for.
pub fn taken_for(case: &Case, taken: &Meaning) -> Block {
    Block::Paragraph(format!("Taken for: {}.", meaning(case, taken)))
}

/// Words that nothing was made of, and those that were spelt nearly like known ones.
pub fn heard(hearing: &Understood) -> Option<Block> {
    let mut said = Vec::new();
    if !hearing.mended.is_empty() {
        let mended: Vec<String> = hearing.mended.iter().map(|(said, meant)| format!("`{said}` as `{meant}`")).collect();
        said.push(format!("Read {}.", mended.join(", ")));
    }
    if !hearing.unused.is_empty() {
        said.push(format!("Words not used: {}.", hearing.unused.join(", ")));
    }
    (!said.is_empty()).then(|| Block::Paragraph(said.join(" ")))
}

/// What is asked where more than one meaning fits, or one only nearly.
pub fn which_meaning(case: &Case, hearing: &Understood) -> String {
    let choices = hearing.meanings.iter().enumerate();
    let choices: Vec<String> = choices.map(|(index, one)| format!("{}. {}", index + 1, meaning(case, one))).collect();
    let is_one = hearing.meanings.len() == 1;
    let why = match &hearing.strange {
        Some(word) if is_one => format!("nothing here is called `{word}`; what comes nearest is 1"),
        Some(word) => format!("nothing here is called `{word}`"),
        None if is_one => "this may be meant, and is not sure".to_string(),
        None => "this may mean more than one thing".to_string(),
    };
    if is_one {
        return format!("{why}; type `1` if that is meant, or say it in other words:\n{}", choices.join("\n"));
    }
    format!("{why}; type the number of what is meant, or say it in other words:\n{}", choices.join("\n"))
}
