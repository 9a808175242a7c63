//! What a meter shows between two points, and how it moves with everything
//! that is uncertain.
//!
//! To first order ∂V(p,q)/∂ln R_j = (z_j(p) − z_j(q))·i_j under the hypothesis
//! at hand, so readings share their uncertainty: all sag when the battery is
//! low. The last loading belongs to the size of the fault itself.

use super::theta::{Theta, Uncertain};
use super::{Hypothesis, StateModel};
use crate::fault::Mode;
use crate::meter::MeterKind;
use crate::network::{Altered, Between, Settling, Transfer};
use crate::quantity::Volts;
use crate::vehicle::{PartId, PointId, Vehicle};
use std::rc::Rc;

/// Spread of what a meter shows on a point that hangs in the air, V: stray
/// charge and damp; common practice, no source.
const FLOATING_DEVIATION: f64 = 0.15;
/// Noise of a probe contact, V.
const PROBE_DEVIATION: f64 = 3e-4;
/// How far a 12 V supply wanders between readings, V.
const WANDER: f64 = 0.015;
/// Spread of readings while something chatters, as a share of nominal voltage.
const CHATTER: f64 = 0.4;
/// Share of a deviation that first order misses, for a fault of unknown size.
const CURVATURE: f64 = 0.01;

/// A reading before it is taken.
#[derive(Debug, Clone, PartialEq)]
pub struct Shown {
    /// Expected value, V.
    pub mean: f64,
    /// Whether a probe is on a point that hangs in the air.
    pub floating: bool,
    /// Standard deviation from each uncertain quantity, V with sign, in
    /// [`Theta`] order; last the size of the fault.
    pub loadings: Vec<f64>,
    /// Variance of its own, V².
    pub own_variance: f64,
}

impl Shown {
    /// Variance of the reading alone, V².
    pub fn variance(&self) -> f64 {
        self.own_variance + self.loadings.iter().map(|loading| loading * loading).sum::<f64>()
    }

    /// Covariance with another reading, V².
    pub fn covariance(&self, other: &Self) -> f64 {
        self.loadings.iter().zip(&other.loadings).map(|(a, b)| a * b).sum()
    }
}

/// A state under one hypothesis, ready to be read many times.
pub struct View<'a> {
    vehicle: &'a Vehicle,
    model: &'a StateModel,
    hypothesis: &'a Hypothesis,
    altered: Rc<Altered>,
}

impl StateModel {
    /// This state under a hypothesis.
    pub fn view<'a>(&'a self, vehicle: &'a Vehicle, hypothesis: &'a Hypothesis) -> View<'a> {
        View { vehicle, model: self, hypothesis, altered: self.under(vehicle, hypothesis) }
    }
}

