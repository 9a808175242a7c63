//! What eye, ear and hand tell of the vehicle as it is.

use super::as_is::{Condition, World};
use super::people::{people_say, turns};
use crate::fault::{FailureMode, Fault};
use crate::network::SolveError;
use crate::vehicle::{LoadKind, PartId, State};
use rand::seq::IndexedRandom;
use rand::{Rng, RngExt};

/// How a load looks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Look {
    /// It does nothing.
    Dead,
    /// Less than it should.
    Weak,
    /// As it should.
    Right,
}

impl Look {
    /// In the order of shares of people.
    pub const ALL: [Self; 3] = [Self::Dead, Self::Weak, Self::Right];

    /// The words beside it.
    fn beside(self) -> &'static [Self] {
        match self {
            Self::Dead | Self::Right => &[Self::Weak],
            Self::Weak => &[Self::Dead, Self::Right],
        }
    }
}

/// What else people tell by their senses.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sensation {
    /// A relay clicks.
    Click,
    /// A fuse is broken.
    Break,
    /// A part is warm.
    Warmth,
    /// A source gives something.
    Output,
    /// A lamp in the place of a fuse is bright.
    LampLight,
}

impl World {
    /// Shares of people to whom a load is dead, weak and right in a state.
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
        let Some(kind) = self.seen_as(state, load) else { return Ok([0.0, 0.0, 1.0]) };
        Ok(people_say(&self.tables.world, kind, self.share(state, load, condition)?))
    }

    /// Share of its usual voltage that a load has; none if it does nothing itself.
    fn share(&self, state: &State, load: PartId, condition: Condition) -> Result<f64, SolveError> {
        let rated = self.vehicle.part(load).kind.load().map_or(self.vehicle.nominal, |load| load.rated);
        let sound = self.solved(state, Condition::Sound)?.across(load.index()).0.abs();
        let usual = if sound > self.tables.world.runs_above * rated.0 { sound } else { rated.0 };
        let itself = |(fault, _): (Fault, f64)| fault.part == load && stands_still(fault.mode);
        let share = self.solved(state, condition)?.across(load.index()).0.abs() / usual;
        if state.is_off(&self.vehicle, load) {
            return Ok(0.0);
        }
        // A lamp in its place has nothing of it.
        if condition == Condition::Sound || state.has_lamp(&self.vehicle, load) {
            return Ok(share);
        }
        Ok(if self.trouble.faults().any(itself) { 0.0 } else { share * self.worth(load) })
    }

    /// The kind of load that is looked at: its own, or a lamp in its place.
    fn seen_as(&self, state: &State, load: PartId) -> Option<LoadKind> {
        let own = self.vehicle.part(load).kind.load()?.kind;
        Some(if state.has_lamp(&self.vehicle, load) { LoadKind::Lamp } else { own })
    }

    /// What a load that draws too little or too much makes of its voltage, as a
    /// share: with half of its elements it does half, like on √½ of its volts;
    /// a motor that drags slows by what its windings drop more, ω ∝ V − I·R.
    fn worth(&self, load: PartId) -> f64 {
        let draws = |(fault, size): (Fault, f64)| (fault.part == load && fault.mode.is_of_draw()).then_some(size);
        match (self.trouble.faults().find_map(draws), self.vehicle.part(load).kind.load()) {
            (Some(size), _) if size < 1.0 => size.sqrt(),
            (Some(size), Some(load)) if turns(load.kind) => {
                (1.0 - self.tables.world.winding_drop * (size - 1.0)).max(0.0)
            }
            _ => 1.0,
        }
    }

    /// Whether a load runs when all is sound.
    ///
    /// # Errors
    /// As [`Self::blow`].
    pub fn is_served(&self, state: &State, load: PartId) -> Result<bool, SolveError> {
        let rated = self.vehicle.part(load).kind.load().map_or(self.vehicle.nominal, |load| load.rated);
        let sound = self.solved(state, Condition::Sound)?;
        let carries = sound.current(load.index()).0.abs() > self.tables.trial.least_current.0;
        Ok(carries && sound.across(load.index()).0.abs() > self.tables.world.runs_above * rated.0)
    }

    /// How a load looks to the person of this case.
    ///
    /// # Errors
    /// As [`Self::blow`].
    pub fn look_truly(&self, state: &State, load: PartId) -> Result<Look, SolveError> {
        let Some(kind) = self.seen_as(state, load) else { return Ok(Look::Right) };
        let [dead, weak] = self.person.lines(&self.tables.world, kind);
        Ok(match self.share(state, load, Condition::Faulty)? {
            share if share < dead => Look::Dead,
            share if share < weak => Look::Weak,
            _ => Look::Right,
        })
    }

    /// What that person says of it.
    ///
    /// # Errors
    /// As [`Self::blow`].
    pub fn look_at(&self, state: &State, load: PartId, random: &mut impl Rng) -> Result<Look, SolveError> {
        let truly = self.look_truly(state, load)?;
        let lapses = self.is_real() && random.random_bool(self.tables.world.lapse);
        Ok(if lapses { truly.beside().choose(random).copied().unwrap_or(truly) } else { truly })
    }

    /// Whether somebody tells of a sensation.
    ///
    /// # Errors
    /// As [`Self::blow`].
    pub fn tells(
        &self,
        state: &State,
        subject: PartId,
        sensation: Sensation,
        random: &mut impl Rng,
    ) -> Result<bool, SolveError> {
        let truly = self.is_so(state, subject, sensation)?;
        let of = &self.tables.world;
        let [missed, imagined] = match sensation {
            Sensation::Click if self.is_welded(subject) => [1.0 - of.welded_click, of.relay_click[1]],
            Sensation::Click => of.relay_click,
            Sensation::Break => of.fuse_look,
            Sensation::Warmth => of.hand_feel,
            Sensation::Output => of.source_look,
            Sensation::LampLight => of.lamp_look,
        };
        let mistaken = self.is_real() && random.random_bool(if truly { missed } else { imagined });
        Ok(truly != mistaken)
    }

    /// Whether there is anything of it to tell.
    ///
    /// # Errors
    /// As [`Self::blow`].
    pub fn is_so(&self, state: &State, subject: PartId, sensation: Sensation) -> Result<bool, SolveError> {
        let solution = self.solved(state, Condition::Faulty)?;
        let index = subject.index();
        let is_open =
            self.trouble.faults().any(|(fault, _)| fault.part == subject && fault.mode == FailureMode::OpenCircuit);
        Ok(match sensation {
            Sensation::Click => {
                let coil = self.vehicle.part(subject).kind.coil();
                coil.is_some_and(|coil| !is_open && solution.across(index).abs() >= coil.pull_in)
            }
            Sensation::Break => is_open || solution.is_blown(index) || self.blown.contains(&index),
            Sensation::Warmth => {
                let watts = (solution.across(index) * solution.current(index)).abs();
                watts.0 > self.tables.world.feels_from.0
            }
            Sensation::Output => solution.current(index).0 > self.tables.world.shows_from.0,
            Sensation::LampLight => {
                let share = solution.across(index).abs().0 / self.vehicle.nominal.0;
                state.has_lamp(&self.vehicle, subject) && share > self.tables.world.lamp_bright_from
            }
        })
    }

    /// Whether a contact of this coil is welded.
    fn is_welded(&self, coil: PartId) -> bool {
        let of_coil = |part: PartId| self.vehicle.part(part).kind.contact().is_some_and(|contact| contact.coil == coil);
        self.trouble.faults().any(|(fault, _)| fault.mode == FailureMode::ContactWelded && of_coil(fault.part))
    }
}

/// Whether a load that has failed so does nothing: one that draws more or less, or
/// does not go to sleep, goes on.
fn stands_still(mode: FailureMode) -> bool {
    !mode.is_of_draw() && mode != FailureMode::StaysAwake
}

/// What a load is to most people.
pub fn likeliest(shares: &[f64; 3]) -> Look {
    let most = |&a: &usize, &b: &usize| shares[a].total_cmp(&shares[b]);
    (0..shares.len()).max_by(most).map_or(Look::Right, |at| Look::ALL[at])
}
