//! A class in one table, and as comma-separated values.

use crate::training::{Class, Pupil, TakenLesson};
use crate::words::document::Block;

/// The class: learners, every lesson done, and the common mistakes.
pub fn class_table(class: &Class) -> Vec<Block> {
    let pupil = |pupil: &Pupil| {
        vec![
            pupil.learner.clone(),
            pupil.lessons.to_string(),
            pupil.passed.to_string(),
            format!("{:.0}", pupil.marks),
            pupil.worst.clone().unwrap_or_default(),
        ]
    };
    let header = ["learner", "lessons", "passed", "mean marks", "most often"];
    let mut blocks = vec![Block::table(&header, class.pupils().iter().map(pupil))];
    let lesson = |of: &TakenLesson| {
        vec![
            of.learner.clone(),
            of.lesson.clone(),
            format!("{:.0}", of.marks),
            if of.passed { "passed" } else { "not passed" }.to_string(),
            of.conclusion.clone(),
            of.tests.to_string(),
            format!("{:.0}", of.minutes),
        ]
    };
    let header = ["learner", "lesson", "marks", "", "conclusion", "tests", "minutes"];
    blocks.push(Block::table(&header, class.results.iter().map(lesson)));
    let mistakes: Vec<Vec<String>> =
        class.mistakes().into_iter().map(|(mistake, count)| vec![mistake, count.to_string()]).collect();
    if !mistakes.is_empty() {
        blocks.push(Block::table(&["common mistake", "times"], mistakes));
    }
    let unread = class.unread.iter();
    blocks.extend(unread.map(|(path, why)| Block::Paragraph(format!("Left out: {}: {why}.", path.display()))));
    blocks
}

/// One line for each lesson done.
pub fn class_csv(class: &Class) -> String {
    let mut lines = vec!["learner,lesson,vehicle,seed,marks,passed,conclusion,tests,minutes,cost,mistakes".to_string()];
    lines.extend(class.results.iter().map(|of| {
        let fields = [
            of.learner.clone(),
            of.lesson.clone(),
            of.vehicle.clone(),
            of.seed.to_string(),
            format!("{:.0}", of.marks),
            if of.passed { "yes" } else { "no" }.to_string(),
            of.conclusion.clone(),
            of.tests.to_string(),
            format!("{:.1}", of.minutes),
            format!("{:.0}", of.cost),
            of.mistakes.join("; "),
        ];
        fields.map(|field| quoted(&field)).join(",")
    }));
    lines.join("\n")
}

/// A field by RFC 4180; one that a spreadsheet would take for a formula is
/// kept from being one.
fn quoted(field: &str) -> String {
    let field = match field.starts_with(['=', '+', '-', '@']) {
        true => format!("'{field}"),
        false => field.to_string(),
    };
    match field.contains([',', '"', '\n', '\r']) {
        true => format!("\"{}\"", field.replace('"', "\"\"")),
        false => field,
    }
}

#[cfg(test)]
mod tests {
    use super::quoted;

    /// RFC 4180, section 2, rules 6 and 7.
    #[test]
    fn fields_are_quoted_by_the_published_rules() {
        assert_eq!(quoted("plain"), "plain");
        assert_eq!(quoted("a,b"), "\"a,b\"");
        assert_eq!(quoted("say \"no\""), "\"say \"\"no\"\"\"");
        assert_eq!(quoted("=1+1"), "'=1+1");
    }
}
