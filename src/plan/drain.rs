//! What empties a battery at rest: a clamp round its lead says how much before
//! anything else; then clamp, millivolts across fuses, or fuses pulled with the clamp
//! left where it is, half of what is in question at a time; behind a fuse from wire
//! to wire.

use super::advice::{Advice, Test};
use super::effort::Situation;
use super::valuation::{Rough, Valuation};
use super::value::live;
use super::views::Views;
use super::{phone, ranking};
use crate::belief::{Belief, Engine, Explanation, Observation, Sign};
use crate::network::SolveError;
use crate::predict::{Probe, StateModel};
use crate::vehicle::{ControlId, ControlKind, PartId, Position, State};
use std::rc::Rc;

/// Numerical: share of a drain that goes through what stops it when it is pulled.
const MOST_OF_IT: f64 = 0.5;
/// Numerical: what half of the belief may be missed by.
const NEAR_ENOUGH: f64 = 0.02;

/// From: even odds.
const AS_LIKELY: f64 = 0.5;

/// A fuse or plug, and which explanations drain through it.
struct Pullable {
    control: ControlId,
    stops: Vec<bool>,
    is_out: bool,
    /// What it takes to turn it round.
    minutes: f64,
}

/// The next tests as long as something may drain a battery that is likelier weak: who
/// condemns it has looked for a drain first. They are chosen as if both were as likely.
pub(super) fn not_yet_excluded(
    engine: &Engine,
    belief: &Belief,
    situation: &Situation<'_>,
) -> Result<Vec<Advice>, SolveError> {
    let figures = &engine.tables().plan;
    let Some(flat) = flat(situation) else { return Ok(Vec::new()) };
    let drains = Drains::from(engine, flat)?;
    let share = belief.share(|one| drains.by(one));
    if !(figures.no_drain..AS_LIKELY).contains(&share) {
        return Ok(Vec::new());
    }
    let advices = ranking::best(engine, &belief.supposing(|one| drains.by(one), AS_LIKELY), situation)?;
    let measured = |Advice { test, settings, .. }: Advice| match test {
        Test::Measure(probe) => Some(Rough { probe, settings, rate: 0.0 }),
        Test::Ask(_) | Test::Sense { .. } => None,
    };
    // What an outcome means is told by what is believed, not by what is supposed.
    let actual = live(figures, belief);
    let valuation = Valuation::of(engine, belief, &actual, situation, figures.least_bits);
    valuation.exact(&advices.into_iter().filter_map(measured).collect::<Vec<_>>())
}

/// The battery that goes flat, where a clamp may be used.
fn flat<'s>(situation: &Situation<'s>) -> Option<&'s Observation> {
    let mut observations = situation.evidence.observations.iter();
    observations.find(|seen| seen.sign == Sign::GoesFlat).filter(|_| !phone::plain_volts_only(situation))
}

/// What a battery that goes flat gives more than in a sound vehicle.
pub struct Drains<'e> {
    engine: &'e Engine,
    model: Rc<StateModel>,
    battery: PartId,
}

impl<'e> Drains<'e> {
    /// In the state in which it goes flat.
    ///
    /// # Errors
    /// [`SolveError`] if that state has no solution.
    pub fn from(engine: &'e Engine, flat: &Observation) -> Result<Self, SolveError> {
        Ok(Self { engine, model: engine.predictor().in_state(&flat.state)?, battery: flat.subject })
    }

    /// Whether it gives more by an explanation.
    pub fn by(&self, one: &Explanation) -> bool {
        let Self { engine, model, battery } = self;
        let altered = model.under(engine.vehicle(), &model.series().stand_in(&one.hypothesis, &[]));
        let sound = model.solution().current(battery.index());
        altered.current(battery.index()) - sound > engine.tables().plan.least_drain
    }
}

