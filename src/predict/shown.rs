//! What a meter shows between two points, and how it moves with everything
//! that is uncertain.
//!
//! To first order ∂V(p,q)/∂ln R_j = (z_j(p) − z_j(q))·i_j under the hypothesis
//! at hand, so readings share their uncertainty: all sag when the battery is
//! low. The last loading belongs to the size of the fault itself.

use super::theta::{Theta, Uncertain};
use super::{Burden, Hypothesis, HypothesisKey, Probe, Scale, StateModel};
use crate::fault::{Fault, Mode, Size, concerns, ways};
use crate::meter::MeterKind;
use crate::network::{Altered, Between, Branch, Law, Settling, Transfer, Watched};
use crate::quantity::Amps;
use crate::tables::Tables;
use crate::tables::instruments::{AmmeterError, Instruments};
use crate::vehicle::{PartId, PointId, Vehicle};
use rustc_hash::FxHashMap;
use std::cell::OnceCell;
use std::rc::Rc;

/// A reading before it is taken.
#[derive(Debug, Clone, PartialEq)]
pub struct Shown {
    /// On which the rest is told.
    pub scale: Scale,
    /// Expected value.
    pub mean: f64,
    /// Whether a probe is on a point that hangs in the air.
    pub floating: bool,
    /// Standard deviation from each uncertain quantity, with sign, in
    /// [`Theta`] order; last the sizes of the faults, of which there may be two.
    pub loadings: Vec<f64>,
    /// Variance of its own.
    pub own_variance: f64,
    /// How many of the loadings, from the first, are those of supplies.
    pub supplies: usize,
    /// Readings taken before it.
    pub moment: usize,
    /// Variance of what a supply drifts from one reading to the next, as a share
    /// of that of its voltage.
    pub drift: f64,
}

/// Format: loadings that belong to sizes of faults, one for each of two.
pub const SIZES: usize = 2;

impl Shown {
    /// Variance of the reading alone.
    pub fn variance(&self) -> f64 {
        self.own_variance + self.covariance(self)
    }

    /// Covariance with another reading.
    pub fn covariance(&self, other: &Self) -> f64 {
        let shared = |count: usize| dot(&self.loadings[..count], &other.loadings[..count]);
        let drifted = self.drift * self.moment.min(other.moment) as f64;
        shared(self.loadings.len()) + drifted * shared(self.supplies)
    }

    /// Loading of the size of the first fault.
    pub fn size_loading(&self) -> f64 {
        self.loadings[self.loadings.len() - SIZES]
    }

    /// The same of a fault that is the second of two.
    pub fn of_second(&self) -> Self {
        let mut second = self.clone();
        let first = second.loadings.len() - SIZES;
        second.loadings.swap(first, first + 1);
        second
    }

    fn alone(scale: Scale, mean: f64, deviation: f64, theta: &Theta) -> Self {
        let loadings = vec![0.0; theta.entries().len() + SIZES];
        Self {
            scale,
            mean,
            floating: false,
            loadings,
            own_variance: deviation * deviation,
            supplies: 0,
            moment: 0,
            drift: 0.0,
        }
    }
}

/// In four sums side by side, which a processor takes at once.
fn dot(a: &[f64], b: &[f64]) -> f64 {
    let (a_fours, b_fours) = (a.chunks_exact(4), b.chunks_exact(4));
    let rest: f64 = a_fours.remainder().iter().zip(b_fours.remainder()).map(|(a, b)| a * b).sum();
    let mut sums = [0.0; 4];
    for (a, b) in a_fours.zip(b_fours) {
        (0..4).for_each(|lane| sums[lane] += a[lane] * b[lane]);
    }
    (sums[0] + sums[1]) + (sums[2] + sums[3]) + rest
}

/// Whether what switches itself off at too low a voltage has done so.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Phase {
    /// It tries to run.
    #[default]
    Trying,
    /// It has switched itself off, and every point reads perfect.
    Tripped,
}

/// A state under one hypothesis, ready to be read many times with the same
/// uncertain quantities.
pub struct View<'a> {
    vehicle: &'a Vehicle,
    model: &'a StateModel,
    hypothesis: Hypothesis,
    altered: Rc<Altered>,
    /// What has switched itself off in it.
    off: Vec<PartId>,
    /// As what it is remembered; none of a circuit made up for one reading.
    name: Option<ViewName>,
    spread: OnceCell<Rc<Spread>>,
}

/// What tells the views of one state apart.
type ViewName = (HypothesisKey, Phase);

