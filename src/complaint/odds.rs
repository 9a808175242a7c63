//! How likely each answer to a question is.

use super::{Began, Channel, Kind, Odds, Question};
use crate::fault::FailureMode;
use crate::tables::rates::PartClass;
use crate::vehicle::sides::Side;

/// A fault as far as a question tells faults apart.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Supposed {
    /// Way to fail.
    pub kind: Kind,
    /// Where.
    pub side: Side,
    /// In what; none where no part is at fault.
    pub class: Option<PartClass>,
    /// When it began.
    pub began: Began,
}

impl From<FailureMode> for Kind {
    fn from(mode: FailureMode) -> Self {
        match mode {
            FailureMode::OpenCircuit => Self::Open,
            FailureMode::HighResistance | FailureMode::Undersized | FailureMode::CommonCause => Self::Resistive,
            FailureMode::ShortAcross | FailureMode::ShortToGround | FailureMode::ShortBetweenCircuits => Self::Short,
            FailureMode::ContactWelded | FailureMode::Leakage => Self::Stuck,
            FailureMode::Crossed | FailureMode::WrongTerminal => Self::Crossed,
            FailureMode::HighDraw | FailureMode::StaysAwake => Self::Draws,
            FailureMode::LowDraw => Self::Worn,
            FailureMode::LowVoltage => Self::Low,
            FailureMode::WrongRating => Self::Rating,
            // The wiring is as it should be.
            FailureMode::Stuck | FailureMode::ReadsOff | FailureMode::WrongScale | FailureMode::Drifts => Self::Nothing,
        }
    }
}

impl Odds {
    fn fits(&self, supposed: &Supposed) -> bool {
        let names = |named: bool, is_in: bool| !named || is_in;
        names(!self.kinds.is_empty(), self.kinds.contains(&supposed.kind))
            && names(!self.at.is_empty(), self.at.contains(&supposed.side))
            && names(!self.began.is_empty(), self.began.contains(&supposed.began))
            && names(!self.of.is_empty(), supposed.class.is_some_and(|class| self.of.contains(&class)))
    }
}

impl Question {
    /// Chance of each answer where all of `supposed` is at fault: each is as
    /// likely as any other to be what the person noticed. They add up to one,
    /// and none is nought, since people err: an answer that cannot be taken at
    /// its word may be any.
    pub fn chances(&self, supposed: &[Supposed], channel: Channel) -> Vec<f64> {
        let trust = match channel {
            Channel::OnSite => self.trust,
            Channel::ByPhone => self.by_phone,
        };
        let any = 1.0 / self.answers.len() as f64;
        let meant = |answer: usize| -> f64 {
            let of = |one: &Supposed| self.odds.iter().find(|odds| odds.fits(one)).map_or(any, |odds| odds.are[answer]);
            supposed.iter().map(of).sum::<f64>() / supposed.len() as f64
        };
        (0..self.answers.len()).map(|answer| trust * meant(answer) + (1.0 - trust) * any).collect()
    }
}
