//! A voltage in a solved state, what one more path would make of it if no law
//! changed its piece, and how that fits what was read.

use super::field::PathPort;
use crate::network::Solution;
use crate::tables::belief::Weighing;
use crate::vehicle::PointId;

/// A voltage in a solved state.
pub(super) struct VoltageTransfer {
    pub sound: f64,
    /// Volts that one ampere into each point makes of it.
    transfer: Vec<f64>,
}

impl VoltageTransfer {
    pub fn new(solution: &Solution, red: PointId, black: PointId) -> Self {
        let (red, black) = (red.index(), black.index());
        let transfer = solution.column(red).iter().zip(&*solution.column(black)).map(|(a, b)| a - b).collect();
        Self { sound: solution.volts(red) - solution.volts(black), transfer }
    }

    /// Volts that an ampere along a path takes away, Ω.
    pub fn transfer(&self, from: PointId, to: PointId) -> f64 {
        self.transfer[from.index()] - self.transfer[to.index()]
    }
}

/// A voltage that was read, as often as it was.
pub(super) struct Read {
    /// From where to where.
    pub ends: (PointId, PointId),
    pub look: VoltageTransfer,
    /// What was read, the newest last.
    pub values: Vec<f64>,
    /// Which field it was read in.
    pub field: usize,
}

impl Read {
    /// What a path would have it show.
    pub fn volts_with(&self, span: PathPort, transfer: f64, ohms: f64) -> f64 {
        self.look.sound - span.drive / (span.own + ohms) * transfer
    }

    /// How badly it is met, one at best: a law that changes its piece or a
    /// misread must not rule a path out, so that they multiply like odds.
    pub fn misfit(&self, figures: &Weighing, volts: f64) -> f64 {
        let allowed = allowance(figures, volts);
        let of_each = self.values.iter().map(|value| {
            let off = (volts - value) / allowed;
            1.0 + off * off
        });
        of_each.product()
    }

    /// The resistance of a path that has it show what it did, Ω.
    pub fn size_told(&self, span: PathPort, transfer: f64) -> Option<f64> {
        let amps = (self.look.sound - self.values.last()?) / transfer;
        let ohms = span.drive / amps - span.own;
        (ohms.is_finite() && ohms > 0.0).then_some(ohms)
    }
}

/// Spread that the first look allows a voltage, V.
pub(super) fn allowance(figures: &Weighing, volts: f64) -> f64 {
    figures.allowance[0] + figures.allowance[1] * volts.abs()
}
