//! Memo of walks: they follow from the vehicle alone.

use crate::network::SolveError;
use crate::plan::walk::{Scope, wanted};
use crate::predict::{Predictor, Probe};
use crate::vehicle::State;
use std::cell::RefCell;
use std::rc::Rc;

/// Readings of a walk, with how everything stands for each.
pub type WalkReadings = Rc<Vec<(State, Probe)>>;

/// Walks worked out so far.
#[derive(Default)]
pub struct WalkMemo(RefCell<Vec<(Scope, WalkReadings)>>);

impl WalkMemo {
    /// The readings of a walk, worked out once.
    ///
    /// # Errors
    /// [`SolveError`] if a state that it needs has no solution.
    pub fn of(&self, predictor: &Predictor, scope: Scope) -> Result<WalkReadings, SolveError> {
        let known = self.0.borrow().iter().find(|(known, _)| *known == scope).map(|(_, walk)| Rc::clone(walk));
        if let Some(known) = known {
            return Ok(known);
        }
        let found = Rc::new(wanted(predictor, scope)?);
        self.0.borrow_mut().push((scope, Rc::clone(&found)));
        Ok(found)
    }
}
