//! A vehicle as it really is: parts that are not quite as drawn, one of them
//! at fault, a meter that is a little off. Its readings come from solving the
//! whole network afresh, never from the engine's changed solve.

mod parts;
mod readings;

pub use parts::real_parts;
pub use readings::Taken;

use super::hidden::Trouble;
use super::{Conditions, Instrument};
use crate::belief::{Appearance, Sign, appearance_chances};
use crate::fault::{Fault, Mode, alteration, concerns};
use crate::meter::MeterKind;
use crate::network::{Alteration, Branch, Convergence, Law, Network, Solution, SolveError, network_of, solve_like};
use crate::plan::Sense;
use crate::quantity::Amps;
use crate::tables::Tables;
use crate::tables::instruments::Instruments;
use crate::vehicle::{Coil, Load, PartId, PointId, Reach, State, Vehicle};
use rand::{Rng, RngExt};
use rand_distr::{Distribution, StandardNormal};
use std::cell::RefCell;
use std::collections::HashMap;
use std::rc::Rc;

/// Heat that a hand feels, W, and current that a source's lamp shows, A;
/// common practice, no source.
const WARM: f64 = 1.0;
const GIVES: f64 = 0.05;
/// Chance that eye, ear or hand is mistaken; common practice, no source.
const MISTAKEN: f64 = 0.06;
/// Share of its made voltage below which a sound load does not run.
const RUNS_ABOVE: f64 = 0.6;

/// What is really there.
#[derive(Clone)]
pub struct World {
    tables: Rc<Tables>,
    vehicle: Vehicle,
    trouble: Trouble,
    /// Fuses that the fault has opened; they stay so.
    blown: Vec<usize>,
    blocked: Vec<PointId>,
    gain: f64,
    offset: f64,
    conditions: Conditions,
    solved: RefCell<HashMap<(State, Condition), Rc<Solution>>>,
}

/// With the fault or as if it had not come.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
enum Condition {
    Sound,
    Faulty,
}

impl World {
    /// Real parts with a fault, and a meter.
    pub fn new(
        tables: &Rc<Tables>,
        vehicle: Vehicle,
        trouble: Trouble,
        meter: MeterKind,
        conditions: &Conditions,
        random: &mut impl Rng,
    ) -> Self {
        let sheet = meter.meter(&tables.instruments);
        let mut unit = || -> f64 {
            match conditions.instrument {
                Instrument::Real => StandardNormal.sample(random),
                Instrument::Perfect => 0.0,
            }
        };
        let (gain, offset) = (sheet.gain_deviation() * unit(), sheet.digits / 2.0 * unit());
        let points = (0..vehicle.points.len()).map(PointId::new);
        let blocked =
            points.filter(|&point| point != vehicle.black && random.random_bool(conditions.blocked.clamp(0.0, 1.0)));
        let blocked = blocked.collect();
        Self {
            tables: Rc::clone(tables),
            trouble,
            blown: Vec::new(),
            blocked,
            gain,
            offset,
            conditions: *conditions,
            solved: RefCell::default(),
            vehicle,
        }
    }

    /// The instruments that it is read with.
    pub fn instruments(&self) -> &Instruments {
        &self.tables.instruments
    }

    /// The fuses that the fault opens in a state beside those that it has; they
    /// stay open.
    ///
    /// # Errors
    /// [`SolveError`] if the circuit has no solution.
    pub fn blow(&mut self, state: &State) -> Result<Vec<PartId>, SolveError> {
        let (sound, faulty) = (self.solved(state, Condition::Sound)?, self.solved(state, Condition::Faulty)?);
        let opened = |&branch: &usize| faulty.is_blown(branch) && !sound.is_blown(branch);
        let opened: Vec<PartId> = (0..self.vehicle.parts.len()).filter(opened).map(PartId::new).collect();
        self.open_fuses(&opened);
        Ok(opened)
    }

    /// Opens fuses for good.
    pub fn open_fuses(&mut self, fuses: &[PartId]) {
        if !fuses.is_empty() {
            self.blown.extend(fuses.iter().map(|fuse| fuse.index()));
            self.solved.borrow_mut().clear();
        }
    }

    /// Drops what was solved; readings stay the same. A solved state takes some
    /// megabytes.
    pub fn forget(&self) {
        self.solved.borrow_mut().clear();
    }

    /// What is wrong.
    pub fn trouble(&self) -> &Trouble {
        &self.trouble
    }

    /// The same vehicle once parts have been renewed; none if nothing that was
    /// wrong is left, or nothing of it was among them. What the drawing does not
    /// show is there still.
    pub fn after_repair(&self, renewed: &[PartId]) -> Option<Self> {
        let trouble = self.trouble_after(renewed);
        let goes_on = match trouble {
            Trouble::Undrawn { .. } => true,
            left => left != Trouble::Nothing && left != self.trouble,
        };
        goes_on.then(|| self.with(trouble, Vec::new()))
    }

    /// The same vehicle once one part has been renewed, whatever was wrong.
    pub fn renewed(&self, part: PartId) -> Self {
        let blown = self.blown.iter().copied().filter(|&fuse| fuse != part.index()).collect();
        self.with(self.trouble_after(&[part]), blown)
    }

    fn trouble_after(&self, renewed: &[PartId]) -> Trouble {
        let is_left = |(fault, _): &(Fault, f64)| !renewed.iter().any(|&part| concerns(&self.vehicle, *fault, part));
        let mut left = self.trouble.faults().filter(is_left);
        match (self.trouble, left.next(), left.next()) {
            (Trouble::Undrawn { .. }, ..) => self.trouble,
            (_, Some(first), Some(second)) => Trouble::Two(first, second),
            (_, Some((fault, size)), None) => Trouble::One(fault, size),
            _ => Trouble::Nothing,
        }
    }

