//! Fault drawn from the catalogue until one makes a complaint (rejection
//! sampling).

use super::bench::Bench;
use super::complaint::Noticed;
use super::conditions::{Conditions, Draw, WrongKind};
use super::hidden::{DrawnCase, Hidden};
use super::trouble::{Trouble, beside};
use super::world::{World, real_parts};
use crate::fault::{FailureMode, Likely, Size, sizes};
use crate::meter::MeterKind;
use crate::network::SolveError;
use crate::predict::Hypothesis;
use crate::quantity::Ohms;
use crate::tables::faults::Faults;
use crate::tables::trial::Decades;
use crate::vehicle::{PointId, State};
use rand::distr::weighted::WeightedIndex;
use rand::{Rng, RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rand_distr::Distribution;

/// Numerical: the middle of each third of a stretch of sizes, in its widths.
const WITHIN: [f64; 3] = [-2.0 / 3.0, 0.0, 2.0 / 3.0];

impl Bench {
    /// Draws faults until one makes a complaint.
    ///
    /// # Errors
    /// [`SolveError`] if the circuit has no solution.
    pub fn draw(&self, conditions: &Conditions, seed: u64) -> Result<DrawnCase, SolveError> {
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let mut drawn = DrawnCase { found: None, unnoticed: 0, restless: 0, alike: 0 };
        let any_mode = !matches!(conditions.wrong, WrongKind::Resistance | WrongKind::Faint);
        let is_drawn = |mode: FailureMode| any_mode || mode == FailureMode::HighResistance;
        let weight = |likely: &Likely| match conditions.draw {
            _ if !is_drawn(likely.fault.mode) => 0.0,
            Draw::ByRate => likely.rate,
            Draw::Evenly => 1.0,
        };
        let Ok(choice) = WeightedIndex::new(self.catalogue.iter().map(weight)) else { return Ok(drawn) };
        for _ in 0..self.tables.trial.draws {
            let Some(trouble) = self.trouble(conditions, &choice, &mut random) else { continue };
            let real = real_parts(&self.tables, &self.vehicle, conditions, &mut random);
            let mut world = World::new(&self.tables, real, trouble, MeterKind::default(), conditions, &mut random);
            // Of two faults each must be one that somebody would notice.
            if let Trouble::Two(..) = trouble
                && !self.are_both_noticed(&world, conditions, &mut random)?
            {
                drawn.unnoticed += 1;
                continue;
            }
            match self.complaint(&world, conditions, &mut random)? {
                Noticed::Yes { subject, sign, is_mistaken, settings } => {
                    let state = State::rest(&self.vehicle).with_all(&settings);
                    if self.reads_as_drawn(trouble, &state)? {
                        drawn.alike += 1;
                        continue;
                    }
                    let blown = world.blow(&state)?;
                    let beside = beside(&self.vehicle, &trouble);
                    let hidden = Hidden { trouble, blown, beside, subject, sign, is_mistaken, settings };
                    drawn.found = Some((hidden, world));
                    break;
                }
                Noticed::No => drawn.unnoticed += 1,
                Noticed::Chatters => drawn.restless += 1,
            }
        }
        Ok(drawn)
    }

    /// What is wrong this time.
    fn trouble(
        &self,
        conditions: &Conditions,
        choice: &WeightedIndex<f64>,
        random: &mut ChaCha8Rng,
    ) -> Option<Trouble> {
        let mut fault = || {
            let fault = self.catalogue[choice.sample(random)].fault;
            (fault, draw_size(&self.tables.faults, fault.mode, random).unwrap_or(0.0))
        };
        match conditions.wrong {
            WrongKind::OnePart | WrongKind::Resistance | WrongKind::Faint => {
                let (fault, size) = fault();
                Some(Trouble::One(fault, size))
            }
            WrongKind::TwoParts => {
                let (first, second) = (fault(), fault());
                (first.0.part != second.0.part).then_some(Trouble::Two(first, second))
            }
            WrongKind::Drawing => {
                let mut point = || PointId::new(random.random_range(0..self.vehicle.points.len()));
                let (from, to) = (point(), point());
                let Decades { from: least, to: most } = self.tables.trial.undrawn;
                let ohms = Ohms(10f64.powf(random.random_range(least..most)));
                (from != to).then_some(Trouble::Undrawn { from, to, ohms })
            }
        }
    }

    /// Whether a wrong drawing reads like a drawn fault at every point, as a
    /// path to chassis or past a switch does: then it is that fault.
    fn reads_as_drawn(&self, trouble: Trouble, state: &State) -> Result<bool, SolveError> {
        let Trouble::Undrawn { from, to, ohms } = trouble else { return Ok(false) };
        let model = self.engine.predictor().in_state(state)?;
        let volts = |hypothesis: &Hypothesis| -> Vec<f64> {
            let view = model.view(&self.vehicle, hypothesis);
            (0..self.vehicle.points.len()).map(|point| view.volts(PointId::new(point), self.vehicle.black)).collect()
        };
        let size = Size { value: ohms.0, width: 0.0, share: 1.0 };
        let real = volts(&Hypothesis::UndrawnPath { from, to, size, opened: None });
        let alike = |hypothesis: &Hypothesis| {
            let drawn = volts(hypothesis);
            real.iter().zip(&drawn).all(|(a, b)| (a - b).abs() < self.tables.trial.telling * self.vehicle.nominal.0)
        };
        let drawn = self.catalogue.iter().flat_map(|likely| {
            let sizes = sizes(&self.tables.faults, likely.fault.mode).into_iter().flat_map(finely);
            sizes.map(|size| Hypothesis::Faulty { fault: likely.fault, size })
        });
        Ok(drawn.into_iter().any(|hypothesis| alike(&hypothesis)))
    }

    fn are_both_noticed(
        &self,
        world: &World,
        conditions: &Conditions,
        random: &mut impl Rng,
    ) -> Result<bool, SolveError> {
        for (mended, _) in world.trouble().faults() {
            let Some(rest) = world.after_repair(&[mended.part]) else { return Ok(false) };
            if !matches!(self.complaint(&rest, conditions, random)?, Noticed::Yes { .. }) {
                return Ok(false);
            }
        }
        Ok(true)
    }
}

/// Sizes throughout a stretch.
fn finely(size: Option<Size>) -> Vec<Option<Size>> {
    match size {
        Some(size) => WITHIN.map(|at| Some(Size { value: size.value * (size.width * at).exp(), ..size })).to_vec(),
        None => vec![None],
    }
}

/// A size from the whole range of a way to fail: one of its stretches by its
/// share, evenly in the logarithm within.
fn draw_size(faults: &Faults, mode: FailureMode, random: &mut impl Rng) -> Option<f64> {
    let stretches: Vec<_> = sizes(faults, mode).into_iter().flatten().collect();
    let choice = WeightedIndex::new(stretches.iter().map(|size| size.share)).ok()?;
    let stretch = stretches[choice.sample(random)];
    Some(drawn_within(stretch, random))
}

/// A size from a stretch, evenly in the logarithm.
pub fn drawn_within(stretch: Size, random: &mut impl Rng) -> f64 {
    stretch.value * (stretch.width * random.random_range(-1.0..1.0)).exp()
}
