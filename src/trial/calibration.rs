//! Calibration: what was announced against what held.

use super::figures::{Mean, Share, calibration_error};
use super::played::{LEVELS, PlayedAnswer};

/// What a level announced and what held.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Calibration {
    /// The level.
    pub level: f64,
    /// Mean of what was announced at it.
    pub announced: f64,
    /// What held.
    pub held: Share,
}

/// A set of answers held against what is there.
#[derive(Debug, Clone, PartialEq)]
pub struct CalibrationTable {
    /// One for each of [`LEVELS`].
    pub levels: Vec<Calibration>,
    /// Expected calibration error of the likeliest place.
    pub error: f64,
}

/// Holds answers against what is there; none of none.
pub fn table(answers: &[PlayedAnswer]) -> Option<CalibrationTable> {
    if answers.is_empty() {
        return None;
    }
    let level = |(index, &level): (usize, &f64)| Calibration {
        level,
        announced: Mean::of(&answers.iter().map(|answer| answer.levels[index].0).collect::<Vec<_>>()).mean,
        held: Share::count(answers.iter().map(|answer| answer.levels[index].1)),
    };
    let first: Vec<(f64, bool)> = answers.iter().map(|answer| (answer.first, answer.first_right)).collect();
    Some(CalibrationTable { levels: LEVELS.iter().enumerate().map(level).collect(), error: calibration_error(&first) })
}
