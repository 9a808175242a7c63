//! Views: a state under one hypothesis, as a voltmeter, a lamp, an ohmmeter and
//! a clamp read it.
//!
//! A voltmeter of input R_in shows V R_in / (R_in + Z), Z the resistance behind
//! the leads. An ohmmeter shows ln(Z + leads) of the circuit as it finds it
//! asleep. A clamp shows i = g V of its part, so that its loadings are those of
//! the voltage across the part times its conductance g, and what changes the
//! part's own resistance changes i beside.

use super::circuits::ViewName;
use super::hypothesis::{Hypothesis, Phase};
use super::loadings::Loadings;
use super::model::StateModel;
use super::ohms::{fuse_in_hand, ohms_in_hand};
use super::prediction::Prediction;
use super::probe::{Burden, Probe, Scale};
use super::sensitivity::{Sensitivity, fault_share};
use super::spread::Spread;
use super::uncertain::Uncertain;
use super::uncertainties::Uncertainties;
use crate::fault::{FailureMode, ways};
use crate::meter::{Ammeter, MeterKind, rounding_variance};
use crate::network::{Alteration, Altered, Between, Branch, Convergence, IdleDiodes, Law, Transfer};
use crate::quantity::{Amps, TWELVE_VOLTS};
use crate::tables::Tables;
use crate::tables::instruments::{AmmeterError, Instruments};
use crate::vehicle::{PartId, PointId, Vehicle};
use std::rc::Rc;

/// Numerical: current below which a quantity pushes nothing that could be read, A.
const LEAST_PUSH: f64 = 1e-9;

/// A state under one hypothesis, ready to be read many times.
pub struct View<'a> {
    vehicle: &'a Vehicle,
    model: &'a StateModel,
    hypothesis: Hypothesis,
    altered: Rc<Altered>,
    /// What has switched itself off in it.
    off: Vec<PartId>,
    /// None of a circuit made up for one reading.
    name: Option<ViewName>,
}

impl StateModel {
    /// This state under a hypothesis, with whatever tries to run running.
    pub fn view<'a>(&'a self, vehicle: &'a Vehicle, hypothesis: &Hypothesis) -> View<'a> {
        View {
            vehicle,
            model: self,
            hypothesis: self.touching(vehicle, hypothesis),
            altered: self.under(vehicle, hypothesis),
            off: Vec::new(),
            name: Some((hypothesis.key(), Phase::Trying)),
        }
    }

    /// This state under a hypothesis in a phase; the same in both where nothing
    /// switches itself off.
    pub fn view_in<'a>(&'a self, vehicle: &'a Vehicle, hypothesis: &Hypothesis, phase: Phase) -> View<'a> {
        match self.trips(vehicle, hypothesis).filter(|_| phase == Phase::Tripped) {
            Some(tripped) => {
                let (altered, off) = (Rc::clone(&tripped.altered), tripped.parts.clone());
                let name = Some((hypothesis.key(), phase));
                View { vehicle, model: self, hypothesis: self.touching(vehicle, hypothesis), altered, off, name }
            }
            None => self.view(vehicle, hypothesis),
        }
    }
}