impl Valuation<'_> {
    /// Whether somebody looks for what empties a battery at rest.
    pub fn hunts_a_drain(&self) -> bool {
        self.situation.evidence.hunts_a_drain()
    }

    /// The last digit that will be read of it, where it is a finer one than usual: for a
    /// drain a clamp for milliamperes.
    pub fn finest(&self, probe: Probe) -> f64 {
        let is_fine = matches!(probe, Probe::Current { .. }) && self.hunts_a_drain();
        if is_fine { self.engine.tables().instruments.fine_digit.0 } else { 0.0 }
    }

    fn flat(&self) -> Option<&Observation> {
        flat(self.situation)
    }

    /// A clamp round the battery, as long as that has not been read.
    pub fn round_the_battery(&self) -> Option<Rough> {
        let probe = Probe::Current { part: self.flat()?.subject };
        let is_read = self.situation.evidence.readings.iter().any(|reading| reading.probe.is_same(probe));
        let is_open = !is_read && self.may_hold(probe) && !self.is_done(probe, &[]);
        is_open.then(|| Rough { probe, settings: Vec::new(), rate: 0.0 })
    }

    /// What fits again what was pulled since the battery was said to go flat.
    fn fitted(&self) -> Vec<(ControlId, Position)> {
        let Some(flat) = self.flat() else { return Vec::new() };
        let can_be_pulled = |&control: &ControlId| self.can_be_pulled(control);
        let controls = self.vehicle.control_ids().filter(can_be_pulled);
        let then = controls.map(|control| (control, flat.state.position(control)));
        then.filter(|&(control, position)| self.situation.state.position(control) != position).collect()
    }

    /// The same of what some of the drain may go through; the rest stays out.
    pub fn fitted_again(&self) -> Result<Vec<(ControlId, Position)>, SolveError> {
        let (Some(flat), mut fitted) = (self.flat(), self.fitted()) else { return Ok(Vec::new()) };
        if !fitted.is_empty() {
            let pulls = self.all_pulls(flat.subject)?;
            let in_question = |pull: &Pullable| self.share_stopped([pull].into_iter()) > NEAR_ENOUGH;
            fitted.retain(|&(control, _)| pulls.iter().any(|pull| pull.control == control && in_question(pull)));
        }
        Ok(fitted)
    }

    fn can_be_pulled(&self, control: ControlId) -> bool {
        matches!(self.vehicle.control(control).kind, ControlKind::Fuse | ControlKind::Plug)
    }

    /// With everything fitted: a clamp round the battery, round every fuse that may
    /// carry some of it, or volts across it where no clamp goes, and round suspect wires.
    pub fn drain_probes(&self, state: &State) -> Result<Vec<Probe>, SolveError> {
        let Some(flat) = self.flat() else { return Ok(Vec::new()) };
        let model = self.engine.predictor().in_state(state)?;
        let views = Views::of(self.vehicle, &model, self.live);
        let mut probes = vec![Probe::Current { part: flat.subject }];
        let figures = &self.engine.tables().plan;
        let fuses = self.vehicle.part_ids().filter(|&part| self.vehicle.part(part).kind.is_fuse());
        for fuse in fuses.filter(|&fuse| views.any(|view| view.amps(fuse).abs() > figures.least_drain.0)) {
            let (red, black) = self.vehicle.part(fuse).ends();
            let (clamp, across) = (Probe::Current { part: fuse }, Probe::voltage(red, black));
            // Millivolts know the fuse's resistance only roughly.
            if self.may_hold(clamp) && !self.is_unwanted(clamp) {
                probes.push(clamp);
            } else if self.may_hold(across) {
                probes.push(across);
            }
        }
        // Behind a fuse the clamp goes from wire to wire.
        let is_wire = |part: &PartId| self.vehicle.part(*part).kind.is_cable();
        let wires = self.suspect_parts().filter(is_wire).take(figures.special);
        probes.extend(wires.map(|part| Probe::Current { part }));
        Ok(probes)
    }

    /// Fuses and plugs to pull or fit again, so many that about half of the belief
    /// drains through what is out then, and half as many; the clamp stays round the battery.
    pub fn pulls(&self) -> Result<Vec<Rough>, SolveError> {
        let Some(battery) = self.flat().map(|flat| flat.subject) else { return Ok(Vec::new()) };
        let probe = Probe::Current { part: battery };
        if self.is_unwanted(probe) {
            return Ok(Vec::new());
        }
        let mut pulls = self.all_pulls(battery)?;
        let distance = |pulls: &[Pullable]| (self.share_stopped(pulls.iter().filter(|pull| pull.is_out)) - 0.5).abs();
        let mut settings: Vec<(ControlId, Position)> = Vec::new();
        let mut left = distance(&pulls);
        loop {
            let mut best = None;
            for at in 0..pulls.len() {
                pulls[at].is_out ^= true;
                let then = distance(&pulls);
                pulls[at].is_out ^= true;
                let rate = (left - then) / pulls[at].minutes;
                if then + NEAR_ENOUGH < left && best.is_none_or(|(_, _, most)| rate > most) {
                    best = Some((at, then, rate));
                }
            }
            let Some((at, then, _)) = best else { break };
            pulls[at].is_out ^= true;
            left = then;
            let position = if pulls[at].is_out { Position::Off } else { Position::On };
            settings.retain(|&(control, _)| control != pulls[at].control);
            if self.situation.state.position(pulls[at].control) != position {
                settings.push((pulls[at].control, position));
            }
        }
        let half = settings[..settings.len().div_ceil(2)].to_vec();
        let mut all = vec![half, settings];
        all.dedup();
        let place = |&(control, _): &(ControlId, Position)| (self.vehicle.control(control).place, control);
        all.iter_mut().for_each(|settings| settings.sort_by_key(place));
        let readings = &self.situation.evidence.readings;
        let is_read = |state: State| readings.iter().any(|seen| seen.probe.is_same(probe) && seen.state == state);
        all.retain(|settings| !settings.is_empty() && !is_read(self.situation.state.with_all(settings)));
        Ok(all.into_iter().map(|settings| Rough { probe, settings, rate: 0.0 }).collect())
    }

    /// What can be pulled by who is there, as it stands now.
    fn all_pulls(&self, battery: PartId) -> Result<Vec<Pullable>, SolveError> {
        let fitted = self.situation.state.with_all(&self.fitted());
        let model = self.engine.predictor().in_state(&fitted)?;
        let mut views = Views::of(self.vehicle, &model, self.live);
        let mut more = |part: PartId| -> Vec<f64> {
            let sound = model.solution().current(part.index()).0;
            let more = |amps: f64| (amps - sound).abs();
            views.each(Probe::Current { part }, |view| more(view.amps(part)))
        };
        let drains = more(battery);
        let least = self.engine.tables().plan.least_drain.0;
        let mut pulls = Vec::new();
        for control in self.vehicle.control_ids().filter(|&control| self.can_be_pulled(control)) {
            let is_gated = |part: &PartId| self.vehicle.part(*part).gates.iter().any(|&(gate, _)| gate == control);
            let can_reach = |part: &PartId| self.situation.can_reach(self.vehicle, self.vehicle.part(*part).from);
            let mut stops = vec![false; self.live.len()];
            for part in self.vehicle.part_ids().filter(is_gated).filter(can_reach) {
                let through = more(part);
                let at = through.iter().zip(&drains).map(|(through, all)| *all > least && *through > MOST_OF_IT * all);
                stops.iter_mut().zip(at).for_each(|(stops, at)| *stops |= at);
            }
            let position = self.situation.state.position(control);
            let is_out = position == Position::Off;
            if is_out || stops.iter().any(|&stops| stops) {
                let turned = [(control, position.opposite())];
                let minutes = self.situation.settings_effort(self.vehicle, &turned).minutes.0;
                pulls.push(Pullable { control, stops, is_out, minutes });
            }
        }
        Ok(pulls)
    }

    /// Share of the belief that drains through these.
    fn share_stopped<'p>(&self, pulls: impl Iterator<Item = &'p Pullable> + Clone) -> f64 {
        let is_stopped = |at: usize| pulls.clone().any(|pull| pull.stops[at]);
        self.live.iter().enumerate().filter(|(at, _)| is_stopped(*at)).map(|(_, live)| live.share).sum()
    }
}
