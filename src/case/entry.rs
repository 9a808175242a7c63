//! What can be entered.

use crate::belief::{Past, Sign, Symptom};
use crate::complaint::{Channel, QuestionId, TreeId};
use crate::meter::MeterKind;
use crate::plan::Test;
use crate::plan::walk::Scope;
use crate::predict::Probe;
use crate::quantity::Measured;
use crate::vehicle::{ControlId, PartId, PointId, Position};

/// One entry of the record.
#[derive(Debug, Clone, PartialEq)]
pub enum Entry {
    /// Something seen or complained of, after setting what it needs.
    Observe {
        /// What was set for it.
        settings: Vec<(ControlId, Position)>,
        subject: PartId,
        sign: Sign,
    },
    /// Something complained of in people's words, with the tree that goes with
    /// them, after setting what it needs.
    Complain {
        /// What was set for it.
        settings: Vec<(ControlId, Position)>,
        subject: PartId,
        sign: Sign,
        tree: TreeId,
    },
    /// An answer to a question of the tree.
    Answer {
        question: QuestionId,
        /// Position of the answer.
        answer: usize,
    },
    /// Who looks and reads from here on.
    Helping { channel: Channel },
    /// Something set.
    Set { settings: Vec<(ControlId, Position)> },
    /// Something read, after setting what it needs.
    Read {
        /// What was set for it.
        settings: Vec<(ControlId, Position)>,
        /// What was measured.
        probe: Probe,
        /// What the display showed.
        measured: Measured,
        /// Whether the fault showed.
        symptom: Symptom,
    },
    /// A reading taken again: the new value counts.
    Retake {
        number: usize,
        /// The new value.
        measured: Measured,
    },
    /// A reading struck out.
    Strike { number: usize },
    /// A part repaired or renewed: what was seen and read before no longer counts.
    Repaired { part: PartId },
    /// The black lead's usual point.
    BlackLead { point: PointId },
    /// The meter in hand.
    TakeMeter { kind: MeterKind },
    /// A point that cannot be reached.
    OutOfReach { point: PointId },
    /// A test not wanted.
    Unwanted { test: Test },
    /// Which walk is taken at handover from here on.
    Walk {
        /// Which readings it takes.
        scope: Scope,
    },
    /// Something of the vehicle's past counts from now on, or no longer.
    Heed {
        past: Past,
        /// Whether it counts.
        counts: bool,
    },
    /// Words for the record.
    Note { text: String },
}

impl Entry {
    /// What it tells of a part, seen or complained of.
    pub fn seen(&self) -> Option<(PartId, Sign)> {
        match *self {
            Self::Observe { subject, sign, .. } | Self::Complain { subject, sign, .. } => Some((subject, sign)),
            Self::Answer { .. } | Self::Helping { .. } | Self::Set { .. } | Self::Read { .. } => None,
            Self::Retake { .. } | Self::Strike { .. } | Self::Repaired { .. } | Self::BlackLead { .. } => None,
            Self::TakeMeter { .. } | Self::OutOfReach { .. } | Self::Unwanted { .. } => None,
            Self::Walk { .. } | Self::Heed { .. } | Self::Note { .. } => None,
        }
    }

    /// What is set for it, or by it.
    pub fn settings(&self) -> &[(ControlId, Position)] {
        match self {
            Self::Observe { settings, .. }
            | Self::Complain { settings, .. }
            | Self::Set { settings }
            | Self::Read { settings, .. } => settings,
            Self::Answer { .. } | Self::Helping { .. } | Self::Retake { .. } | Self::Strike { .. } => &[],
            Self::Repaired { .. } | Self::BlackLead { .. } | Self::TakeMeter { .. } => &[],
            Self::OutOfReach { .. } | Self::Unwanted { .. } | Self::Walk { .. } => &[],
            Self::Heed { .. } | Self::Note { .. } => &[],
        }
    }

    /// Whether it is evidence: something seen, answered or read that moves belief.
    pub fn is_evidence(&self) -> bool {
        match self {
            Self::Observe { .. } | Self::Complain { .. } | Self::Answer { .. } => true,
            Self::Read { .. } | Self::Retake { .. } | Self::Strike { .. } => true,
            Self::Helping { .. } | Self::Set { .. } | Self::Repaired { .. } | Self::BlackLead { .. } => false,
            Self::TakeMeter { .. } | Self::OutOfReach { .. } | Self::Unwanted { .. } => false,
            Self::Walk { .. } | Self::Heed { .. } | Self::Note { .. } => false,
        }
    }

    /// The part that it says is repaired.
    pub fn repaired(&self) -> Option<PartId> {
        match *self {
            Self::Repaired { part } => Some(part),
            _ => None,
        }
    }
}
