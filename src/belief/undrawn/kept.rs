//! What the first look of one answer leaves for the next: none of it hangs on
//! what was read.

use super::super::evidence::{Observation, Sign};
use super::given::{Given, Weak};
use super::pair::Pair;
use crate::network::Solution;
use crate::vehicle::{PartId, PointId, State};
use std::rc::Rc;

/// What is kept.
#[derive(Default)]
pub(in crate::belief) struct Kept {
    asked: Option<Asked>,
    holds: Option<Vec<Weak>>,
    solutions: Vec<(State, Given, Option<Rc<Solution>>)>,
    explaining: Option<(Joinable, Rc<[Pair]>)>,
}

/// The state that paths are looked for in, and what is complained of there.
#[derive(PartialEq)]
struct Asked {
    state: State,
    complaint: Option<(PartId, Sign)>,
}

/// Which points paths may join, and where to count from.
#[derive(PartialEq)]
pub(super) struct Joinable {
    pub ends: Rc<[PointId]>,
    pub givens: Vec<Given>,
}

impl Kept {
    /// Drops what says nothing of this complaint.
    pub(super) fn turn_to(&mut self, state: &State, complaint: Option<&Observation>) {
        let asked = Asked { state: state.clone(), complaint: complaint.map(|seen| (seen.subject, seen.sign)) };
        if self.asked.as_ref() != Some(&asked) {
            *self = Self { asked: Some(asked), ..Self::default() };
        }
    }

    /// What a path may hold on another piece of its law.
    pub(super) fn holds(&mut self, work_out: impl FnOnce() -> Vec<Weak>) -> Vec<Weak> {
        self.holds.get_or_insert_with(work_out).clone()
    }

    /// A state solved with what a path has done, if there it can be solved.
    pub(super) fn solution(
        &mut self,
        state: &State,
        given: &Given,
        solve: impl FnOnce() -> Option<Rc<Solution>>,
    ) -> Option<Rc<Solution>> {
        let known = self.solutions.iter().find(|(known, then, _)| then == given && known == state);
        if let Some((.., known)) = known {
            return known.clone();
        }
        let solution = solve();
        self.solutions.push((state.clone(), given.clone(), solution.clone()));
        solution
    }

    /// Drops the solutions that none of these is.
    pub(super) fn keep_solutions<'f>(&mut self, used: impl Iterator<Item = &'f Rc<Solution>> + Clone) {
        let is_used = |solution: &Rc<Solution>| used.clone().any(|used| Rc::ptr_eq(used, solution));
        self.solutions.retain(|(.., solution)| solution.as_ref().is_none_or(is_used));
    }

    /// The pairs of points between which a path might be what is complained of.
    pub(super) fn explaining(&mut self, joinable: Joinable, work_out: impl FnOnce() -> Vec<Pair>) -> Rc<[Pair]> {
        match &self.explaining {
            Some((known, pairs)) if *known == joinable => Rc::clone(pairs),
            _ => {
                let pairs: Rc<[Pair]> = work_out().into();
                self.explaining = Some((joinable, Rc::clone(&pairs)));
                pairs
            }
        }
    }
}
