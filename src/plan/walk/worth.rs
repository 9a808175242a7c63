//! Which readings of the whole walk are worth their time: what each tells of
//! every drop, by the same arithmetic by which readings at handover are used.
//!
//! With the readings' loadings J, those of what lasts T and the covariance P of
//! the uncertain quantities, a reading j with noise of its own takes (T P j)² /
//! (jᵀ P j + own) from the variance of each drop. What its supply and meter were
//! that day tells nothing later, so T leaves them out.

use super::circuits::{Losses, all, losses};
use super::leg::leg;
use crate::meter::MeterKind;
use crate::network::SolveError;
use crate::predict::{Hypothesis, Prediction, Predictor, Probe, StateModel};
use crate::quantity::Minutes;
use crate::vehicle::{PartId, PlaceId, State};
use std::rc::Rc;

/// What readings tell.
#[derive(Debug, Clone, PartialEq)]
pub struct Yield {
    /// Share of what is uncertain about the losses of all loads that they take
    /// away, every load alike.
    pub told: f64,
    /// Loads whose loss stays uncertain.
    pub not_covered: Vec<PartId>,
}

/// The readings of the short walk.
pub(super) fn short(predictor: &Predictor) -> Result<Vec<(State, Probe)>, SolveError> {
    let all = all(predictor);
    let vehicle = predictor.vehicle();
    let mut table = GainTable::of(predictor, &all, &losses(predictor))?;
    let (mut chosen, mut opened, mut states): (Vec<usize>, Vec<PlaceId>, Vec<&State>) = Default::default();
    let whole = table.left();
    let mut minutes = Minutes(0.0);
    while table.left() > predictor.tables().plan.walk_left * whole && minutes.0 < predictor.tables().plan.walk_minutes.0
    {
        let legs = (0..all.len()).filter(|index| !chosen.contains(index)).map(|index| {
            let (state, probe) = &all[index];
            // What was set for another reading is set.
            let rest = State::rest(vehicle);
            let now = if states.contains(&state) { state } else { &rest };
            (index, leg((predictor.tables(), vehicle), now, &opened, state, *probe))
        });
        let rated = legs.map(|(index, leg)| (table.gain(index) / leg.minutes.0, index, leg));
        let Some((rate, index, leg)) = rated.max_by(|a, b| a.0.total_cmp(&b.0)) else { break };
        if rate <= 0.0 {
            break;
        }
        table.take(index);
        minutes += leg.minutes;
        chosen.push(index);
        opened.extend(leg.opens);
        states.push(&all[index].0);
    }
    chosen.sort_unstable();
    Ok(chosen.into_iter().map(|index| all[index].clone()).collect())
}

/// What readings tell of the losses of all loads.
///
/// # Errors
/// [`SolveError`] if a state has no solution.
pub fn told_of(predictor: &Predictor, readings: &[(State, Probe)]) -> Result<Yield, SolveError> {
    let losses = losses(predictor);
    let mut table = GainTable::of(predictor, readings, &losses)?;
    let (whole, before) = (table.left(), table.uncertain());
    (0..readings.len()).for_each(|reading| table.take(reading));
    let least = predictor.tables().plan.walk_least * predictor.vehicle().nominal.0;
    let is_open = |&at: &usize| {
        table.uncertain()[at].sqrt() > (predictor.tables().plan.walk_covered * before[at].sqrt()).max(least)
    };
    let not_covered = (0..losses.len()).filter(is_open).map(|at| losses[at].load).collect();
    Ok(Yield { told: 1.0 - table.left() / whole, not_covered })
}

/// Covariances of readings, and with what they are to tell of.
struct GainTable {
    /// Of each reading with each, J P Jᵀ, row by row.
    readings: Vec<Vec<f64>>,
    /// Of each reading with each drop, J P Tᵀ, row by row.
    drops: Vec<Vec<f64>>,
    /// Noise of each reading.
    own: Vec<f64>,
    /// Variance of each drop.
    untold: Vec<f64>,
    /// How much each drop counts: every load alike, but for those that lose
    /// next to nothing.
    weights: Vec<f64>,
    /// Of each load, the drops that are its whole way there and back.
    whole: Vec<[Option<usize>; 2]>,
}

