//! Memo of the first look: none of it hangs on what was read.

use super::super::evidence::Sign;
use super::given::{Given, Weak};
use super::pair::PointPair;
use crate::memo::Memo;
use crate::network::Solution;
use crate::tables::memory::Memory;
use crate::vehicle::{PartId, PointId, State};
use std::rc::Rc;

/// What a first look has worked out.
pub(in crate::belief) struct UndrawnMemo {
    /// What a path may hold on another piece of its law.
    pub(super) holds: Memo<Asked, Rc<[Weak]>>,
    /// States solved with what a path has done, if there they can be solved.
    pub(super) solutions: Memo<(State, Given), Option<Rc<Solution>>>,
    /// The pairs of points between which a path might be what is complained of.
    pub(super) explaining: Memo<Joinable, Rc<[PointPair]>>,
}

/// The state that paths are looked for in, and what is complained of there.
#[derive(Clone, PartialEq, Eq, Hash)]
pub(super) struct Asked {
    pub state: State,
    pub complaint: Option<(PartId, Sign)>,
}

/// Which points paths may join, and where to count from.
#[derive(PartialEq, Eq, Hash)]
pub(super) struct Joinable {
    pub asked: Asked,
    pub ends: Rc<[PointId]>,
    pub givens: Vec<Given>,
}

impl UndrawnMemo {
    pub fn new(memory: &Memory) -> Self {
        Self {
            holds: Memo::new(memory.undrawn_states),
            solutions: Memo::new(memory.undrawn_states),
            explaining: Memo::new(memory.undrawn_pairs),
        }
    }
}
