//! A candidate: a hypothesis on its way from prior to posterior, with its
//! prior, its likelihood so far and what its readings look like.

use super::gaussian::Joint;
use super::onset::Onset;
use super::site::Site;
use crate::odds::LogWeight;
use crate::predict::{Hypothesis, Phase};
use std::rc::Rc;

/// Which of two faults a reading shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(super) enum Showing {
    /// What both do together.
    Both,
    /// What the first does by itself: the second does not move it.
    First,
    /// What the second does by itself.
    Second,
}

/// A hypothesis with its weight.
#[derive(Clone)]
pub(super) struct Candidate {
    pub hypothesis: Hypothesis,
    pub site: Site,
    pub log_prior: LogWeight,
    /// Of that, what the complaint is named by: see [`Needs`](super::needs::Needs).
    pub log_named: LogWeight,
    /// Chance of the complaint, of what was seen.
    pub log_complained: LogWeight,
    /// Prior times likelihood of all that has been weighed so far.
    pub log_weight: LogWeight,
    /// The readings under it, once they are weighed.
    pub joint: Option<Rc<Joint>>,
    pub phase: Phase,
    /// What it shows a meter: itself, or soundness where it moves no reading.
    pub shows: Hypothesis,
    /// Of two faults, which of them each reading shows, where it is not both.
    pub showing: Vec<Showing>,
    /// What showed before a repair, where that was another fault.
    pub showed: Option<Hypothesis>,
    /// When it began: so many readings had been taken before it was there.
    pub began: usize,
}

impl Candidate {
    /// A hypothesis by its prior and what was seen; its readings are still to
    /// be weighed, and show it itself.
    pub fn new(hypothesis: Hypothesis, site: Site, log_prior: LogWeight, log_seen: LogWeight) -> Self {
        Self {
            hypothesis,
            site,
            log_prior,
            log_named: LogWeight::ONE,
            log_complained: LogWeight::ONE,
            log_weight: log_prior + log_seen,
            joint: None,
            phase: Phase::default(),
            shows: hypothesis,
            showing: Vec::new(),
            showed: None,
            began: 0,
        }
    }

    /// Takes into account that of all it stops one load was named.
    pub fn name(&mut self, log_named: LogWeight) {
        self.log_named += log_named;
        self.raise_prior(log_named);
    }

    /// Takes a chance into prior and weight alike: it moves the odds and clears
    /// nothing.
    pub fn raise_prior(&mut self, log_chance: LogWeight) {
        self.log_prior += log_chance;
        self.log_weight += log_chance;
    }

    /// Has it begin some time.
    pub fn begin(&mut self, onset: Onset) {
        self.began = onset.after;
        self.log_prior += onset.log_prior;
        self.log_weight += onset.log_prior;
    }

    /// Likelihood of all that has been weighed.
    pub fn log_likelihood(&self) -> LogWeight {
        self.log_weight - self.log_prior
    }

    /// Whether it is a fault that is there now and was all along.
    pub fn is_single(&self) -> bool {
        self.hypothesis != Hypothesis::Sound && self.showed.is_none()
    }

    /// Whether it is a drawing that is wrong nobody knows where.
    pub fn is_vague(&self) -> bool {
        self.site == Site::Undrawn && self.hypothesis == Hypothesis::Sound
    }

    /// What it shows in a reading; `now` readings were taken since the last repair
    /// and come first, before it something else may have shown.
    pub fn shows_in(&self, reading: usize, now: usize) -> Hypothesis {
        match (self.showing.get(reading), self.shows, self.showed) {
            (Some(Showing::First), Hypothesis::Double { first: (fault, size), .. }, _)
            | (Some(Showing::Second), Hypothesis::Double { second: (fault, size), .. }, _) => {
                Hypothesis::Faulty { fault, size }
            }
            (_, _, Some(showed)) if reading >= now => showed,
            (_, shows, _) => shows,
        }
    }
}
