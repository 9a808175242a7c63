//! A test with what it takes and what it would mean: what the planner hands out.

use super::outcome::{Outcome, Range};
use crate::belief::{Sign, Site};
use crate::complaint::{Channel, QuestionId};
use crate::predict::Probe;
use crate::quantity::Minutes;
use crate::vehicle::{ControlId, PartId, PlaceId, Position};
use serde::{Deserialize, Serialize};

/// What to do with instrument or eye.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Test {
    /// Measure something.
    Measure(Probe),
    /// Ask a question of the complaint's tree.
    Ask(QuestionId),
    /// Look, listen or feel.
    Sense {
        /// Of which part.
        subject: PartId,
        /// How.
        sense: Sense,
    },
}

/// What a person can tell of a part without an instrument.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Sense {
    /// See whether a load works.
    Look,
    /// Hear whether a relay clicks.
    Listen,
    /// See whether a fuse is whole.
    Fuse,
    /// See whether a lamp in the place of a fuse is bright.
    Lamp,
    /// Feel near it whether it is hot.
    Feel,
    /// See whether a source gives anything.
    Source,
}

impl Sense {
    /// All of them.
    pub const ALL: [Self; 6] = [Self::Look, Self::Listen, Self::Fuse, Self::Lamp, Self::Feel, Self::Source];

    /// What it asks whether it is so.
    fn asked(self) -> Sign {
        match self {
            Self::Look => Sign::WORKS,
            Self::Listen => Sign::Clicks,
            Self::Fuse => Sign::LooksWhole,
            Self::Lamp => Sign::LampBright,
            Self::Feel => Sign::Hot,
            Self::Source => Sign::Gives,
        }
    }

    /// What it can tell.
    pub fn outcomes(self) -> &'static [Sign] {
        self.asked().alternatives()
    }

    /// What yes or no says; none where that does not tell which. By phone a load and
    /// a fuse are asked about as a choice.
    pub fn answered(self, yes: bool, channel: Channel) -> Option<Sign> {
        if channel == Channel::ByPhone && matches!(self, Self::Look | Self::Fuse) {
            return None;
        }
        let mut fitting = self.outcomes().iter().copied().filter(|&sign| (sign == self.asked()) == yes);
        fitting.next().filter(|_| fitting.next().is_none())
    }
}

/// A test with what it takes and what it would mean.
#[derive(Debug, Clone, PartialEq)]
pub struct Advice {
    /// What to do.
    pub test: Test,
    /// What to set first.
    pub settings: Vec<(ControlId, Position)>,
    /// Places to open first.
    pub opens: Vec<PlaceId>,
    /// Time it takes.
    pub minutes: Minutes,
    /// What it is expected to tell.
    pub bits: f64,
    /// What a sound vehicle would show; `None` for what takes no instrument.
    pub sound: Option<Range>,
    /// What each outcome would mean, likeliest first.
    pub outcomes: Vec<Outcome>,
}

impl Advice {
    /// Bits per minute.
    pub fn rate(&self) -> f64 {
        self.bits / self.minutes.0
    }
}

/// What to do next.
#[derive(Debug, Clone, PartialEq)]
pub enum Next {
    /// Nothing has been said or read yet.
    AskComplaint,
    /// Nothing is complained of, and what was read is as it should be.
    NothingAmiss,
    /// Nothing is complained of, and one reading is to be taken again before anything
    /// is suspect.
    ReadAgain {
        /// Which of those that count.
        reading: usize,
    },
    /// Take this test.
    Test(Box<Advice>),
    /// The part is found.
    Found {
        /// Where.
        site: Site,
    },
    /// These cannot be told apart by any test at hand.
    Inseparable {
        /// Parts, likeliest first.
        parts: Vec<PartId>,
    },
    /// No test left tells enough.
    NothingWorthwhile,
}

impl Next {
    /// Whether nothing is suspect yet.
    pub fn is_of_no_suspect(&self) -> bool {
        matches!(self, Self::AskComplaint | Self::NothingAmiss | Self::ReadAgain { .. })
    }
}
