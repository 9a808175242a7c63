//! The same cases played with and without what was read at handover: the same
//! faults, real parts, meters and streams of chance, so that what differs is
//! what the readings do.

use super::calibration::{CalibrationTable, table};
use super::figures::Mean;
use super::outcome::CaseOutcome;
use super::played::{PlayedAnswer, PlayedCase};

/// Layout: tests after which the narrowing is compared: most cases are still open
/// then.
const EARLY: usize = 2;

/// What is compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PairedFigure {
    /// Tests to the end.
    Tests,
    /// Minutes to the end.
    Minutes,
    /// Share of cases in which the right part was named.
    Right,
    /// Parts of the segment announced.
    Segment,
    /// Belief in the right place after the first tests.
    EarlyBelief,
    /// Share of cases in which the likeliest place was right then.
    EarlyFirst,
    /// The fewest places that held 95 % then.
    EarlyPlaces,
    /// Belief in the right place in the end.
    LateBelief,
}

impl PairedFigure {
    pub const ALL: [Self; 8] = [
        Self::Tests,
        Self::Minutes,
        Self::Right,
        Self::Segment,
        Self::EarlyBelief,
        Self::EarlyFirst,
        Self::EarlyPlaces,
        Self::LateBelief,
    ];

    fn of(self, played: &PlayedCase) -> f64 {
        let share = |is: bool| f64::from(u8::from(is));
        let at =
            |index: usize| -> Option<PlayedAnswer> { played.answers.get(index).or(played.answers.last()).copied() };
        let answer = |index: usize, of: fn(PlayedAnswer) -> f64| at(index).map_or(0.0, of);
        match self {
            Self::Tests => played.tests as f64,
            Self::Minutes => played.minutes,
            Self::Right => share(played.is_right),
            Self::Segment => played.segment.0 as f64,
            Self::EarlyBelief => answer(EARLY, |answer| answer.of_right),
            Self::EarlyFirst => answer(EARLY, |answer| f64::from(u8::from(answer.first_right))),
            Self::EarlyPlaces => answer(EARLY, |answer| answer.places as f64),
            Self::LateBelief => answer(usize::MAX, |answer| answer.of_right),
        }
    }
}

/// One figure, both ways.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PairedCase {
    pub figure: PairedFigure,
    /// Its mean without.
    pub without: f64,
    /// Its mean with.
    pub with: f64,
    /// The difference of each case, with less without.
    pub difference: Mean,
}

#[derive(Debug, Clone, PartialEq)]
pub struct Paired {
    /// Cases played both ways.
    pub cases: usize,
    pub pairs: Vec<PairedCase>,
    /// Every answer with the handover, held against what is there.
    pub at_every_answer: Option<CalibrationTable>,
}

impl Paired {
    /// From outcomes whose policy at `ours` is the tool; none where nothing was
    /// played with a handover.
    pub fn of(outcomes: &[CaseOutcome], ours: usize) -> Option<Self> {
        let both = |outcome: &CaseOutcome| Some((outcome.played.get(ours)?.clone()?, outcome.informed.clone()?));
        let played: Vec<(PlayedCase, PlayedCase)> = outcomes.iter().filter_map(both).collect();
        let pair = |figure: PairedFigure| {
            let values: Vec<(f64, f64)> = played.iter().map(|(a, b)| (figure.of(a), figure.of(b))).collect();
            let mean = |of: fn(&(f64, f64)) -> f64| Mean::of(&values.iter().map(of).collect::<Vec<_>>());
            PairedCase {
                figure,
                without: mean(|of| of.0).mean,
                with: mean(|of| of.1).mean,
                difference: mean(|of| of.1 - of.0),
            }
        };
        let every: Vec<Vec<PlayedAnswer>> = played.iter().map(|(_, with)| with.answers.clone()).collect();
        (!played.is_empty()).then(|| Self {
            cases: played.len(),
            pairs: PairedFigure::ALL.map(pair).to_vec(),
            at_every_answer: table(&every),
        })
    }
}
