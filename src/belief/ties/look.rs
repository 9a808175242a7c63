//! A voltage with one more path, if no law changed its piece.

use crate::fault::Size;
use crate::network::Solution;
use crate::quantity::{Ohms, Volts};
use crate::vehicle::PointId;
use std::rc::Rc;

/// Spread that the first look allows a reading: V, and a share of it.
pub(super) const ALLOWANCE: (f64, f64) = (0.02, 0.02);

/// A path that may be there.
#[derive(Clone, Copy)]
pub(super) struct Path {
    pub from: PointId,
    pub to: PointId,
    pub size: Size,
}

impl Path {
    pub fn key(self) -> (PointId, PointId, u64) {
        (self.from, self.to, self.size.value.to_bits())
    }
}

/// A voltage that may be read in a solved state.
pub(super) struct Look {
    pub solution: Rc<Solution>,
    pub sound: f64,
    /// Volts that one ampere into each point makes of it.
    pub transfer: Vec<f64>,
    pub value: f64,
}

impl Look {
    pub fn new(solution: Rc<Solution>, red: PointId, black: PointId, value: f64) -> Self {
        let (red, black) = (red.index(), black.index());
        let transfer = solution.column(red).iter().zip(solution.column(black)).map(|(a, b)| a - b).collect();
        Self { sound: solution.volts(red) - solution.volts(black), transfer, value, solution }
    }

    /// The voltage with one more path, if no law changed its piece.
    pub fn volts_with(&self, path: Path) -> f64 {
        let amps = self.driven(path.from, path.to).0 / (self.own(path.from, path.to).0 + path.size.value);
        self.sound - amps * self.per_ampere(path.from, path.to)
    }

    /// What drives a current from one point to the other.
    pub fn driven(&self, from: PointId, to: PointId) -> Volts {
        Volts(self.solution.volts(from.index()) - self.solution.volts(to.index()))
    }

    /// The resistance between two points.
    pub fn own(&self, from: PointId, to: PointId) -> Ohms {
        let (from, to) = (from.index(), to.index());
        let (up, down) = (self.solution.column(from), self.solution.column(to));
        Ohms(up[from] + down[to] - 2.0 * up[to])
    }

    /// What an ampere from one point to the other takes from this reading, Ω.
    pub fn per_ampere(&self, from: PointId, to: PointId) -> f64 {
        self.transfer[from.index()] - self.transfer[to.index()]
    }

    /// The resistance of a path that makes this reading what it is.
    pub fn size_told(&self, from: PointId, to: PointId) -> Option<Ohms> {
        let amps = (self.sound - self.value) / self.per_ampere(from, to);
        let ohms = self.driven(from, to).0 / amps - self.own(from, to).0;
        (ohms.is_finite() && ohms > 0.0).then_some(Ohms(ohms))
    }

    /// How well the reading is met: a law that changes its piece or a misread
    /// must not rule a path out.
    pub fn fit(&self, path: Path) -> f64 {
        let volts = self.volts_with(path);
        -((volts - self.value) / allowance(volts)).powi(2).ln_1p()
    }
}

pub(super) fn allowance(volts: f64) -> f64 {
    ALLOWANCE.0 + ALLOWANCE.1 * volts.abs()
}
