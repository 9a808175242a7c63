//! Acceptance test of a repair, as values: what to look at and to read, how each
//! came out, and where the proof stands.

use crate::belief::Sign;
use crate::plan::Range;
use crate::predict::{Probe, Scale};
use crate::tables::practice::DropLimit;
use crate::vehicle::{ControlId, PartId, Position, State};

/// What is to be shown after a repair, and what has been.
#[derive(Debug, Clone, PartialEq)]
pub struct Proof {
    /// The part repaired last.
    pub repaired: PartId,
    /// What to look at and to read, in order.
    pub checks: Vec<Check>,
    /// What stands otherwise than at rest, to be put back at the end.
    pub left: Vec<(ControlId, Position)>,
    /// Parts that were disturbed and that no check shows.
    pub unshown: Vec<PartId>,
    /// What no reading proves in a few minutes.
    pub beyond: Vec<BeyondProof>,
}

/// One thing to look at or to read.
#[derive(Debug, Clone, PartialEq)]
pub struct Check {
    /// How everything stands for it.
    pub state: State,
    pub what: What,
    /// The parts that it shows to be sound.
    pub shows: Vec<PartId>,
    /// How it came out.
    pub outcome: CheckOutcome,
    /// While it is open, the state that the same was seen or read in and that does
    /// not count.
    pub in_other_state: Option<State>,
}

impl Check {
    /// Not done yet.
    pub fn open(state: State, what: What, shows: Vec<PartId>) -> Self {
        Self { state, what, shows, outcome: CheckOutcome::Open, in_other_state: None }
    }
}

/// What to do.
#[derive(Debug, Clone, PartialEq)]
pub enum What {
    /// See, hear or tell by its lamp that a part does what it should.
    Shows {
        subject: PartId,
        /// What there is to tell.
        sign: Sign,
    },
    /// Read something.
    Read {
        probe: Probe,
        /// What sound parts show, three deviations either way.
        band: Range,
        /// What it may not exceed, where there is such a limit.
        limit: Option<DropLimit>,
    },
}

/// How a check came out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum CheckOutcome {
    /// Not done yet.
    Open,
    /// As it must be.
    Passed(Found),
    /// Below the limit, but more than sound parts show.
    Doubtful(Found),
    /// Not as it must be.
    Failed(Found),
}

/// What was found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Found {
    /// What somebody told of the part.
    Told(Sign),
    /// What was read, on the scale of the probe.
    Read {
        /// On which.
        scale: Scale,
        value: f64,
    },
}

/// What takes more than readings.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BeyondProof {
    /// A fault that came and went.
    ComesAndGoes,
    /// A battery that went flat.
    GoesFlat(PartId),
    /// A fuse that blew.
    Blows(PartId),
}

/// Where the proof stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ProofVerdict {
    /// Every check passed, and all is put back.
    Proved,
    /// Every check passed; something is still to be put back.
    ToPutBack,
    /// Some checks are open, none failed.
    Unfinished,
    /// Some check did not come out as it must.
    NotProved,
}

impl Proof {
    /// Where it stands.
    pub fn verdict(&self) -> ProofVerdict {
        let any = |wanted: fn(&CheckOutcome) -> bool| self.checks.iter().any(|check| wanted(&check.outcome));
        match () {
            () if any(|outcome| matches!(outcome, CheckOutcome::Failed(_) | CheckOutcome::Doubtful(_))) => {
                ProofVerdict::NotProved
            }
            () if self.checks.is_empty() || any(|outcome| *outcome == CheckOutcome::Open) => ProofVerdict::Unfinished,
            () if !self.left.is_empty() => ProofVerdict::ToPutBack,
            () => ProofVerdict::Proved,
        }
    }

    /// Checks that passed.
    pub fn passed(&self) -> usize {
        self.checks.iter().filter(|check| matches!(check.outcome, CheckOutcome::Passed(_))).count()
    }

    /// The first check not done yet.
    pub fn next(&self) -> Option<&Check> {
        self.checks.iter().find(|check| check.outcome == CheckOutcome::Open)
    }
}
