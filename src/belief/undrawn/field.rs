//! A solved state as a path between two points meets it.

use crate::network::Solution;
use crate::vehicle::PointId;
use std::rc::Rc;

/// A solved state.
pub(super) struct SolvedField {
    pub solution: Rc<Solution>,
}

/// Two points that a path may join.
#[derive(Clone, Copy)]
pub(super) struct PathPort {
    /// Volts between them.
    pub drive: f64,
    /// Resistance between them, Ω.
    pub own: f64,
}

/// A point with all that a path may lead to from there.
pub(super) struct Spans<'f> {
    field: &'f SolvedField,
    volts: f64,
    own: f64,
    /// Volts that one ampere into it makes at every point, Ω.
    push: Rc<[f64]>,
}

impl SolvedField {
    pub fn spans(&self, from: PointId) -> Spans<'_> {
        let from = from.index();
        let push = self.solution.column(from);
        Spans { field: self, volts: self.solution.volts(from), own: push[from], push }
    }
}

impl Spans<'_> {
    pub fn to(&self, to: PointId) -> PathPort {
        let (solution, to) = (&self.field.solution, to.index());
        let own = self.own + solution.own_resistance(to) - 2.0 * self.push[to];
        PathPort { drive: self.volts - solution.volts(to), own }
    }
}
