//! The smallest set of parts that holds nearly all the belief, the points that
//! fence it in, and how big the fault is.

use super::normal::normal_below;
use super::posterior::Belief;
use super::site::Site;
use crate::fault::{FailureMode, Fault, Size};
use crate::meter::MeterKind;
use crate::predict::{Hypothesis, Prediction, Probe, StateModel};
use crate::quantity::{Amps, Ohms, Volts, Watts};
use crate::tables::belief::Weighing;
use crate::vehicle::{PartId, PartKind, PointId, Vehicle};

/// Low, middle and high estimate: 5th, 50th and 95th percentile.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate<T> {
    /// 5th percentile.
    pub low: T,
    /// Median.
    pub middle: T,
    /// 95th percentile.
    pub high: T,
}

impl<T> Estimate<T> {
    /// From the quantile of each share.
    fn of(at: impl Fn(f64) -> T) -> Self {
        let [low, middle, high] = PERCENTILES.map(at);
        Self { low, middle, high }
    }
}

/// Format: shares of belief below the ends and the middle of an [`Estimate`].
const PERCENTILES: [f64; 3] = [0.05, 0.5, 0.95];
/// Numerical: deviations within which a quantile is looked for.
const TAILS: f64 = 6.0;
/// Numerical: a current that is known for certain has a spread all the same.
const LEAST_VARIANCE: f64 = 1e-12;

/// Adjoining parts with their fence.
#[derive(Debug, Clone, PartialEq)]
pub struct Stretch {
    /// Parts, likeliest first, with their probability.
    pub parts: Vec<(PartId, f64)>,
    /// The points that fence them in, in current-flow order; `None` where the
    /// parts branch.
    pub fence: Option<(PointId, PointId)>,
}

/// Where the trouble is.
#[derive(Debug, Clone, PartialEq)]
pub struct Segment {
    /// Stretches of adjoining parts, likeliest first.
    pub stretches: Vec<Stretch>,
    /// Belief that these parts hold.
    pub held: f64,
    /// The likeliest way to fail.
    pub mode: FailureMode,
    /// How big, where the likeliest way to fail has a size.
    pub size: Option<Estimate<f64>>,
    /// Volts dropped there in the present state.
    pub dropped: Option<Estimate<Volts>>,
    /// Heat made there in the present state.
    pub heat: Option<Estimate<Watts>>,
}

impl Segment {
    /// Every part in it.
    pub fn parts(&self) -> impl Iterator<Item = (PartId, f64)> + '_ {
        self.stretches.iter().flat_map(|stretch| stretch.parts.iter().copied())
    }

    /// The added resistance, where that is the fault.
    pub fn ohms(&self) -> Option<Estimate<Ohms>> {
        let size =
            self.size.filter(|_| matches!(self.mode, FailureMode::HighResistance | FailureMode::ShortToGround))?;
        Some(Estimate { low: Ohms(size.low), middle: Ohms(size.middle), high: Ohms(size.high) })
    }
}

impl Belief {
    /// The segment that holds 95 % of what the parts hold between them.
    pub fn segment(&self, figures: &Weighing, vehicle: &Vehicle, model: &StateModel) -> Option<Segment> {
        // No fault and a wrong drawing have no place; they are told beside it.
        let placed = 1.0 - self.probability(Site::Nothing) - self.probability(Site::Undrawn);
        let mut parts = Vec::new();
        let mut held = 0.0;
        for suspect in &self.suspects {
            if held >= figures.held * placed {
                break;
            }
            if let Site::Part(part) = suspect.site {
                parts.push((part, suspect.probability.value()));
                held += suspect.probability;
            }
        }
        let lead = self
            .explanations
            .iter()
            .find(|explanation| parts.iter().any(|(part, _)| explanation.site == Site::Part(*part)))?;
        let lead = lead.hypothesis.faults().next().map_or(FailureMode::OpenCircuit, |(fault, _)| fault.mode);
        let mode = self.likeliest_mode(Site::Part(parts.first()?.0)).unwrap_or(lead);
        let size = self.size_of(&parts, mode);
        let (dropped, heat) = match size {
            Some(size) if mode == FailureMode::HighResistance => {
                effect(figures.least_drop, vehicle, model, parts[0].0, size)
            }
            _ => (None, None),
        };
        Some(Segment { stretches: stretches(vehicle, &parts), held, mode, size, dropped, heat })
    }

    /// The likeliest way to fail at a site.
    pub fn likeliest_mode(&self, site: Site) -> Option<FailureMode> {
        let mut modes: Vec<(FailureMode, f64)> = Vec::new();
        for explanation in self.explanations.iter().filter(|explanation| explanation.site == site) {
            // A short elsewhere shows at this site as an open fuse.
            let here =
                explanation.hypothesis.faults().map(|(fault, _)| fault).find(|fault| Site::Part(fault.part) == site);
            let mode = here.map_or(FailureMode::OpenCircuit, |fault| fault.mode);
            match modes.iter_mut().find(|(known, _)| *known == mode) {
                Some((_, probability)) => *probability += explanation.probability,
                None => modes.push((mode, explanation.probability.value())),
            }
        }
        modes.into_iter().max_by(|a, b| a.1.total_cmp(&b.1)).map(|(mode, _)| mode)
    }