impl View<'_> {
    pub(super) fn tables(&self) -> &Tables {
        self.model.tables()
    }

    pub(super) fn vehicle(&self) -> &Vehicle {
        self.vehicle
    }

    pub(super) fn hypothesis(&self) -> &Hypothesis {
        &self.hypothesis
    }

    pub(super) fn altered(&self) -> &Altered {
        &self.altered
    }

    /// The diodes that carry nothing; none in a circuit made up for one reading.
    pub(super) fn idle_diodes(&self) -> Option<Rc<IdleDiodes>> {
        let name = self.name.filter(|_| self.model.has_diodes)?;
        self.model.circuits.idle.get_or((self.model.number, name), || self.altered.idle_diodes().map(Rc::new))
    }

    /// The circuit with more changed.
    pub(super) fn altered_further(&self, more: Alteration) -> Rc<Altered> {
        let mut change = self.model.alteration(self.vehicle, &self.hypothesis);
        let off: Vec<usize> = self.off.iter().map(|part| part.index()).collect();
        let is_changed =
            |branch: &usize| off.contains(branch) || more.replaced.iter().any(|(other, _)| other == branch);
        change.replaced.retain(|(branch, _)| !is_changed(branch));
        change.replaced.extend(off.iter().map(|&branch| (branch, Law::Open)));
        self.model.altered_by(&change.and(more))
    }

    /// The same view of a circuit made up for one reading.
    pub(super) fn of_one_reading(&self, altered: Rc<Altered>) -> Self {
        View { altered, off: self.off.clone(), name: None, ..*self }
    }

    fn instruments(&self) -> &Instruments {
        &self.tables().instruments
    }

    /// Voltage between two points, without the meter but where it draws through
    /// diodes that carry nothing else; 0 where one hangs in the air.
    pub fn volts(&self, red: PointId, black: PointId) -> f64 {
        if let Some(volts) = self.volts_beyond_diodes(red, black) {
            return volts;
        }
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
    pub fn shown(&self, probe: Probe, meter: MeterKind, step: f64, theta: &Uncertainties) -> Prediction {
        let mut shown = match probe {
            Probe::Voltage { red, black, burden: Burden::Bare } => self.voltage(red, black, meter, step, theta),
            Probe::Voltage { red, black, burden: Burden::Lamp } => self.under_lamp(red, black, meter, step, theta),
            Probe::Voltage { red, black, burden: Burden::Each(against) } => {
                let [one, other] = [red, black].map(|point| self.voltage(point, against, meter, 0.0, theta));
                Prediction { own_variance: one.own_variance + rounding_variance(step), ..one }.less(&other)
            }
            Probe::Resistance { red, black } => self.resistance(red, black, step, theta),
            Probe::Current { part } => self.current(part, step, theta),
            Probe::Fixed { instrument, shows } => self.fixed(instrument, shows, step, theta),
        };
        shown.supplies = theta.supplies();
        shown.moment = theta.moment();
        shown.drift = self.tables().spreads.supply_drift.powi(2);
        if let Some(informed) = theta.informed() {
            shown.mean += informed.applied(Rc::make_mut(&mut shown.loadings));
        }
        shown
    }

    /// The uncertain quantities where this view has them.
    fn spread(&self, theta: &Uncertainties) -> Rc<Spread> {
        let spread = || Rc::new(self.spread_afresh(theta));
        let Some(name) = self.name else { return spread() };
        let weight = |spread: &Rc<Spread>| spread.pushes.len();
        let known = self.model.circuits.spreads.under(theta.quantities());
        known.get_or_weighing((self.model.number, name), weight, spread)
    }

    fn spread_afresh(&self, theta: &Uncertainties) -> Spread {
        let shares: Vec<(PartId, f64)> = (self.hypothesis.faults())
            .flat_map(|(fault, _)| ways(self.vehicle, fault))
            .map(|part| (part, fault_share(self.vehicle, &self.hypothesis, &self.altered, part)))
            .collect();
        let healthy = |part: PartId| 1.0 - shares.iter().find(|(one, _)| *one == part).map_or(0.0, |(_, share)| *share);
        let volts = self.altered.against(self.vehicle.black.index());
        let amps = |part: PartId| {
            let (from, to) = self.vehicle.part(part).ends();
            let across = volts[from.index()] - volts[to.index()];
            // No number where no path leads there.
            if across.is_nan() {
                self.altered.current(part.index()).0
            } else {
                self.altered.current_at(part.index(), across)
            }
        };
        let push = |&(uncertain, deviation): &(Uncertain, f64)| match uncertain {
            Uncertain::Resistance(part) => self.deviation_here(part, deviation) * healthy(part) * amps(part),
            Uncertain::SupplyVoltage(part) => -deviation * self.altered.source_conductance(part.index()),
            Uncertain::Forward(part) => deviation * self.altered.slope(part.index()),
            Uncertain::InstrumentGain(_) | Uncertain::InstrumentOffset(_) => 0.0,
            Uncertain::Gain(_) | Uncertain::Offset(_) | Uncertain::Zero(_) => 0.0,
            Uncertain::Warmth | Uncertain::Ground(_) => 0.0,
        };
        let all = theta.entries().iter().map(push).enumerate();
        let (at, pushes): (Vec<usize>, Vec<f64>) =
            all.filter(|&(at, push)| at < theta.supplies() || push.abs() > LEAST_PUSH).unzip();
        let part = |&at: &usize| theta.entries()[at].0.part().map(PartId::index);
        let outputs = self.altered.outputs(at.iter().map(part));
        let far = self.tables().spreads.supply_wander.0 * self.vehicle.nominal.0 / TWELVE_VOLTS.0;
        let supplies = theta.entries().iter().take(theta.supplies()).filter_map(|(quantity, _)| quantity.part());
        let wander = supplies.map(|part| far * self.altered.source_conductance(part.index())).collect();
        Spread { at, outputs, pushes, wander }
    }

    fn sensitivity<'r>(&'r self, altered: &'r Altered, transfer: &'r Transfer) -> Sensitivity<'r> {
        Sensitivity {
            vehicle: self.vehicle,
            state: self.model.state(),
            hypothesis: &self.hypothesis,
            altered,
            transfer,
        }
    }

    pub(super) fn voltage(
        &self,
        red: PointId,
        black: PointId,
        meter: MeterKind,
        step: f64,
        theta: &Uncertainties,
    ) -> Prediction {
        if let Some(shown) = self.voltage_beyond_diodes((red, black), meter, step, theta) {
            return shown;
        }
        let volts = match self.altered.between(red.index(), black.index()) {
            Between::Volts(volts) => volts,
            Between::Floating => {
                let deviation = self.instruments().floating.0;
                return Prediction { floating: true, ..Prediction::alone(Scale::Volts, 0.0, deviation) };
            }
        };
        let transfer = self.altered.transfer(red.index(), black.index());
        let sheet = meter.meter(self.instruments());
        let left = sheet.loading(transfer.resistance());
        let mean = volts * left;
        let at = self.sensitivity(&self.altered, &transfer);
        let spread = self.spread(theta);
        let mut across = transfer.to_all(&spread.outputs);
        across.iter_mut().for_each(|across| *across *= left);
        let wander: f64 = across.iter().zip(&spread.wander).map(|(across, push)| (across * push).powi(2)).sum();
        let mut loadings = spread.moved(&across);
        theta.warm(&mut loadings);
        self.ground((red, black), theta, &mut loadings);
        for (at, &(uncertain, deviation)) in theta.of_meters() {
            match uncertain {
                Uncertain::Gain(kind) if kind == meter => loadings.add(at, deviation * mean.0),
                Uncertain::Offset(kind) if kind == meter => loadings.add(at, sheet.offset_deviation(mean).0),
                _ => {}
            }
        }
        // A resistance too large to move the voltage itself still moves what
        // the meter's own input leaves of it.
        let sag = volts.0 * left * left / sheet.input.0;
        let sizes = at.size_loadings().map(|(loading, swing)| left * loading - sag * swing);
        let step = step.max(sheet.step(mean).0);
        let of_sizes: f64 = sizes.iter().map(|loading| loading * loading).sum();
        let spreads = &self.tables().spreads;
        // A state that chatters shows anything between its phases.
        let chatter = match self.altered.convergence() {
            Convergence::Converged => 0.0,
            Convergence::Oscillating => spreads.chatter * self.vehicle.nominal.0,
        };
        let own_variance = rounding_variance(step)
            + self.instruments().probe_noise.0.powi(2)
            + wander
            + spreads.curvature.powi(2) * of_sizes
            + self.of_leads(&transfer, left)
            + chatter * chatter;
        Prediction {
            scale: Scale::Volts,
            mean: mean.0,
            floating: false,
            loadings: loadings.into(),
            sizes,
            own_variance,
            supplies: 0,
            moment: 0,
            drift: 0.0,
        }
    }

    /// Loadings of a voltage between two places on what the ground of each is off, to
    /// which no drawing tells what flows; a part by itself has no ground between its ends.
    fn ground(&self, (red, black): (PointId, PointId), theta: &Uncertainties, loadings: &mut Loadings) {
        if self.vehicle.share_a_place(red, black) || self.vehicle.parts_between(red, black).next().is_some() {
            return;
        }
        for (point, sign) in [(red, 1.0), (black, -1.0)] {
            let place = self.vehicle.point(point).places.first();
            if let Some((at, deviation)) = place.and_then(|&place| theta.of_ground(place)) {
                loadings.add(at, sign * deviation);
            }
        }
    }

    /// Variance of a voltage by what the leads of a test really have, V².
    fn of_leads(&self, transfer: &Transfer, left: f64) -> f64 {
        let network = self.model.solution().network();
        let leads = network.branches.iter().enumerate().skip(self.vehicle.parts.len());
        let moves = |(lead, of): (usize, &Branch)| {
            let volts = self.altered.across(lead).0;
            left * self.tables().spreads.test_lead * transfer.to(of.from, of.to) * self.altered.slope(lead) * volts
        };
        leads.map(moves).map(|volts| volts * volts).sum()
    }

    /// A lamp across the leads is one more branch.
    fn under_lamp(
        &self,
        red: PointId,
        black: PointId,
        meter: MeterKind,
        step: f64,
        theta: &Uncertainties,
    ) -> Prediction {
        let law = Law::Resistor((self.instruments().lamp * (self.vehicle.nominal.0 / TWELVE_VOLTS.0)).conductance());
        let lamp = Branch { from: red.index(), to: black.index(), law };
        let more = Alteration { replaced: Vec::new(), added: vec![lamp] };
        let lit = self.of_one_reading(self.altered_further(more));
        lit.voltage(red, black, meter, step, theta)
    }

    fn resistance(&self, red: PointId, black: PointId, step: f64, theta: &Uncertainties) -> Prediction {
        let instruments = self.instruments();
        if let Some(fuse) = fuse_in_hand(self.vehicle, &self.model.state, red, black) {
            let Some((ohms, deviation)) = ohms_in_hand(self.vehicle, &self.hypothesis, fuse) else {
                let no_path = Scale::of_ohms(instruments, instruments.no_path.0);
                return Prediction::alone(Scale::LogOhms, no_path, instruments.no_path_deviation);
            };
            let off = (deviation.0.hypot(instruments.leads_deviation.0) / (ohms + instruments.leads).0)
                .hypot(rounding_variance(step).sqrt());
            return Prediction::alone(Scale::LogOhms, Scale::of_ohms(instruments, ohms.0), off);
        }
        let live = self.volts(red, black);
        if live.abs() > instruments.live.0 {
            let mean = Scale::of_ohms(instruments, live.abs() / instruments.ohmmeter_current.0);
            return Prediction::alone(Scale::LogOhms, mean, instruments.live_deviation);
        }
        let no_path = Scale::of_ohms(instruments, instruments.no_path.0);
        let over = || Prediction::alone(Scale::LogOhms, no_path, instruments.no_path_deviation);
        let Some(dead) = self.model.dead_under(self.vehicle, &self.hypothesis) else { return over() };
        if dead.between(red.index(), black.index()) == Between::Floating {
            return over();
        }
        let transfer = dead.transfer(red.index(), black.index());
        let ohms = transfer.resistance().0.max(0.0);
        if ohms > instruments.no_path.0 {
            return over();
        }
        let at = self.sensitivity(&dead, &transfer);
        let whole = ohms + instruments.leads.0;
        let mut electronics = 0.0;
        for load in self.vehicle.loads() {
            let share = at.share_of_resistance(load) / whole;
            electronics += (instruments.asleep_deviation * share).powi(2);
        }
        let moves = |&(uncertain, deviation): &(Uncertain, f64)| match uncertain {
            Uncertain::Resistance(part) => deviation * at.healthy_share(part) * at.share_of_resistance(part) / whole,
            _ => 0.0,
        };
        let mut loadings = Loadings::of(theta.entries().iter().map(moves).enumerate());
        theta.warm(&mut loadings);
        let sizes = at.size_loadings().map(|(_, swing)| swing / whole);
        let leads = instruments.leads_deviation.0 / whole;
        let own_variance = instruments.ohmmeter_gain.powi(2) + leads * leads + rounding_variance(step) + electronics;
        Prediction {
            scale: Scale::LogOhms,
            mean: Scale::of_ohms(instruments, ohms),
            floating: false,
            loadings: loadings.into(),
            sizes,
            own_variance,
            supplies: 0,
            moment: 0,
            drift: 0.0,
        }
    }

    /// Of a part that has changed places: where it leads from and to, and its
    /// conductance, S.
    fn moved(&self, part: PartId) -> Option<(usize, usize, f64)> {
        let mut faults = self.hypothesis.faults().map(|(fault, _)| fault);
        let swap = faults.find(|fault| fault.mode == FailureMode::Crossed && fault.involves(part))?;
        let other = swap.parts().find(|&other| other != part)?;
        let ends = (self.vehicle.part(part).from.index(), self.vehicle.part(other).to.index());
        let added = self.model.alteration(self.vehicle, &self.hypothesis).added;
        let branch = added.into_iter().find(|branch| (branch.from, branch.to) == ends)?;
        let conductance = if let Law::Resistor(own) = branch.law { own.0 } else { 0.0 };
        Some((branch.from, branch.to, conductance))
    }

    /// A current by clamp, or by an ammeter in line.
    fn current(&self, part: PartId, step: f64, theta: &Uncertainties) -> Prediction {
        let mut shown = self.current_itself(part, step, theta);
        let instruments = self.instruments();
        let ammeter = Ammeter::of(instruments, step);
        let AmmeterError { noise: Amps(noise), gain, .. } = ammeter.error(instruments);
        for (at, &(uncertain, deviation)) in theta.of_meters() {
            if uncertain == Uncertain::Zero(ammeter) {
                Rc::make_mut(&mut shown.loadings).add(at, deviation);
            }
        }
        shown.own_variance += noise * noise + (gain * shown.mean).powi(2);
        shown
    }

    /// A current, and nothing of what it is read with but its last digit.
    pub fn current_itself(&self, part: PartId, step: f64, theta: &Uncertainties) -> Prediction {
        let (from, to) = self.vehicle.part(part).ends();
        let as_drawn = || (from.index(), to.index(), self.altered.slope(part.index()));
        let moved = self.moved(part);
        let (from, to, slope) = moved.unwrap_or_else(as_drawn);
        let amps = match (moved, self.altered.between(from, to)) {
            (None, _) => self.altered.current(part.index()).0,
            (Some(_), Between::Volts(volts)) => slope * volts.0,
            (Some(_), Between::Floating) => 0.0,
        };
        let transfer = match moved {
            None => self.altered.transfer_of_current(part.index()),
            Some(_) => self.altered.transfer(from, to),
        };
        let at = self.sensitivity(&self.altered, &transfer);
        let spread = self.spread(theta);
        let across = transfer.to_all(&spread.outputs);
        let mut loadings = spread.moved_by(&across, slope);
        // What changes a part's own resistance changes its current beside the
        // voltage across it.
        if let Some((place, Uncertain::Resistance(_), deviation)) = theta.of_part(part) {
            loadings.add(place, -self.deviation_here(part, deviation) * at.healthy_share(part) * amps);
        }
        if let Some((place, deviation)) = theta.of_supply(part) {
            loadings.add(place, deviation * slope);
        }
        theta.warm(&mut loadings);
        let (across, own) = (at.size_loadings(), at.own_size_loadings(part));
        let sizes = std::array::from_fn(|index| slope * across[index].0 + own[index]);
        let chatter = if self.altered.convergence() == Convergence::Oscillating {
            self.tables().spreads.chatter * amps
        } else {
            0.0
        };
        let of_leads = slope * slope * self.of_leads(&transfer, 1.0);
        let own_variance = rounding_variance(step) + of_leads + chatter * chatter;
        Prediction {
            scale: Scale::Amps,
            mean: amps,
            floating: false,
            loadings: loadings.into(),
            sizes,
            own_variance,
            supplies: 0,
            moment: 0,
            drift: 0.0,
        }
    }
}

/// Whether a circuit is live between two points: an ohmmeter shows nonsense.
pub fn is_live(model: &StateModel, vehicle: &Vehicle, red: PointId, black: PointId) -> bool {
    if fuse_in_hand(vehicle, &model.state, red, black).is_some() {
        return false;
    }
    let view = model.view(vehicle, &Hypothesis::Sound);
    view.volts(red, black).abs() > model.tables().instruments.live.0
}