/// The uncertain quantities where a view has them, in [`Theta`] order.
struct Spread {
    watched: Watched,
    /// Volts between the leads that one deviation of each makes per ohm of
    /// transfer resistance to it, A.
    pushes: Vec<f64>,
    /// The same of the supplies' wander from reading to reading, A.
    wander: Vec<f64>,
}

/// Numerical: loadings kept in all spreads, at most; beyond that it begins anew.
const MOST_LOADINGS: usize = 1 << 19;

/// The spreads of the views of all states, kept while the same quantities are
/// uncertain: each answer asks for those of the one before.
#[derive(Default)]
pub(super) struct Spreads {
    theta: Theta,
    known: FxHashMap<(usize, ViewName), Rc<Spread>>,
}

impl Spreads {
    fn turn_to(&mut self, theta: &Theta) {
        if !self.theta.is_like(theta) || self.known.len() * theta.entries().len() > MOST_LOADINGS {
            self.known.clear();
            self.theta = theta.clone();
        }
    }
}

impl StateModel {
    /// This state under a hypothesis, with whatever tries to run running.
    pub fn view<'a>(&'a self, vehicle: &'a Vehicle, hypothesis: &Hypothesis) -> View<'a> {
        View {
            vehicle,
            model: self,
            hypothesis: *hypothesis,
            altered: self.under(vehicle, hypothesis),
            off: Vec::new(),
            name: Some((hypothesis.key(), Phase::Trying)),
            spread: OnceCell::new(),
        }
    }

    /// This state under a hypothesis in a phase; the same in both where nothing
    /// switches itself off.
    pub fn view_in<'a>(&'a self, vehicle: &'a Vehicle, hypothesis: &Hypothesis, phase: Phase) -> View<'a> {
        match self.trips(vehicle, hypothesis).filter(|_| phase == Phase::Tripped) {
            Some(tripped) => {
                let (altered, off) = (Rc::clone(&tripped.altered), tripped.parts.clone());
                let name = Some((hypothesis.key(), phase));
                View { vehicle, model: self, hypothesis: *hypothesis, altered, off, name, spread: OnceCell::new() }
            }
            None => self.view(vehicle, hypothesis),
        }
    }
}

