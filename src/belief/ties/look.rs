//! A voltage that may be read in a solved state, and what one more path would
//! make of it if no law changed its piece.

use crate::fault::Size;
use crate::network::Solution;
use crate::quantity::Ohms;
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
        let transfer = solution.column(red).iter().zip(&*solution.column(black)).map(|(a, b)| a - b).collect();
        Self { sound: solution.volts(red) - solution.volts(black), transfer, value, solution }
    }

    /// What a path between two points has to do with it.
    pub fn span(&self, from: PointId, to: PointId) -> Span {
        let (from, to) = (from.index(), to.index());
        let (up, down) = (self.solution.column(from), self.solution.column(to));
        Span {
            sound: self.sound,
            own: up[from] + down[to] - 2.0 * up[to],
            drive: self.solution.volts(from) - self.solution.volts(to),
            transfer: self.transfer[from] - self.transfer[to],
        }
    }

    /// How well the reading is met: a law that changes its piece or a misread
    /// must not rule a path out.
    pub fn fit(&self, volts: f64) -> f64 {
        -((volts - self.value) / allowance(volts)).powi(2).ln_1p()
    }
}

/// A voltage, and two points that a path may join.
pub(super) struct Span {
    sound: f64,
    /// Resistance between the points, Ω.
    own: f64,
    /// Volts between them.
    drive: f64,
    /// Volts that an ampere along the path takes away, Ω.
    pub transfer: f64,
}

impl Span {
    /// The voltage with one more path, if no law changed its piece.
    pub fn volts_with(&self, size: Size) -> f64 {
        self.sound - self.drive / (self.own + size.value) * self.transfer
    }

    /// The resistance of a path that makes the voltage a value.
    pub fn size_told(&self, value: f64) -> Option<Ohms> {
        let amps = (self.sound - value) / self.transfer;
        let ohms = self.drive / amps - self.own;
        (ohms.is_finite() && ohms > 0.0).then_some(Ohms(ohms))
    }
}

pub(super) fn allowance(volts: f64) -> f64 {
    ALLOWANCE.0 + ALLOWANCE.1 * volts.abs()
}
