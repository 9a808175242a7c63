//! Calibration: what was announced against what held.

use super::figures::{Mean, Share, bootstrapped, calibration_error, wilson};
use super::played::{LEVELS, PlayedAnswer};

/// Layout: stretches of what the likeliest place was announced at, a row each.
pub const BANDS: [(f64, f64); 4] = [(0.5, 0.8), (0.8, 0.95), (0.95, 0.99), (0.99, 1.0)];

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

/// Answers whose likeliest place was announced within a stretch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band {
    /// From this on, below that; the last with its end.
    pub announced: (f64, f64),
    /// How often the place was right.
    pub held: Share,
    /// Cases that the answers are of.
    pub cases: usize,
}

impl Band {
    fn of(games: &[Vec<PlayedAnswer>], announced: (f64, f64)) -> Self {
        let (from, below) = announced;
        let is_in = |answer: &&PlayedAnswer| answer.first >= from && (answer.first < below || below >= 1.0);
        let held = games.iter().flatten().filter(is_in).map(|answer| answer.first_right);
        let cases = games.iter().filter(|game| game.iter().any(|answer| is_in(&answer))).count();
        Self { announced, held: Share::count(held), cases }
    }

    /// Wilson's interval with as many trials as cases: answers of one case are
    /// right or wrong together.
    pub fn interval(&self) -> (f64, f64) {
        wilson(self.held.value(), self.cases)
    }
}

/// A set of answers held against what is there.
#[derive(Debug, Clone, PartialEq)]
pub struct CalibrationTable {
    /// One for each of [`LEVELS`].
    pub levels: Vec<Calibration>,
    /// One for each of the stretches that are told.
    pub bands: Vec<Band>,
    /// Expected calibration error of the likeliest place.
    pub error: f64,
    /// Its bootstrap interval over cases.
    pub error_interval: (f64, f64),
}

/// Holds the answers of each case against what is there; none of none.
pub fn table(games: &[Vec<PlayedAnswer>]) -> Option<CalibrationTable> {
    let answers: Vec<&PlayedAnswer> = games.iter().flatten().collect();
    if answers.is_empty() {
        return None;
    }
    let level = |(index, &level): (usize, &f64)| Calibration {
        level,
        announced: Mean::of(&answers.iter().map(|answer| answer.levels[index].0).collect::<Vec<_>>()).mean,
        held: Share::count(answers.iter().map(|answer| answer.levels[index].1)),
    };
    let error = |games: &mut dyn Iterator<Item = &Vec<PlayedAnswer>>| {
        calibration_error(&games.flatten().map(|answer| (answer.first, answer.first_right)).collect::<Vec<_>>())
    };
    Some(CalibrationTable {
        levels: LEVELS.iter().enumerate().map(level).collect(),
        bands: BANDS.map(|band| Band::of(games, band)).to_vec(),
        error: error(&mut games.iter()),
        error_interval: bootstrapped(games, error),
    })
}
