//! The states that a record uses, each solved once.

use crate::network::SolveError;
use crate::predict::{Predictor, StateModel};
use crate::vehicle::State;
use std::ops::Index;
use std::rc::Rc;

/// The states that were used: few, and asked for so often that telling them
/// apart is cheaper than a hash of all their controls.
#[derive(Default)]
pub(super) struct Models<'e>(Vec<(&'e State, Rc<StateModel>)>);

impl<'e> Models<'e> {
    /// # Errors
    /// [`SolveError`] if a state has no solution.
    pub fn of(predictor: &Predictor, states: impl Iterator<Item = &'e State>) -> Result<Self, SolveError> {
        let mut models = Self::default();
        for state in states {
            if models.find(state).is_none() {
                models.0.push((state, predictor.in_state(state)?));
            }
        }
        Ok(models)
    }

    fn find(&self, state: &State) -> Option<&Rc<StateModel>> {
        let is_it = |known: &State| std::ptr::eq(known, state) || known == state;
        self.0.iter().find(|(known, _)| is_it(known)).map(|(_, model)| model)
    }

    /// Each state with its model.
    pub fn iter(&self) -> impl Iterator<Item = (&State, &Rc<StateModel>)> {
        self.0.iter().map(|(state, model)| (*state, model))
    }
}

impl Index<&State> for Models<'_> {
    type Output = Rc<StateModel>;

    fn index(&self, state: &State) -> &Rc<StateModel> {
        self.find(state).expect("a state of the evidence")
    }
}
