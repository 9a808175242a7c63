//! Which test next: the one that tells most about *where* for the minutes that
//! it takes, and what each outcome of it would mean.
//!
//! The value of a test is the mutual information, in bits, between the site of
//! the fault and the outcome, given everything known. Information per cost is
//! within a few per cent of the best order on chains (Johnson 1960; Pattipati
//! and Alexandridis 1990).

mod candidates;
mod effort;
mod ladder;
mod outcome;
mod phone;
mod questions;
mod senses;
mod value;
mod views;
pub mod walk;

pub use effort::Situation;
pub use outcome::{Outcome, Range, Seen};
pub use phone::{NEVER, Never};

use crate::belief::{Appearance, Belief, Engine, Observation, Sign, Site};
use crate::complaint::QuestionId;
use crate::network::SolveError;
use crate::predict::Probe;
use crate::quantity::Minutes;
use crate::tables::instruments::Instruments;
use crate::vehicle::{ControlId, PartId, PlaceId, Position};

/// Belief in one site that ends the search: the proof of the repair tells the
/// rest for less than further tests.
pub const ENOUGH: f64 = 0.95;
/// A test that tells less than this many bits is not worth taking.
pub const LEAST_BITS: f64 = 0.04;

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
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Sense {
    /// See whether a load works.
    Look,
    /// Hear whether a relay clicks.
    Listen,
    /// See whether a fuse is whole.
    Fuse,
    /// Feel near it whether it is hot.
    Feel,
    /// See whether a source gives anything.
    Source,
}

impl Sense {
    /// What it can tell.
    pub fn outcomes(self) -> &'static [Sign] {
        match self {
            Self::Look => {
                &[Sign::Looks(Appearance::Dead), Sign::Looks(Appearance::Weak), Sign::Looks(Appearance::Works)]
            }
            Self::Listen => &[Sign::Clicks, Sign::Silent],
            Self::Fuse => &[Sign::LooksWhole, Sign::LooksBlown],
            Self::Feel => &[Sign::Hot, Sign::Cool],
            Self::Source => &[Sign::Gives, Sign::Idle],
        }
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

/// Plans the next test; the runners-up come after the first, best first.
///
/// # Errors
/// [`SolveError`] if a state that a test would need has no solution.
pub fn plan(engine: &Engine, belief: &Belief, situation: &Situation<'_>) -> Result<(Next, Vec<Advice>), SolveError> {
    if situation.evidence.is_empty() {
        return Ok((Next::AskComplaint, Vec::new()));
    }
    if is_nothing_amiss(&engine.tables().instruments, belief, situation) {
        return Ok((Next::NothingAmiss, Vec::new()));
    }
    if let Some(found) = belief.suspects.first().filter(|first| first.probability >= ENOUGH) {
        return Ok((Next::Found { site: found.site }, Vec::new()));
    }
    let mut advices = candidates::best(engine, belief, situation)?;
    let next = match advices.is_empty() {
        true => without_a_test(belief),
        false => Next::Test(Box::new(advices.remove(0))),
    };
    Ok((next, advices))
}

/// What a test taken now, in the present state, is expected to tell, bits.
///
/// # Errors
/// As [`plan`].
pub fn worth(engine: &Engine, belief: &Belief, situation: &Situation<'_>, test: Test) -> Result<f64, SolveError> {
    match test {
        Test::Measure(probe) => candidates::worth(engine, belief, situation, probe),
        Test::Sense { subject, sense } => senses::worth(engine, belief, situation, subject, sense),
        // What a question tells is known once a tree is chosen.
        Test::Ask(_) => Ok(0.0),
    }
}

/// Whether nobody complains and every reading lies within three deviations of
/// what a sound vehicle shows.
fn is_nothing_amiss(instruments: &Instruments, belief: &Belief, situation: &Situation<'_>) -> bool {
    let evidence = situation.evidence;
    if evidence.observations.iter().any(Observation::is_complaint) {
        return false;
    }
    let sound = belief.best_at(Site::Nothing).and_then(|weighed| weighed.joint.as_ref());
    sound.is_some_and(|joint| {
        joint.shown.iter().zip(&evidence.readings).all(|(shown, reading)| {
            (reading.on_scale(instruments).0 - shown.mean).abs() < 3.0 * shown.variance().sqrt()
        })
    })
}

/// What is left when no test is worth taking.
fn without_a_test(belief: &Belief) -> Next {
    let mut held = 0.0;
    let mut parts = Vec::new();
    for suspect in &belief.suspects {
        if held >= ENOUGH {
            break;
        }
        held += suspect.probability;
        match suspect.site {
            Site::Part(_) | Site::Both(..) => {
                let new = suspect.site.parts().filter(|part| !parts.contains(part));
                parts.extend(new.collect::<Vec<_>>());
            }
            // A doubt about the drawing or the complaint itself stays open.
            Site::Nothing | Site::Undrawn if suspect.probability > 0.2 => return Next::NothingWorthwhile,
            Site::Nothing | Site::Undrawn => {}
        }
    }
    if parts.is_empty() { Next::NothingWorthwhile } else { Next::Inseparable { parts } }
}
