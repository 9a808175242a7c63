//! The vehicle as it is: parts that are not quite as drawn, one of them at
//! fault, a meter that is a little off. Its voltages come from solving the whole
//! network afresh, never from the engine's changed solve.

use crate::fault::{Fault, alteration, concerns};
use crate::memo::Memo;
use crate::meter::MeterKind;
use crate::network::{Alteration, Branch, Convergence, Law, Network, Orders, Solution, SolveError, network_of};
use crate::quantity::Amps;
use crate::tables::Tables;
use crate::tables::instruments::Instruments;
use crate::trial::conditions::{Conditions, MeterQuality};
use crate::trial::trouble::Trouble;
use crate::vehicle::{PartId, PointId, Reach, State, Vehicle};
use rand::{Rng, RngExt};
use rand_distr::{Distribution, StandardNormal};
use std::rc::Rc;

/// What is really there.
#[derive(Clone)]
pub struct World {
    pub(super) tables: Rc<Tables>,
    pub(super) vehicle: Vehicle,
    pub(super) trouble: Trouble,
    /// Fuses that the fault has opened; they stay so.
    pub(super) blown: Vec<usize>,
    pub(super) blocked: Vec<PointId>,
    pub(super) gain: f64,
    pub(super) offset: f64,
    pub(super) conditions: Conditions,
    solved: Memo<(State, Condition), Rc<Solution>>,
    orders: Rc<Orders>,
}

/// With the fault or as if it had not come.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(super) enum Condition {
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
                MeterQuality::Real => StandardNormal.sample(random),
                MeterQuality::Perfect => 0.0,
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
            solved: Memo::new(tables.memory.real_states),
            orders: Rc::default(),
            vehicle,
        }
    }

    /// The tables that it is made by.
    pub fn tables(&self) -> &Tables {
        &self.tables
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
            self.solved.clear();
        }
    }

    /// Drops what was solved; readings stay the same. A solved state takes some
    /// megabytes.
    pub fn forget(&self) {
        self.solved.clear();
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
            solved: Memo::new(self.tables.memory.real_states),
            orders: Rc::clone(&self.orders),
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

    pub(super) fn solved(&self, state: &State, condition: Condition) -> Result<Rc<Solution>, SolveError> {
        let solve = || self.orders.solve(self.network_as(state, condition)).map(Rc::new);
        self.solved.get_or_try((state.clone(), condition), solve)
    }

    /// Whether something chatters in a state.
    ///
    /// # Errors
    /// As [`Self::blow`].
    pub fn is_restless(&self, state: &State) -> Result<bool, SolveError> {
        Ok(self.solved(state, Condition::Faulty)?.convergence() == Convergence::Oscillating)
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

    /// Whether a probe can get at a point.
    pub fn can_reach(&self, point: PointId) -> bool {
        self.vehicle.reach(point) != Reach::Never && !self.blocked.contains(&point)
    }
}