    fn with(&self, trouble: Trouble, blown: Vec<usize>) -> Self {
        Self {
            vehicle: self.vehicle.clone(),
            trouble,
            blown,
            blocked: self.blocked.clone(),
            tables: Rc::clone(&self.tables),
            solved: RefCell::default(),
            ..*self
        }
    }

    /// The network in a state, fault and all.
    pub fn network(&self, state: &State) -> Network {
        self.network_as(state, Condition::Faulty)
    }

    fn network_as(&self, state: &State, condition: Condition) -> Network {
        let mut network = network_of(&self.vehicle, state);
        if condition == Condition::Faulty {
            network = self.change(state, &network).applied_to(&network);
            for &fuse in &self.blown {
                network.branches[fuse].law = Law::Open;
            }
        }
        network
    }

    /// What the trouble changes.
    fn change(&self, state: &State, network: &Network) -> Alteration {
        let faults = self
            .trouble
            .faults()
            .map(|(fault, size)| alteration(&self.tables.faults, &self.vehicle, state, network, fault, size));
        let mut change = faults.reduce(Alteration::and).unwrap_or_default();
        if let Trouble::Undrawn { from, to, ohms } = self.trouble {
            let law = Law::Resistor(ohms.conductance());
            change.added.push(Branch { from: from.index(), to: to.index(), law });
        }
        change
    }

    fn solved(&self, state: &State, condition: Condition) -> Result<Rc<Solution>, SolveError> {
        let key = (state.clone(), condition);
        if let Some(known) = self.solved.borrow().get(&key) {
            return Ok(Rc::clone(known));
        }
        let network = self.network_as(state, condition);
        let known = self.solved.borrow().values().next().map(Rc::clone);
        let solution = Rc::new(solve_like(known.as_deref(), network)?);
        self.solved.borrow_mut().insert(key, Rc::clone(&solution));
        Ok(solution)
    }

    /// Whether something chatters in a state.
    ///
    /// # Errors
    /// As [`Self::blow`].
    pub fn is_restless(&self, state: &State) -> Result<bool, SolveError> {
        Ok(self.solved(state, Condition::Faulty)?.convergence() == Convergence::Oscillating)
    }

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

    /// Current that a supply gives in a state.
    ///
    /// # Errors
    /// As [`Self::blow`].
    pub fn given(&self, state: &State, supply: PartId) -> Result<Amps, SolveError> {
        Ok(self.solved(state, Condition::Faulty)?.current(supply.index()))
    }

    /// The same as if the fault had not come.
    ///
    /// # Errors
    /// As [`Self::blow`].
    pub fn given_when_sound(&self, state: &State, supply: PartId) -> Result<Amps, SolveError> {
        Ok(self.solved(state, Condition::Sound)?.current(supply.index()))
    }

    fn looks_as(&self, state: &State, load: PartId, condition: Condition) -> Result<[f64; 3], SolveError> {
        let Some(&Load { kind, rated, .. }) = self.vehicle.part(load).kind.load() else { return Ok([0.0, 0.0, 1.0]) };
        let sound = self.solved(state, Condition::Sound)?.across(load.index()).0.abs();
        let usual = if sound > RUNS_ABOVE * rated.0 { sound } else { rated.0 };
        let itself = |(fault, _)| {
            let fault: Fault = fault;
            fault.part == load && fault.mode.stops_load()
        };
        let share = match condition {
            Condition::Faulty if self.trouble.faults().any(itself) => 0.0,
            _ => self.solved(state, condition)?.across(load.index()).0.abs() / usual,
        };
        Ok(appearance_chances(&self.tables.signs, kind, share))
    }

    /// How a load looks to somebody.
    ///
    /// # Errors
    /// As [`Self::blow`].
    pub fn look(&self, state: &State, load: PartId, random: &mut impl Rng) -> Result<Appearance, SolveError> {
        let chances = self.looks(state, load)?;
        Ok(match self.conditions.instrument {
            Instrument::Real => seen(&chances, random),
            Instrument::Perfect => likeliest(&chances),
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
        let mistaken = self.conditions.instrument == Instrument::Real && random.random_bool(MISTAKEN);
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
        let is_open = self.trouble.faults().any(|(fault, _)| fault.part == subject && fault.mode == Mode::Open);
        let (is, yes, no) = match sense {
            Sense::Look => return Ok(Sign::Looks(likeliest(&self.looks(state, subject)?))),
            Sense::Listen => {
                let Some(Coil { pull_in, .. }) = self.vehicle.part(subject).kind.coil() else {
                    return Ok(Sign::Silent);
                };
                (!is_open && solution.across(index).abs() >= pull_in, Sign::Clicks, Sign::Silent)
            }
            Sense::Fuse => {
                let blown = is_open || solution.is_blown(index) || self.blown.contains(&index);
                (blown, Sign::LooksBlown, Sign::LooksWhole)
            }
            Sense::Feel => {
                let watts = (solution.across(index) * solution.current(index)).abs();
                (watts.0 > WARM, Sign::Hot, Sign::Cool)
            }
            Sense::Source => (solution.current(index).0 > GIVES, Sign::Gives, Sign::Idle),
        };
        Ok(if is { yes } else { no })
    }

    /// Whether a probe can get at a point.
    pub fn can_reach(&self, point: PointId) -> bool {
        self.vehicle.reach(point) != Reach::Never && !self.blocked.contains(&point)
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