impl View<'_> {
    fn tables(&self) -> &Tables {
        self.model.tables()
    }

    fn instruments(&self) -> &Instruments {
        &self.tables().instruments
    }

    /// Voltage between two points, without the meter; 0 where one hangs in the air.
    pub fn volts(&self, red: PointId, black: PointId) -> f64 {
        match self.altered.between(red.index(), black.index()) {
            Between::Volts(volts) => volts.0,
            Between::Floating => 0.0,
        }
    }

    /// Current through a part, A.
    pub fn amps(&self, part: PartId) -> f64 {
        self.altered.current(part.index()).0
    }

    /// What `meter` shows; `step` is the last digit that will be read off, at
    /// least, on the scale of the probe.
    pub fn shown(&self, probe: Probe, meter: MeterKind, step: f64, theta: &Theta) -> Shown {
        let mut shown = match probe {
            Probe::Voltage { red, black, burden: Burden::Bare } => self.voltage(red, black, meter, step, theta),
            Probe::Voltage { red, black, burden: Burden::Lamp } => self.under_lamp(red, black, meter, step, theta),
            Probe::Resistance { red, black } => self.resistance(red, black, step, theta),
            Probe::Current { part } => self.current(part, step, theta),
        };
        theta.warm(&mut shown.loadings);
        shown.supplies = theta.supplies();
        shown.moment = theta.moment();
        shown.drift = self.tables().spreads.supply_drift.powi(2);
        if let Some(informed) = theta.informed() {
            shown.mean += informed.applied(&mut shown.loadings);
        }
        shown
    }

    /// The uncertain quantities where this view has them, worked out once.
    fn spread(&self, theta: &Theta) -> &Spread {
        self.spread.get_or_init(|| {
            let Some(name) = self.name.map(|name| (self.model.number, name)) else {
                return Rc::new(self.spread_afresh(theta));
            };
            let spreads = &self.model.spreads;
            spreads.borrow_mut().turn_to(theta);
            let known = spreads.borrow().known.get(&name).cloned();
            known.unwrap_or_else(|| {
                let spread = Rc::new(self.spread_afresh(theta));
                spreads.borrow_mut().known.insert(name, Rc::clone(&spread));
                spread
            })
        })
    }

    fn spread_afresh(&self, theta: &Theta) -> Spread {
        let part = |(quantity, _): &(Uncertain, f64)| quantity.part().map(PartId::index);
        let watched = self.altered.watch(theta.entries().iter().map(part));
        let shares: Vec<(PartId, f64)> = (self.hypothesis.faults())
            .flat_map(|(fault, _)| ways(self.vehicle, fault))
            .map(|part| (part, fault_share(self.vehicle, &self.hypothesis, part)))
            .collect();
        let healthy = |part: PartId| 1.0 - shares.iter().find(|(one, _)| *one == part).map_or(0.0, |(_, share)| *share);
        let push = |(&(uncertain, deviation), amps): (&(Uncertain, f64), &f64)| match uncertain {
            Uncertain::Resistance(part) => deviation * healthy(part) * amps,
            Uncertain::SupplyVoltage(part) => -deviation * self.altered.source_conductance(part.index()),
            Uncertain::Forward(part) => deviation * self.altered.slope(part.index()),
            Uncertain::Gain(_) | Uncertain::Offset(_) | Uncertain::Warmth => 0.0,
        };
        let pushes = theta.entries().iter().zip(&watched.amps).map(push).collect();
        let far = self.tables().spreads.supply_wander.0 * self.vehicle.nominal.0 / 12.0;
        let supplies = theta.entries().iter().take(theta.supplies()).filter_map(|(quantity, _)| quantity.part());
        let wander = supplies.map(|part| far * self.altered.source_conductance(part.index())).collect();
        Spread { watched, pushes, wander }
    }

    fn rig<'r>(&'r self, altered: &'r Altered, transfer: &'r Transfer) -> Rig<'r> {
        Rig { vehicle: self.vehicle, hypothesis: &self.hypothesis, altered, transfer }
    }

    fn voltage(&self, red: PointId, black: PointId, meter: MeterKind, step: f64, theta: &Theta) -> Shown {
        let volts = match self.altered.between(red.index(), black.index()) {
            Between::Volts(volts) => volts,
            Between::Floating => {
                let deviation = self.instruments().floating.0;
                return Shown { floating: true, ..Shown::alone(Scale::Volts, 0.0, deviation, theta) };
            }
        };
        let transfer = self.altered.transfer(red.index(), black.index());
        let sheet = meter.meter(self.instruments());
        let left = sheet.loading(transfer.resistance());
        let mean = volts * left;
        let rig = self.rig(&self.altered, &transfer);
        let spread = self.spread(theta);
        let mut loadings = transfer.to_all(&spread.watched);
        let wander: f64 = loadings.iter().zip(&spread.wander).map(|(across, push)| (across * push).powi(2)).sum();
        loadings.iter_mut().zip(&spread.pushes).for_each(|(loading, push)| *loading *= push);
        for (at, &(uncertain, deviation)) in theta.of_meters() {
            match uncertain {
                Uncertain::Gain(kind) if kind == meter => loadings[at] = deviation * mean.0,
                Uncertain::Offset(kind) if kind == meter => loadings[at] = sheet.offset_deviation(mean).0,
                _ => {}
            }
        }
        // A resistance too large to move the voltage itself still moves what
        // the meter's own input leaves of it.
        let sag = volts.0 * left * left / sheet.input.0;
        loadings.extend(rig.size_loadings().map(|(loading, swing)| loading - sag * swing));
        let step = step.max(sheet.step(mean).0);
        let sizes: f64 = loadings[loadings.len() - SIZES..].iter().map(|loading| loading * loading).sum();
        let spreads = &self.tables().spreads;
        // A state that chatters shows anything between its phases.
        let chatter = match self.altered.settling() {
            Settling::Settled => 0.0,
            Settling::Restless => spreads.chatter * self.vehicle.nominal.0,
        };
        let own_variance = step * step / 12.0
            + self.instruments().probe_noise.0.powi(2)
            + wander
            + spreads.curvature.powi(2) * sizes
            + chatter * chatter;
        Shown {
            scale: Scale::Volts,
            mean: mean.0,
            floating: false,
            loadings,
            own_variance,
            supplies: 0,
            moment: 0,
            drift: 0.0,
        }
    }

    /// A lamp across the leads is one more branch.
    fn under_lamp(&self, red: PointId, black: PointId, meter: MeterKind, step: f64, theta: &Theta) -> Shown {
        let law = Law::Resistor((self.instruments().lamp * (self.vehicle.nominal.0 / 12.0)).conductance());
        let lamp = Branch { from: red.index(), to: black.index(), law };
        let mut change = self.model.alteration(self.vehicle, &self.hypothesis);
        change.replaced.retain(|(branch, _)| !self.off.iter().any(|part| part.index() == *branch));
        change.replaced.extend(self.off.iter().map(|part| (part.index(), Law::Open)));
        change.added.push(lamp);
        let (altered, off) = (self.model.altered_by(&change), self.off.clone());
        let lit = View { altered, off, name: None, spread: OnceCell::new(), ..*self };
        lit.voltage(red, black, meter, step, theta)
    }

    fn resistance(&self, red: PointId, black: PointId, step: f64, theta: &Theta) -> Shown {
        let instruments = self.instruments();
        let live = self.volts(red, black);
        if live.abs() > instruments.live.0 {
            let mean = Scale::of_ohms(instruments, live.abs() / instruments.ohmmeter_current.0);
            return Shown::alone(Scale::LogOhms, mean, instruments.live_deviation, theta);
        }
        let no_path = Scale::of_ohms(instruments, instruments.no_path.0);
        let over = || Shown::alone(Scale::LogOhms, no_path, instruments.no_path_deviation, theta);
        let Some(dead) = self.model.dead_under(self.vehicle, &self.hypothesis) else { return over() };
        if dead.between(red.index(), black.index()) == Between::Floating {
            return over();
        }
        let transfer = dead.transfer(red.index(), black.index());
        let ohms = transfer.resistance().0.max(0.0);
        if ohms > instruments.no_path.0 {
            return over();
        }
        let rig = self.rig(&dead, &transfer);
        let whole = ohms + instruments.leads.0;
        let mut electronics = 0.0;
        for load in self.vehicle.loads() {
            let share = rig.share_of_resistance(load) / whole;
            electronics += (instruments.asleep_deviation * share).powi(2);
        }
        let mut loadings: Vec<f64> = theta
            .entries()
            .iter()
            .map(|&(uncertain, deviation)| match uncertain {
                Uncertain::Resistance(part) => {
                    deviation * rig.healthy_share(part) * rig.share_of_resistance(part) / whole
                }
                _ => 0.0,
            })
            .collect();
        loadings.extend(rig.size_loadings().map(|(_, swing)| swing / whole));
        let leads = instruments.leads_deviation.0 / whole;
        let own_variance = instruments.ohmmeter_gain.powi(2) + leads * leads + step * step / 12.0 + electronics;
        Shown {
            scale: Scale::LogOhms,
            mean: Scale::of_ohms(instruments, ohms),
            floating: false,
            loadings,
            own_variance,
            supplies: 0,
            moment: 0,
            drift: 0.0,
        }
    }

    fn current(&self, part: PartId, step: f64, theta: &Theta) -> Shown {
        let (from, to) = self.vehicle.part(part).ends();
        let amps = self.altered.current(part.index()).0;
        let transfer = self.altered.transfer(from.index(), to.index());
        let rig = self.rig(&self.altered, &transfer);
        let slope = self.altered.slope(part.index());
        let spread = self.spread(theta);
        let mut loadings = transfer.to_all(&spread.watched);
        loadings.iter_mut().zip(&spread.pushes).for_each(|(loading, push)| *loading *= slope * push);
        // What changes a part's own resistance changes its current beside the
        // voltage across it.
        for (loading, &(uncertain, deviation)) in loadings.iter_mut().zip(theta.entries()) {
            match uncertain {
                Uncertain::Resistance(own) if own == part => *loading -= deviation * rig.healthy_share(own) * amps,
                Uncertain::SupplyVoltage(own) if own == part => *loading += deviation * slope,
                _ => {}
            }
        }
        loadings.extend(rig.size_loadings().map(|(loading, _)| slope * loading));
        if let Some((index, width)) = self.size_at(part) {
            let position = loadings.len() - SIZES + index;
            loadings[position] -= width * rig.fault_share(part) * amps;
        }
        let instruments = self.instruments();
        let is_in_line = step < instruments.in_line_step.0 && step > 0.0;
        let AmmeterError { zero: Amps(zero), gain } = if is_in_line { instruments.ammeter } else { instruments.clamp };
        let chatter =
            if self.altered.settling() == Settling::Restless { self.tables().spreads.chatter * amps } else { 0.0 };
        let own_variance = zero * zero + (gain * amps).powi(2) + step * step / 12.0 + chatter * chatter;
        Shown {
            scale: Scale::Amps,
            mean: amps,
            floating: false,
            loadings,
            own_variance,
            supplies: 0,
            moment: 0,
            drift: 0.0,
        }
    }

    /// Which fault of a size sits at a part, and the width of its stretch.
    fn size_at(&self, part: PartId) -> Option<(usize, f64)> {
        let mut faults = self.hypothesis.faults().enumerate();
        faults.find_map(|(index, (fault, size))| {
            let is_here = concerns(self.vehicle, fault, part) && is_at_part(fault.mode);
            size.filter(|_| is_here).map(|size| (index, size.width))
        })
    }
}

