//! A solved state as a path between two points meets it.

use crate::network::Solution;
use crate::vehicle::PointId;
use std::cell::Cell;
use std::rc::Rc;

/// A solved state.
pub(super) struct Field {
    pub solution: Rc<Solution>,
    /// Volts that one ampere into a point makes there, Ω; no number until it is
    /// asked for.
    own: Box<[Cell<f64>]>,
}

/// Two points that a path may join.
#[derive(Clone, Copy)]
pub(super) struct Span {
    /// Volts between them.
    pub drive: f64,
    /// Resistance between them, Ω.
    pub own: f64,
}

/// A point with all that a path may lead to from there.
pub(super) struct Spans<'f> {
    field: &'f Field,
    volts: f64,
    own: f64,
    /// Volts that one ampere into it makes at every point, Ω.
    push: Rc<[f64]>,
}

impl Field {
    pub fn new(solution: Rc<Solution>) -> Self {
        let own = vec![Cell::new(f64::NAN); solution.network().points];
        Self { solution, own: own.into_boxed_slice() }
    }

    fn own(&self, point: usize) -> f64 {
        if self.own[point].get().is_nan() {
            self.own[point].set(self.solution.column(point)[point]);
        }
        self.own[point].get()
    }

    pub fn spans(&self, from: PointId) -> Spans<'_> {
        let from = from.index();
        let push = self.solution.column(from);
        Spans { field: self, volts: self.solution.volts(from), own: push[from], push }
    }
}

impl Spans<'_> {
    pub fn to(&self, to: PointId) -> Span {
        let to = to.index();
        Span {
            drive: self.volts - self.field.solution.volts(to),
            own: self.own + self.field.own(to) - 2.0 * self.push[to],
        }
    }
}
