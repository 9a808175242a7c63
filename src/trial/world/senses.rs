//! Human observation: what eye, ear and hand tell of the vehicle as it is.

use super::as_is::{Condition, World};
use crate::belief::{Appearance, Sign, appearance_chances};
use crate::fault::{FailureMode, Fault};
use crate::network::SolveError;
use crate::plan::Sense;
use crate::trial::conditions::MeterQuality;
use crate::vehicle::{Load, PartId, State};
use rand::{Rng, RngExt};

impl World {
    /// Chances that a load looks dead, weak and right in a state.
    ///
    /// # Errors
    /// As [`Self::blow`].
    pub fn looks(&self, state: &State, load: PartId) -> Result<[f64; 3], SolveError> {
        self.looks_as(state, load, Condition::Faulty)
    }

    /// The same as if the fault had not come.
    ///
    /// # Errors
    /// As [`Self::blow`].
    pub fn looks_when_sound(&self, state: &State, load: PartId) -> Result<[f64; 3], SolveError> {
        self.looks_as(state, load, Condition::Sound)
    }

    fn looks_as(&self, state: &State, load: PartId, condition: Condition) -> Result<[f64; 3], SolveError> {
        let Some(&Load { kind, rated, .. }) = self.vehicle.part(load).kind.load() else { return Ok([0.0, 0.0, 1.0]) };
        let sound = self.solved(state, Condition::Sound)?.across(load.index()).0.abs();
        let usual = if sound > self.tables.trial.runs_above * rated.0 { sound } else { rated.0 };
        let itself = |(fault, size): (Fault, f64)| if fault.part == load { fault.mode.output(size) } else { 1.0 };
        let output: f64 = match condition {
            Condition::Faulty => self.trouble.faults().map(itself).product(),
            Condition::Sound => 1.0,
        };
        let share = output * self.solved(state, condition)?.across(load.index()).0.abs() / usual;
        Ok(appearance_chances(&self.tables.signs, kind, share))
    }

    /// How a load looks to somebody.
    ///
    /// # Errors
    /// As [`Self::blow`].
    pub fn look(&self, state: &State, load: PartId, random: &mut impl Rng) -> Result<Appearance, SolveError> {
        let chances = self.looks(state, load)?;
        Ok(match self.conditions.instrument {
            MeterQuality::Real => seen(&chances, random),
            MeterQuality::Perfect => likeliest(&chances),
        })
    }

    /// What somebody tells of a part.
    ///
    /// # Errors
    /// As [`Self::blow`].
    pub fn sense(
        &self,
        state: &State,
        subject: PartId,
        sense: Sense,
        random: &mut impl Rng,
    ) -> Result<Sign, SolveError> {
        if sense == Sense::Look {
            return Ok(Sign::Looks(self.look(state, subject, random)?));
        }
        let truth = self.sense_truly(state, subject, sense)?;
        let mistaken =
            self.conditions.instrument == MeterQuality::Real && random.random_bool(self.tables.trial.mistaken);
        let other = sense.outcomes().iter().copied().find(|&sign| sign != truth);
        Ok(if mistaken { other.unwrap_or(truth) } else { truth })
    }

    /// What there is to tell of a part for somebody who is not mistaken.
    ///
    /// # Errors
    /// As [`Self::blow`].
    pub fn sense_truly(&self, state: &State, subject: PartId, sense: Sense) -> Result<Sign, SolveError> {
        let solution = self.solved(state, Condition::Faulty)?;
        let index = subject.index();
        let is_open =
            self.trouble.faults().any(|(fault, _)| fault.part == subject && fault.mode == FailureMode::OpenCircuit);
        let (is, yes, no) = match sense {
            Sense::Look => return Ok(Sign::Looks(likeliest(&self.looks(state, subject)?))),
            Sense::Listen => {
                let Some(coil) = self.vehicle.part(subject).kind.coil() else { return Ok(Sign::Silent) };
                (!is_open && solution.across(index).abs() >= coil.pull_in, Sign::Clicks, Sign::Silent)
            }
            Sense::Fuse => {
                let blown = is_open || solution.is_blown(index) || self.blown.contains(&index);
                (blown, Sign::LooksBlown, Sign::LooksWhole)
            }
            Sense::Feel => {
                let watts = (solution.across(index) * solution.current(index)).abs();
                (watts.0 > self.tables.trial.warm.0, Sign::Hot, Sign::Cool)
            }
            Sense::Source => (solution.current(index).0 > self.tables.trial.gives.0, Sign::Gives, Sign::Idle),
        };
        Ok(if is { yes } else { no })
    }
}

/// What somebody takes a load for.
pub fn seen(chances: &[f64; 3], random: &mut impl Rng) -> Appearance {
    let mut left = random.random_range(0.0..chances.iter().sum());
    for appearance in Appearance::ALL {
        left -= chances[appearance.index()];
        if left < 0.0 {
            return appearance;
        }
    }
    Appearance::Works
}

/// What a load most likely looks like.
pub fn likeliest(chances: &[f64; 3]) -> Appearance {
    let most = |a: &Appearance, b: &Appearance| chances[a.index()].total_cmp(&chances[b.index()]);
    Appearance::ALL.into_iter().max_by(most).unwrap_or(Appearance::Works)
}
