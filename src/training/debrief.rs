//! The case told again: after each test, what was still possible, and what the
//! better test would have been.

use super::act::Worth;
use super::attempt::Attempt;
use crate::belief::Site;
use crate::case::{CaseError, Standing};
use crate::plan::Advice;

/// What stood after one test.
#[derive(Debug, Clone, PartialEq)]
pub struct DebriefPoint {
    /// The act, from 0.
    pub act: usize,
    /// Places still possible, likeliest first.
    pub left: Vec<(Site, f64)>,
    /// The test that would have told more per minute; none if this was as good.
    pub better: Option<Box<Advice>>,
}

/// The case, test by test.
///
/// # Errors
/// [`CaseError`] as for the entries of the record.
pub fn debrief(attempt: &Attempt) -> Result<Vec<DebriefPoint>, CaseError> {
    let (case, engine) = (attempt.case(), attempt.lesson().engine());
    let figures = &engine.tables().training;
    let mut stations = Vec::new();
    for (act, done) in attempt.done().iter().enumerate() {
        let bits = match done.worth {
            Worth::Telling { bits } => bits,
            Worth::Void | Worth::Known => 0.0,
            Worth::NoTest | Worth::Proving => continue,
        };
        let standing = Standing::of(case.engine(), &case.entries()[..done.entries]);
        let belief = engine.posterior(&standing.evidence)?;
        let left = belief.suspects.iter().filter(|suspect| suspect.probability >= figures.possible);
        let left = left.map(|suspect| (suspect.site, suspect.probability.value())).collect();
        let better = done.better.clone().filter(|better| bits < figures.as_good * better.bits);
        stations.push(DebriefPoint { act, left, better });
    }
    Ok(stations)
}
