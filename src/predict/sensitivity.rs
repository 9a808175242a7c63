//! Sensitivity of what is read to resistances and to the size of the fault, to
//! first order.
//!
//! With z(r) the voltage between the leads per ampere injected through part r
//! (transfer resistance) and i_r its current, ∂V/∂ln R_r = z(r) i_r. The
//! resistance between the leads is the transfer resistance to themselves, and
//! ∂Z/∂ln R_r = g_r z(r)², g_r the part's conductance. A path of size R between
//! two points at V moves the voltage by z V / R per unit of ln R.

use super::hypothesis::Hypothesis;
use super::prediction::SIZES;
use crate::fault::{FailureMode, Fault, Size, concerns, far_end, ways};
use crate::network::{Altered, Between, Transfer};
use crate::vehicle::{PartId, PointId, State, Vehicle};

/// Share of a part's present resistance that is its fault's.
pub(super) fn fault_share(vehicle: &Vehicle, hypothesis: &Hypothesis, altered: &Altered, part: PartId) -> f64 {
    let share = |(fault, size): (Fault, Option<Size>)| match (fault.mode, size) {
        // Of all that is in series there, which for a battery on charge is more
        // than its own.
        (FailureMode::HighResistance | FailureMode::CommonCause, Some(size)) => match altered.slope(part.index()) {
            conductance if conductance > 0.0 => size.value * conductance,
            _ => size.value / (size.value + vehicle.part(part).resistance.value.0),
        },
        // More or less of the healthy resistance: its spread stays.
        (
            FailureMode::ShortToGround
            | FailureMode::ShortBetweenCircuits
            | FailureMode::Leakage
            | FailureMode::HighDraw
            | FailureMode::LowDraw
            | FailureMode::Undersized,
            _,
        ) => 0.0,
        (FailureMode::HighResistance | FailureMode::CommonCause, None) => 1.0,
        (
            FailureMode::OpenCircuit
            | FailureMode::ContactWelded
            | FailureMode::ShortAcross
            | FailureMode::LowVoltage
            | FailureMode::StaysAwake
            | FailureMode::WrongTerminal
            | FailureMode::WrongRating
            | FailureMode::Crossed
            | FailureMode::Stuck
            | FailureMode::ReadsOff
            | FailureMode::WrongScale
            | FailureMode::Drifts,
            _,
        ) => 1.0,
    };
    hypothesis.faults().filter(|(fault, _)| concerns(vehicle, *fault, part)).map(share).fold(0.0, f64::max)
}

/// A circuit under a hypothesis, seen from two points.
pub(super) struct Sensitivity<'a> {
    pub vehicle: &'a Vehicle,
    pub state: &'a State,
    pub hypothesis: &'a Hypothesis,
    pub altered: &'a Altered,
    pub transfer: &'a Transfer,
}