/// Whether the size of a fault is part of the resistance of its part.
fn is_at_part(mode: Mode) -> bool {
    matches!(mode, Mode::Resistive | Mode::Together | Mode::Undersized | Mode::HighDraw)
}

/// Share of a part's present resistance that is its fault's.
fn fault_share(vehicle: &Vehicle, hypothesis: &Hypothesis, part: PartId) -> f64 {
    let share = |(fault, size): (Fault, Option<Size>)| match (fault.mode, size) {
        (Mode::Resistive | Mode::Together, Some(size)) => {
            size.value / (size.value + vehicle.part(part).resistance.value.0)
        }
        // More or less of the healthy resistance: its spread stays.
        (Mode::Leak | Mode::Bridged | Mode::Seeping | Mode::HighDraw | Mode::Undersized, _) => 0.0,
        _ => 1.0,
    };
    hypothesis.faults().filter(|(fault, _)| concerns(vehicle, *fault, part)).map(share).fold(0.0, f64::max)
}

struct Rig<'a> {
    vehicle: &'a Vehicle,
    hypothesis: &'a Hypothesis,
    altered: &'a Altered,
    transfer: &'a Transfer,
}

impl Rig<'_> {
    fn transfer_across(&self, part: PartId) -> f64 {
        let part = self.vehicle.part(part);
        self.transfer.to(part.from.index(), part.to.index())
    }

    fn fault_share(&self, part: PartId) -> f64 {
        fault_share(self.vehicle, self.hypothesis, part)
    }

    fn healthy_share(&self, part: PartId) -> f64 {
        1.0 - self.fault_share(part)
    }

    /// ∂V/∂(supply voltage): the share of a supply's change that is seen here.
    fn supply_loading(&self, part: PartId) -> f64 {
        let conductance = self.altered.source_conductance(part.index());
        if conductance == 0.0 { 0.0 } else { -conductance * self.transfer_across(part) }
    }

    /// ∂(resistance between the leads)/∂ln(resistance of a part), Ω.
    fn share_of_resistance(&self, part: PartId) -> f64 {
        let slope = self.altered.slope(part.index());
        slope * self.transfer_across(part).powi(2)
    }

    /// For each fault, what one deviation of ln(size) does to the voltage and
    /// to the resistance behind it.
    fn size_loadings(&self) -> impl Iterator<Item = (f64, f64)> {
        if let Hypothesis::Tied { from, to, size, .. } = *self.hypothesis {
            return [self.path_loading(from, to, size), (0.0, 0.0)].into_iter();
        }
        let mut faults = self.hypothesis.faults();
        let loadings: [(f64, f64); SIZES] = std::array::from_fn(|_| match faults.next() {
            Some((fault, Some(size))) => self.size_loading(fault, size),
            _ => (0.0, 0.0),
        });
        loadings.into_iter()
    }

    fn size_loading(&self, fault: Fault, size: Size) -> (f64, f64) {
        let part = self.vehicle.part(fault.part);
        let at = |part: PartId, share: f64| {
            let transfer = self.transfer_across(part);
            let swing = share * self.share_of_resistance(part);
            (size.width * share * transfer * self.altered.current(part.index()).0, size.width * swing)
        };
        let at_part = |share: f64| at(fault.part, share);
        let beside = |far: PointId| self.path_loading(part.to, far, size);
        match fault.mode {
            Mode::Resistive => at_part(self.fault_share(fault.part)),
            Mode::Together => ways(self.vehicle, fault)
                .map(|way| at(way, self.fault_share(way)))
                .fold((0.0, 0.0), |sum, one| (sum.0 + one.0, sum.1 + one.1)),
            Mode::Undersized => at_part(1.0),
            // Twice the current is half the resistance.
            Mode::HighDraw => at_part(-1.0),
            Mode::LowVoltage => (-size.width * size.value * self.supply_loading(fault.part), 0.0),
            Mode::Leak => self.vehicle.chassis.map_or((0.0, 0.0), beside),
            Mode::Seeping => self.path_loading(part.from, part.to, size),
            Mode::Bridged => fault.other.map_or((0.0, 0.0), |other| beside(self.vehicle.part(other).to)),
            _ => (0.0, 0.0),
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
