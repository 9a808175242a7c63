//! The course as a list, and what many lessons came to.

use super::marks::ground;
use crate::training::{LearnerRow, WrittenLesson};
use crate::trial::{Mean, Share};
use crate::words::document::Block;
use crate::words::quantities;

/// The course.
pub fn course_list(course: &[WrittenLesson]) -> Vec<Block> {
    let row = |(index, of): (usize, &WrittenLesson)| {
        vec![(index + 1).to_string(), of.title.clone(), of.vehicle.clone(), of.aim.clone()]
    };
    let list = Block::table(&["", "lesson", "on", "aim"], course.iter().enumerate().map(row));
    vec![list, Block::paragraph("`halfsplit lesson 1` begins the first.")]
}

/// How learners fared over many lessons, with 95 % intervals.
pub fn series_table(rows: &[LearnerRow], lessons: usize) -> Vec<Block> {
    let told = |row: &LearnerRow| {
        vec![
            row.learner.word().to_string(),
            mean(&row.marks),
            row.behind.as_ref().map(mean).unwrap_or_default(),
            share(&row.full),
            share(&row.passed),
            share(&row.right),
            share(&row.lucky),
        ]
    };
    let header =
        ["learner", "marks", "behind the one above", "full marks", "passed", "right, justified", "right by luck"];
    let first = Block::table(&header, rows.iter().map(told));
    let spent =
        |row: &LearnerRow| vec![row.learner.word().to_string(), mean(&row.tests), mean(&row.minutes), mean(&row.cost)];
    let second = Block::table(&["learner", "tests", "minutes", "money"], rows.iter().map(spent));
    let mut header = vec!["mean marks for"];
    header.extend(rows.iter().map(|row| row.learner.word()));
    let grounds = rows.first().map(|row| row.grounds.len()).unwrap_or_default();
    let by_ground = (0..grounds).map(|index| {
        let name = ground(rows[0].grounds[index].0).to_string();
        std::iter::once(name).chain(rows.iter().map(|row| format!("{:.1}", row.grounds[index].1))).collect::<Vec<_>>()
    });
    let lead = format!("{lessons} lessons; intervals hold 95 %; how far one is behind is counted lesson by lesson.");
    vec![Block::Paragraph(lead), first, second, Block::table(&header, by_ground)]
}

fn share(of: &Share) -> String {
    quantities::share(of, 1)
}

fn mean(of: &Mean) -> String {
    format!("{:.1} ±{:.1}", of.mean, of.half)
}