impl View<'_> {
    /// Voltage between two points, without the meter; 0 where one hangs in the air.
    pub fn volts(&self, red: PointId, black: PointId) -> f64 {
        match self.altered.between(red.index(), black.index()) {
            Between::Volts(volts) => volts.0,
            Between::Floating => 0.0,
        }
    }

    /// What `meter` shows between two points; `step` is the last digit that
    /// will be read off, at least.
    pub fn shown(&self, red: PointId, black: PointId, meter: MeterKind, step: Volts, theta: &Theta) -> Shown {
        let volts = match self.altered.between(red.index(), black.index()) {
            Between::Volts(volts) => volts,
            Between::Floating => {
                return Shown {
                    mean: 0.0,
                    floating: true,
                    loadings: vec![0.0; theta.entries().len() + 1],
                    own_variance: FLOATING_DEVIATION * FLOATING_DEVIATION,
                };
            }
        };
        let transfer = self.altered.transfer(red.index(), black.index());
        let sheet = meter.meter();
        let mean = volts * sheet.loading(transfer.resistance());
        let rig =
            Rig { vehicle: self.vehicle, hypothesis: self.hypothesis, altered: &self.altered, transfer: &transfer };
        let mut wander = 0.0;
        let mut loadings: Vec<f64> = theta
            .entries()
            .iter()
            .map(|&(uncertain, deviation)| match uncertain {
                Uncertain::Resistance(part) => deviation * rig.resistance_loading(part),
                Uncertain::SupplyVoltage(part) => {
                    let share = rig.supply_loading(part);
                    wander += (share * WANDER * self.vehicle.nominal.0 / 12.0).powi(2);
                    deviation * share
                }
                Uncertain::Gain(kind) if kind == meter => deviation * mean.0,
                Uncertain::Offset(kind) if kind == meter => sheet.offset_deviation(mean).0,
                Uncertain::Gain(_) | Uncertain::Offset(_) => 0.0,
            })
            .collect();
        loadings.push(rig.size_loading());
        let step = step.0.max(sheet.step(mean).0);
        let deviation = match (self.model.solution.between(red.index(), black.index()), self.hypothesis) {
            (Between::Volts(sound), Hypothesis::Faulty { size: Some(_), .. }) => mean.0 - sound.0,
            _ => 0.0,
        };
        // A state that chatters shows anything between its phases.
        let chatter = match self.altered.settling() {
            Settling::Settled => 0.0,
            Settling::Restless => CHATTER * self.vehicle.nominal.0,
        };
        let own_variance =
            step * step / 12.0 + PROBE_DEVIATION.powi(2) + wander + (CURVATURE * deviation).powi(2) + chatter * chatter;
        Shown { mean: mean.0, floating: false, loadings, own_variance }
    }
}

struct Rig<'a> {
    vehicle: &'a Vehicle,
    hypothesis: &'a Hypothesis,
    altered: &'a Altered,
    transfer: &'a Transfer<'a>,
}

impl Rig<'_> {
    fn transfer_across(&self, part: PartId) -> f64 {
        let part = self.vehicle.part(part);
        self.transfer.to(part.from.index(), part.to.index())
    }

    /// Share of the part's present resistance that is the fault's.
    fn fault_share(&self, part: PartId) -> f64 {
        match self.hypothesis {
            Hypothesis::Faulty { fault, size: Some(size) } if fault.part == part && fault.mode == Mode::Resistive => {
                size.value / (size.value + self.vehicle.part(part).resistance.value.0)
            }
            Hypothesis::Faulty { fault, .. } if fault.part == part && fault.mode != Mode::Leak => 1.0,
            _ => 0.0,
        }
    }

    fn resistance_loading(&self, part: PartId) -> f64 {
        let healthy_share = 1.0 - self.fault_share(part);
        if healthy_share == 0.0 {
            return 0.0;
        }
        healthy_share * self.transfer_across(part) * self.altered.current(part.index()).0
    }

    /// ∂V/∂(supply voltage): the share of a supply's change that is seen here.
    fn supply_loading(&self, part: PartId) -> f64 {
        let conductance = self.altered.source_conductance(part.index());
        if conductance == 0.0 { 0.0 } else { -conductance * self.transfer_across(part) }
    }

    fn size_loading(&self) -> f64 {
        let Hypothesis::Faulty { fault, size: Some(size) } = self.hypothesis else { return 0.0 };
        let part = self.vehicle.part(fault.part);
        let per_log = match fault.mode {
            Mode::Resistive => {
                self.fault_share(fault.part)
                    * self.transfer_across(fault.part)
                    * self.altered.current(fault.part.index()).0
            }
            Mode::LowVoltage => -size.value * self.supply_loading(fault.part),
            Mode::Leak => match self.vehicle.chassis {
                Some(body) => {
                    let (from, to) = (part.to.index(), body.index());
                    let volts = match self.altered.between(from, to) {
                        Between::Volts(volts) => volts.0,
                        Between::Floating => 0.0,
                    };
                    self.transfer.to(from, to) * volts / size.value
                }
                None => 0.0,
            },
            Mode::Open | Mode::StuckClosed | Mode::Shorted => 0.0,
        };
        size.width * per_log
    }
}
