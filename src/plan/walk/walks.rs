//! Memo of walks: they follow from the vehicle alone.

use super::leg::Scope;
use super::route::wanted;
use crate::memo::Memo;
use crate::network::SolveError;
use crate::predict::{Predictor, Probe};
use crate::tables::Tables;
use crate::vehicle::State;
use std::rc::Rc;

/// Readings of a walk, with how everything stands for each.
pub type WalkReadings = Rc<[(State, Probe)]>;

/// The walks of one vehicle.
pub struct Walks(Memo<Scope, WalkReadings>);

impl Walks {
    /// None asked for yet.
    pub fn new(tables: &Tables) -> Self {
        Self(Memo::new(tables.memory.walks))
    }

    /// The readings of a walk.
    ///
    /// # Errors
    /// [`SolveError`] if a state that it needs has no solution.
    pub fn of(&self, predictor: &Predictor, scope: Scope) -> Result<WalkReadings, SolveError> {
        self.0.get_or_try(scope, || wanted(predictor, scope).map(Rc::from))
    }
}