impl Sensitivity<'_> {
    fn transfer_across(&self, part: PartId) -> f64 {
        let part = self.vehicle.part(part);
        self.transfer.to(part.from.index(), part.to.index())
    }

    pub fn fault_share(&self, part: PartId) -> f64 {
        fault_share(self.vehicle, self.hypothesis, self.altered, part)
    }

    pub fn healthy_share(&self, part: PartId) -> f64 {
        1.0 - self.fault_share(part)
    }

    /// ∂V/∂(supply voltage): the share of a supply's change that is seen here.
    fn supply_loading(&self, part: PartId) -> f64 {
        let conductance = self.altered.source_conductance(part.index());
        if conductance == 0.0 { 0.0 } else { -conductance * self.transfer_across(part) }
    }

    /// ∂(resistance between the leads)/∂ln(resistance of a part), Ω.
    pub fn share_of_resistance(&self, part: PartId) -> f64 {
        let slope = self.altered.slope(part.index());
        slope * self.transfer_across(part).powi(2)
    }

    /// For each fault, what one deviation of ln(size) does to the voltage and
    /// to the resistance behind it.
    pub fn size_loadings(&self) -> [(f64, f64); SIZES] {
        if let Hypothesis::UndrawnPath { from, to, size, .. } = *self.hypothesis {
            return [self.path_loading(from, to, size), (0.0, 0.0)];
        }
        let mut faults = self.hypothesis.faults();
        std::array::from_fn(|_| match faults.next() {
            Some((fault, Some(size))) => self.size_loading(fault, size),
            _ => (0.0, 0.0),
        })
    }

    fn size_loading(&self, fault: Fault, size: Size) -> (f64, f64) {
        let part = self.vehicle.part(fault.part);
        let at = |part: PartId, share: f64| {
            let transfer = self.transfer_across(part);
            let swing = share * self.share_of_resistance(part);
            (size.width * share * transfer * self.altered.current(part.index()).0, size.width * swing)
        };
        let at_part = |share: f64| at(fault.part, share);
        let end = |part: PartId| far_end(self.vehicle, self.state, part);
        let beside = |far: PointId| self.path_loading(end(fault.part), far, size);
        match fault.mode {
            FailureMode::HighResistance => at_part(self.fault_share(fault.part)),
            FailureMode::CommonCause => ways(self.vehicle, fault)
                .map(|way| at(way, self.fault_share(way)))
                .fold((0.0, 0.0), |sum, one| (sum.0 + one.0, sum.1 + one.1)),
            FailureMode::Undersized => at_part(1.0),
            // Twice the current is half the resistance.
            FailureMode::HighDraw | FailureMode::LowDraw => at_part(-1.0),
            FailureMode::LowVoltage => (-size.width * size.value * self.supply_loading(fault.part), 0.0),
            FailureMode::ShortToGround => self.vehicle.chassis.map_or((0.0, 0.0), beside),
            FailureMode::Leakage => self.path_loading(part.from, part.to, size),
            FailureMode::ShortBetweenCircuits => fault.other.map_or((0.0, 0.0), |other| beside(end(other))),
            FailureMode::OpenCircuit
            | FailureMode::ContactWelded
            | FailureMode::ShortAcross
            | FailureMode::StaysAwake
            | FailureMode::WrongTerminal
            | FailureMode::WrongRating
            | FailureMode::Crossed
            | FailureMode::Stuck
            | FailureMode::ReadsOff
            | FailureMode::WrongScale
            | FailureMode::Drifts => (0.0, 0.0),
        }
    }

    /// For each fault, what one deviation of ln(size) does to the current of a
    /// part at the same voltage across it: nothing where it is elsewhere.
    pub fn own_size_loadings(&self, part: PartId) -> [f64; SIZES] {
        let mut faults = self.hypothesis.faults();
        std::array::from_fn(|_| match faults.next() {
            Some((fault, Some(size))) if concerns(self.vehicle, fault, part) => {
                size.width * self.own_size_loading(fault, size, part)
            }
            _ => 0.0,
        })
    }

    /// ∂i/∂ln(size) of a part that is at fault, its voltage held.
    fn own_size_loading(&self, fault: Fault, size: Size, part: PartId) -> f64 {
        let amps = self.altered.current(part.index()).0;
        match fault.mode {
            FailureMode::HighResistance | FailureMode::CommonCause => -self.fault_share(part) * amps,
            FailureMode::Undersized => -amps,
            FailureMode::HighDraw | FailureMode::LowDraw => amps,
            FailureMode::LowVoltage => -size.value * self.altered.source_conductance(part.index()),
            // What it adds is a path of its own, or has no size.
            FailureMode::ShortToGround
            | FailureMode::ShortBetweenCircuits
            | FailureMode::Leakage
            | FailureMode::OpenCircuit
            | FailureMode::ContactWelded
            | FailureMode::ShortAcross
            | FailureMode::StaysAwake
            | FailureMode::WrongTerminal
            | FailureMode::WrongRating
            | FailureMode::Crossed
            | FailureMode::Stuck
            | FailureMode::ReadsOff
            | FailureMode::WrongScale
            | FailureMode::Drifts => 0.0,
        }
    }

    /// The same for a path beside the drawn ones.
    fn path_loading(&self, from: PointId, to: PointId, size: Size) -> (f64, f64) {
        let (from, to) = (from.index(), to.index());
        let volts = match self.altered.between(from, to) {
            Between::Volts(volts) => volts.0,
            Between::Floating => 0.0,
        };
        let transfer = self.transfer.to(from, to);
        (size.width * transfer * volts / size.value, size.width * transfer * transfer / size.value)
    }
}