    /// The current through a part in a state, by everything known; what the
    /// readings have told of a hypothesis counts for it.
    pub fn current_of(
        &self,
        figures: &Weighing,
        vehicle: &Vehicle,
        model: &StateModel,
        part: PartId,
        meter: MeterKind,
    ) -> Option<Estimate<Amps>> {
        let mut pieces = Vec::new();
        let mut held = 0.0;
        for explanation in &self.explanations {
            let Some(joint) = &explanation.joint else { continue };
            let view = model.view_in(vehicle, &explanation.hypothesis, explanation.phase);
            let probe = Probe::Current { part };
            let shown = view.shown(probe, meter, 0.0, &self.theta);
            // Of a current that is to be known, not read, the clamp's own error
            // is no part.
            let known = joint.forecast(&Prediction { own_variance: 0.0, ..shown });
            pieces.push((known.mean, known.variance.max(LEAST_VARIANCE).sqrt(), explanation.probability.value()));
            held += explanation.probability;
            if held > figures.held_of_current {
                break;
            }
        }
        let at = |share| Amps(quantile(&pieces, share));
        (!pieces.is_empty()).then(|| Estimate::of(at))
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
        if pieces.is_empty() {
            return None;
        }
        let at = |share| quantile(&pieces, share).exp();
        Some(Estimate::of(at))
    }
}

/// Quantile of a mixture of normals (mean, deviation, weight), by bisection.
fn quantile(pieces: &[(f64, f64, f64)], share: f64) -> f64 {
    let total: f64 = pieces.iter().map(|piece| piece.2).sum();
    let below = |x: f64| -> f64 {
        pieces.iter().map(|&(mean, deviation, weight)| weight * normal_below((x - mean) / deviation)).sum::<f64>()
            / total
    };
    let reach = |sign: f64| pieces.iter().map(move |piece| piece.0 + sign * TAILS * piece.1);
    let mut low = reach(-1.0).fold(f64::INFINITY, f64::min);
    let mut high = reach(1.0).fold(f64::NEG_INFINITY, f64::max);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if below(middle) < share { low = middle } else { high = middle }
    }
    0.5 * (low + high)
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

/// Sorts parts into stretches that adjoin, likeliest stretch first.
fn stretches(vehicle: &Vehicle, parts: &[(PartId, f64)]) -> Vec<Stretch> {
    let mut waiting: Vec<(PartId, f64)> = parts.to_vec();
    let mut stretches: Vec<Stretch> = Vec::new();
    while !waiting.is_empty() {
        let mut group = vec![waiting.remove(0)];
        let mut next = 0;
        while next < group.len() {
            let (from, to) = vehicle.part(group[next].0).ends();
            next += 1;
            let touches = |part: PartId| {
                let ends = vehicle.part(part).ends();
                [ends.0, ends.1].iter().any(|&point| point == from || point == to)
            };
            let (joining, rest): (Vec<_>, Vec<_>) = waiting.into_iter().partition(|(part, _)| touches(*part));
            group.extend(joining);
            waiting = rest;
        }
        group.sort_by(|a, b| b.1.total_cmp(&a.1));
        stretches.push(Stretch { fence: fence(vehicle, &group), parts: group });
    }
    let weight = |stretch: &Stretch| -> f64 { stretch.parts.iter().map(|(_, probability)| probability).sum() };
    stretches.sort_by(|a, b| weight(b).total_cmp(&weight(a)));
    stretches
}

/// The two loose ends of a chain of parts, upstream first.
fn fence(vehicle: &Vehicle, group: &[(PartId, f64)]) -> Option<(PointId, PointId)> {
    // Through a supply a chain closes on itself, and has no two ends.
    let is_supply = |&(part, _): &(PartId, f64)| matches!(vehicle.part(part).kind, PartKind::Supply(_));
    if group.len() > 1 && group.iter().any(is_supply) {
        return None;
    }
    let ends = || group.iter().map(|(part, _)| vehicle.part(*part).ends());
    let loose = |point: PointId| ends().filter(|&(from, to)| from == point || to == point).count() == 1;
    let starts: Vec<PointId> = ends().map(|(from, _)| from).filter(|&point| loose(point)).collect();
    let stops: Vec<PointId> = ends().map(|(_, to)| to).filter(|&point| loose(point)).collect();
    match (&starts[..], &stops[..]) {
        ([start], [stop]) => Some((*start, *stop)),
        ([a, b], []) | ([], [a, b]) => Some((*a, *b)),
        _ => None,
    }
}
