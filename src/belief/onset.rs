//! When it began (change point): what was read before anybody complained may be of
//! a vehicle that was still well.
//!
//! With readings y₁…y_m before the complaint, a fault h that came after the first c
//! of them has P(y | h) = Σ_c P(c) P(y₁…y_c | sound) P(y_c+1… | h). The fault was
//! there all along (c = 0), came after all of them (c = m), or came before the first
//! that reads otherwise than the same reading did before.

use super::evidence::{Evidence, Reading, Symptom};
use crate::complaint::Began;
use crate::odds::LogWeight;
use crate::tables::Tables;

/// When a fault may have begun.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Onset {
    /// After so many readings.
    pub after: usize,
    pub log_prior: LogWeight,
}

impl Onset {
    /// Before anything was read.
    pub const ALL_ALONG: Self = Self { after: 0, log_prior: LogWeight::ONE };
}

/// The same as a question has it.
pub(super) fn began(after: usize) -> Began {
    if after == 0 { Began::Before } else { Began::Later }
}

/// When it may have begun: at one time only, where nothing was read before the
/// complaint but what is known to be of a vehicle that worked.
pub(super) fn onsets(tables: &Tables, evidence: &Evidence) -> Vec<Onset> {
    let complained = evidence.complained.unwrap_or(0);
    let mut before: Vec<&Reading> = evidence
        .all_readings()
        .filter(|reading| evidence.is_before_complaint(reading) && reading.symptom == Symptom::Present)
        .collect();
    before.sort_by_key(|reading| reading.moment);
    if before.is_empty() {
        return vec![Onset::ALL_ALONG];
    }
    let is_otherwise = |at: usize| {
        let reading = before[at];
        let is_same = |other: &&&Reading| other.probe == reading.probe && other.state == reading.state;
        before[..at].iter().filter(is_same).any(|other| !other.is_found_again_in(tables, reading))
    };
    let turn = (1..before.len()).find(|&at| is_otherwise(at)).map(|at| before[at].moment);
    let there = tables.belief.there_before_said;
    let mut after: Vec<usize> = turn.into_iter().chain([complained]).collect();
    after.dedup();
    let later = LogWeight::of((1.0 - there) / after.len() as f64);
    let later = after.into_iter().map(|after| Onset { after, log_prior: later });
    std::iter::once(Onset { after: 0, log_prior: LogWeight::of(there) }).chain(later).collect()
}
