//! Many lessons, played by learners side by side: what the marks are worth.

use super::act::ActError;
use super::lesson::Lesson;
use super::marks::{Ground, Judgement, Marks, marks, yardstick};
use super::policy::{Learner, play};
use crate::tables::Tables;
use crate::trial::{Bench, Mean, Share, WrongKind, case_seed, in_threads};
use crate::vehicle::Vehicle;
use std::rc::Rc;

/// What to play.
#[derive(Debug, Clone, PartialEq)]
pub struct LessonSeries {
    /// How many lessons.
    pub lessons: usize,
    /// Seed that the lessons' own seeds come from.
    pub seed: u64,
    /// Who plays.
    pub learners: Vec<Learner>,
    /// What is wrong.
    pub wrong: WrongKind,
    /// Threads, at least one.
    pub threads: usize,
}

/// One lesson, and everybody's marks in the order of [`LessonSeries::learners`].
#[derive(Debug, Clone, PartialEq)]
pub struct PlayedLesson {
    pub seed: u64,
    pub marks: Vec<Marks>,
}

/// How one learner fared.
#[derive(Debug, Clone, PartialEq)]
pub struct LearnerRow {
    pub learner: Learner,
    /// Marks.
    pub marks: Mean,
    /// Marks less than the learner before, lesson by lesson; none for the first.
    pub behind: Option<Mean>,
    /// Lessons with all of them.
    pub full: Share,
    /// Lessons passed.
    pub passed: Share,
    /// Right and justified.
    pub right: Share,
    /// Right and not justified.
    pub lucky: Share,
    pub tests: Mean,
    /// Minutes.
    pub minutes: Mean,
    /// Money.
    pub cost: Mean,
    /// Mean marks had for each ground.
    pub grounds: Vec<(Ground, f64)>,
}

/// Plays a series; `done` is told after each lesson, from any thread. The
/// outcome does not depend on how many threads there are.
///
/// # Errors
/// [`ActError`] if a state has no solution.
pub fn play_all(
    vehicle: &Vehicle,
    tables: &Tables,
    series: &LessonSeries,
    done: impl Fn() + Sync,
) -> Result<Vec<PlayedLesson>, ActError> {
    let one = |bench: &Bench, number: usize| play_one(bench, series, case_seed(series.seed, number));
    let played: Result<Vec<Option<PlayedLesson>>, ActError> =
        in_threads(vehicle, tables, series.threads, series.lessons, one, done).into_iter().collect();
    Ok(played?.into_iter().flatten().collect())
}

fn play_one(bench: &Bench, series: &LessonSeries, seed: u64) -> Result<Option<PlayedLesson>, ActError> {
    let Some(lesson) = Lesson::drawn(bench, "", seed, series.wrong)? else { return Ok(None) };
    let lesson = Rc::new(lesson);
    let against = yardstick(&lesson)?;
    let marks = series.learners.iter().map(|&learner| Ok(marks(&play(&lesson, learner, 0)?, against)?));
    Ok(Some(PlayedLesson { seed, marks: marks.collect::<Result<_, ActError>>()? }))
}

/// How everybody fared.
pub fn rows(series: &LessonSeries, played: &[PlayedLesson]) -> Vec<LearnerRow> {
    let row = |(index, &learner): (usize, &Learner)| {
        let of: Vec<&Marks> = played.iter().map(|played| &played.marks[index]).collect();
        let behind = |before: usize| {
            let less = played.iter().map(|played| played.marks[before].total - played.marks[index].total);
            Mean::of(&less.collect::<Vec<_>>())
        };
        let mean = |value: fn(&Marks) -> f64| Mean::of(&of.iter().map(|marks| value(marks)).collect::<Vec<_>>());
        let share = |is: fn(&Marks) -> bool| Share::count(of.iter().map(|marks| is(marks)));
        let ground = |ground: Ground| {
            let sum: f64 = of.iter().map(|marks| marks.got(ground)).sum();
            (ground, sum / of.len().max(1) as f64)
        };
        LearnerRow {
            learner,
            marks: mean(|marks| marks.total),
            behind: index.checked_sub(1).map(behind),
            full: share(|marks| marks.total >= marks.most()),
            passed: share(|marks| marks.is_pass),
            right: share(|marks| marks.judgement == Judgement::Right),
            lucky: share(|marks| marks.judgement == Judgement::Lucky),
            tests: mean(|marks| marks.tests as f64),
            minutes: mean(|marks| marks.minutes),
            cost: mean(|marks| marks.cost),
            grounds: Ground::ALL.into_iter().map(ground).collect(),
        }
    };
    series.learners.iter().enumerate().map(row).collect()
}
