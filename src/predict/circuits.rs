//! Memo of circuits: what a vehicle comes to in each state under each
//! explanation asked for.

use super::cut_out::Tripped;
use super::hypothesis::{HypothesisKey, Phase};
use super::spread::Spread;
use super::uncertainties::Quantities;
use crate::memo::{Memo, MemoUnder};
use crate::network::{Altered, IdleDiodes};
use crate::tables::memory::Memory;
use std::rc::Rc;

/// A state, by a number that no other has.
pub(super) type StateNumber = usize;

/// What tells the views of one state apart.
pub(super) type ViewName = (HypothesisKey, Phase);

/// The circuits of one vehicle.
pub(super) struct Circuits {
    pub altered: Memo<(StateNumber, HypothesisKey), Rc<Altered>>,
    /// Of those where something trips.
    pub tripped: Memo<(StateNumber, HypothesisKey), Rc<Tripped>>,
    /// Of those with diodes, which of them carry nothing.
    pub idle: Memo<(StateNumber, ViewName), Option<Rc<IdleDiodes>>>,
    /// Each answer asks for those of the one before, as long as the same
    /// quantities matter.
    pub spreads: MemoUnder<Quantities, (StateNumber, ViewName), Rc<Spread>>,
}

impl Circuits {
    pub fn new(memory: &Memory) -> Self {
        Self {
            altered: Memo::new(memory.circuits),
            tripped: Memo::new(memory.circuits),
            idle: Memo::new(memory.circuits),
            spreads: MemoUnder::new(memory.spreads),
        }
    }
}