impl GainTable {
    fn of(predictor: &Predictor, readings: &[(State, Probe)], losses: &[Losses]) -> Result<Self, SolveError> {
        let vehicle = predictor.vehicle();
        let of_load = |of: &Losses| -> Vec<(State, Probe)> {
            of.there.iter().chain(&of.back).map(|&probe| (of.state.clone(), probe)).collect()
        };
        let wanted: Vec<(State, Probe)> = losses.iter().flat_map(of_load).collect();
        let mut models: Vec<(&State, Rc<StateModel>)> = Vec::new();
        for (state, _) in readings.iter().chain(&wanted) {
            if !models.iter().any(|(known, _)| *known == state) {
                models.push((state, predictor.in_state(state)?));
            }
        }
        let meter = MeterKind::default();
        let theta = predictor.uncertainties();
        let shown = |of: &[(State, Probe)]| -> Vec<Prediction> {
            let of = of.iter().filter_map(|(state, probe)| {
                let (_, model) = models.iter().find(|(known, _)| *known == state)?;
                Some(model.view(vehicle, &Hypothesis::Sound).shown(*probe, meter, 0.0, theta))
            });
            of.collect()
        };
        let (readings, mut drops) = (shown(readings), shown(&wanted));
        drops.iter_mut().for_each(|drop| Rc::make_mut(&mut drop.loadings).retain(|at| theta.entries()[at].0.lasts()));
        let with = |others: &[Prediction]| -> Vec<Vec<f64>> {
            let row = |reading: &Prediction| reading.covariances(others.iter());
            readings.iter().map(row).collect()
        };
        let untold: Vec<f64> = drops.iter().map(|drop| drop.covariance(drop)).collect();
        let own = readings.iter().map(|reading| reading.own_variance).collect();
        let least = (predictor.tables().plan.walk_least * vehicle.nominal.0).powi(2);
        let (mut weights, mut whole) = (Vec::new(), Vec::new());
        for of in losses {
            let (start, there, count) = (weights.len(), of.there.len(), of.there.len() + of.back.len());
            let ends = [there.checked_sub(1), (count > there).then_some(there)].map(|at| at.map(|at| start + at));
            let variance: f64 = ends.iter().flatten().map(|&at| untold[at]).sum();
            weights.resize(start + count, 1.0 / (count as f64 * (variance + least)));
            whole.push(ends);
        }
        Ok(Self { drops: with(&drops), readings: with(&readings), own, untold, weights, whole })
    }

    /// Variance of what each load loses.
    fn uncertain(&self) -> Vec<f64> {
        self.whole.iter().map(|ends| ends.iter().flatten().map(|&at| self.untold[at]).sum()).collect()
    }

    /// What is still untold of all drops.
    fn left(&self) -> f64 {
        self.untold.iter().zip(&self.weights).map(|(untold, weight)| untold * weight).sum()
    }

    fn variance(&self, reading: usize) -> f64 {
        self.readings[reading][reading] + self.own[reading]
    }

    /// What of it a reading would take away.
    fn gain(&self, reading: usize) -> f64 {
        let taken = self.drops[reading].iter().zip(&self.weights).map(|(with, weight)| weight * with * with);
        taken.sum::<f64>() / self.variance(reading)
    }

    /// A reading is taken.
    fn take(&mut self, reading: usize) {
        let variance = self.variance(reading);
        let (row, to_drops) = (self.readings[reading].clone(), self.drops[reading].clone());
        for (other, share) in row.iter().map(|with| with / variance).enumerate() {
            self.readings[other].iter_mut().zip(&row).for_each(|(with, taken)| *with -= share * taken);
            self.drops[other].iter_mut().zip(&to_drops).for_each(|(with, taken)| *with -= share * taken);
        }
        self.untold.iter_mut().zip(&to_drops).for_each(|(untold, with)| *untold -= with * with / variance);
    }
}
