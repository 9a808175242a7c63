//! How a part has failed, as far as is known: in which way, how big, and what
//! that does in the present state.

use super::estimate::{Estimate, quantile};
use super::posterior::Belief;
use super::site::Site;
use crate::fault::{FailureMode, Fault, Size};
use crate::predict::{Hypothesis, StateModel};
use crate::quantity::{Ohms, Volts, Watts};
use crate::tables::belief::Weighing;
use crate::vehicle::{PartId, Vehicle};

/// Numerical: deviation of a size that is known for certain.
const LEAST_WIDTH: f64 = 1e-9;

/// How a part has failed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Failure {
    /// Which.
    pub part: PartId,
    /// The likeliest way.
    pub mode: FailureMode,
    /// How big, where that way has a size.
    pub size: Option<Estimate<f64>>,
    /// Volts dropped there in the present state.
    pub dropped: Option<Estimate<Volts>>,
    /// Heat made there in the present state.
    pub heat: Option<Estimate<Watts>>,
}

impl Failure {
    /// Of which no size is known.
    pub fn of(part: PartId, mode: FailureMode) -> Self {
        Self { part, mode, size: None, dropped: None, heat: None }
    }

    /// The added resistance, where that is the fault.
    pub fn ohms(&self) -> Option<Estimate<Ohms>> {
        let size =
            self.size.filter(|_| matches!(self.mode, FailureMode::HighResistance | FailureMode::ShortToGround))?;
        Some(Estimate { low: Ohms(size.low), middle: Ohms(size.middle), high: Ohms(size.high) })
    }

    /// How many times its own current a load draws, where that is the fault.
    pub fn times(&self) -> Option<Estimate<f64>> {
        self.size.filter(|_| self.mode.is_of_draw())
    }
}

impl Belief {
    /// The likeliest way to fail of each part at a site; none where no part is
    /// at fault. A short elsewhere shows at a fuse as an open fuse.
    pub fn modes_at(&self, site: Site) -> Vec<(PartId, FailureMode)> {
        let mut ways: Vec<(Vec<(PartId, FailureMode)>, f64)> = Vec::new();
        for explanation in self.explanations.iter().filter(|explanation| explanation.site == site) {
            let how = |part: PartId| {
                let mut faults = explanation.hypothesis.faults().map(|(fault, _)| fault);
                let is_of =
                    |fault: &Fault| fault.part == part || (fault.mode == FailureMode::Crossed && fault.involves(part));
                (part, faults.find(is_of).map_or(FailureMode::OpenCircuit, |fault| fault.mode))
            };
            let way: Vec<(PartId, FailureMode)> = site.parts().map(how).collect();
            match ways.iter_mut().find(|(known, _)| *known == way) {
                Some((_, probability)) => *probability += explanation.probability,
                None => ways.push((way, explanation.probability.value())),
            }
        }
        ways.into_iter().max_by(|a, b| a.1.total_cmp(&b.1)).map_or(Vec::new(), |(way, _)| way)
    }

    /// How what is at a site has failed, in the order in which to repair it;
    /// of one part, as big as it is in any of `alike`.
    pub(super) fn failures(
        &self,
        figures: &Weighing,
        vehicle: &Vehicle,
        model: &StateModel,
        site: Site,
        alike: &[(PartId, f64)],
    ) -> Vec<Failure> {
        let mut modes = self.modes_at(site);
        modes.sort_by_key(|&(part, mode)| turn(vehicle, part, mode));
        let is_pair = modes.len() > 1;
        let failure = |(part, mode): (PartId, FailureMode)| {
            let size = match is_pair {
                _ if mode.is_of_display() => self.misshown(vehicle, model, site, (part, mode)),
                true => self.size_in_pair(site, part, mode),
                false => self.size_of(alike, mode),
            };
            match size {
                Some(size) if mode == FailureMode::HighResistance && !is_pair => {
                    let (dropped, heat) = effect(figures.least_drop, vehicle, model, part, size);
                    Failure { part, mode, size: Some(size), dropped, heat }
                }
                size => Failure { size, ..Failure::of(part, mode) },
            }
        };
        modes.into_iter().map(failure).collect()
    }

    /// How big the fault of one of two parts is.
    fn size_in_pair(&self, site: Site, part: PartId, mode: FailureMode) -> Option<Estimate<f64>> {
        let mut pieces = Vec::new();
        for explanation in self.explanations.iter().filter(|explanation| explanation.site == site) {
            let mut faults = explanation.hypothesis.faults();
            let is_it = |(fault, _): &(Fault, Option<Size>)| fault.part == part && fault.mode == mode;
            let Some((_, Some(size))) = faults.find(is_it) else { continue };
            pieces.push((size.value.ln(), size.width, explanation.probability.value()));
        }
        estimated(&pieces)
    }

    /// How wrong an instrument is: V or A too much, a share too much, V or A from
    /// reading to reading, or what it is stuck at.
    fn misshown(
        &self,
        vehicle: &Vehicle,
        model: &StateModel,
        site: Site,
        (part, mode): (PartId, FailureMode),
    ) -> Option<Estimate<f64>> {
        let shows_amps = vehicle.part(part).kind.instrument()?.shows_amps();
        let tables = model.tables();
        let own = tables.instruments.fixed(shows_amps, vehicle.nominal);
        let usual = if shows_amps { 0.0 } else { tables.belief.misread_supply * vehicle.nominal.0 };
        let mut pieces = Vec::new();
        for explanation in self.explanations.iter().filter(|explanation| explanation.site == site) {
            let mut faults = explanation.hypothesis.faults().enumerate();
            let is_it = |(_, (fault, _)): &(usize, (Fault, Option<Size>))| fault.part == part && fault.mode == mode;
            let Some((index, (_, size))) = faults.find(is_it) else { continue };
            let times = size.map_or(1.0, |size| size.value);
            let (at, unit) = match mode {
                FailureMode::WrongScale => (0.0, own.scale),
                FailureMode::Drifts => (0.0, own.drift),
                FailureMode::Stuck => (times * usual, times * own.stuck),
                _ => (0.0, own.off),
            };
            let (shift, deviation) = explanation.joint.as_ref()?.size_shift_of(index);
            let weight = explanation.probability.value();
            pieces.push((at + unit * shift, (unit * deviation).max(LEAST_WIDTH), weight));
        }
        (!pieces.is_empty()).then(|| Estimate::of(|share| quantile(&pieces, share)))
    }

    fn size_of(&self, parts: &[(PartId, f64)], mode: FailureMode) -> Option<Estimate<f64>> {
        let mut pieces = Vec::new();
        for explanation in &self.explanations {
            let Hypothesis::Faulty { fault, size: Some(size) } = explanation.hypothesis else { continue };
            if fault.mode == mode && parts.iter().any(|(part, _)| *part == fault.part) {
                let (shift, deviation) = explanation.joint.as_ref().map_or((0.0, 1.0), |joint| joint.size_shift());
                pieces.push((
                    size.value.ln() + size.width * shift,
                    size.width * deviation,
                    explanation.probability.value(),
                ));
            }
        }
        estimated(&pieces)
    }
}

/// When of two to repair it: an open hides what lies beyond it, and a fuse comes
/// last, since what has opened it would open the next.
fn turn(vehicle: &Vehicle, part: PartId, mode: FailureMode) -> u8 {
    match mode {
        FailureMode::OpenCircuit if vehicle.part(part).kind.is_fuse() => 2,
        FailureMode::OpenCircuit => 0,
        _ => 1,
    }
}

/// Of a mixture of normals in ln(size).
fn estimated(pieces: &[(f64, f64, f64)]) -> Option<Estimate<f64>> {
    (!pieces.is_empty()).then(|| Estimate::of(|share| quantile(pieces, share).exp()))
}

fn effect(
    least_drop: Volts,
    vehicle: &Vehicle,
    model: &StateModel,
    part: PartId,
    size: Estimate<f64>,
) -> (Option<Estimate<Volts>>, Option<Estimate<Watts>>) {
    let at = |value: f64| {
        let fault = Fault::new(part, FailureMode::HighResistance);
        let hypothesis = Hypothesis::Faulty { fault, size: Some(Size { value, width: 0.0, share: 1.0 }) };
        let current = model.under(vehicle, &hypothesis).current(part.index());
        let dropped = Volts(current.0.abs() * value);
        (dropped, dropped * current.abs())
    };
    let (low, middle, high) = (at(size.low), at(size.middle), at(size.high));
    if middle.0.0 < least_drop.0 {
        return (None, None);
    }
    // A bigger resistance can make less heat; keep the figures in order.
    let (least, most) = (low.1.0.min(high.1.0), low.1.0.max(high.1.0).max(middle.1.0));
    let volts = Estimate { low: low.0, middle: middle.0, high: high.0 };
    let watts = Estimate { low: Watts(least.min(middle.1.0)), middle: middle.1, high: Watts(most) };
    (Some(volts), Some(watts))
}
