//! The vehicle as it is: parts that are not quite as drawn, one of them at
//! fault, a meter that is a little off. Its voltages come from solving the whole
//! network afresh, never from the engine's changed solve.

use super::chance::laplace;
use super::departure::Departure;
use super::hand::Habit;
use super::instruments::{DisplayError, Errors, display_errors};
use super::people::Person;
use crate::fault::{Fault, concerns};
use crate::memo::Memo;
use crate::meter::MeterKind;
use crate::network::{
    Alteration, Between, Branch, Convergence, Law, Network, Orders, Solution, SolveError, network_of,
};
use crate::quantity::{Amps, Volts};
use crate::tables::Tables;
use crate::trial::conditions::{Conditions, MeterQuality, Misreading};
use crate::trial::mechanics::effect;
use crate::trial::trouble::Trouble;
use crate::vehicle::{PartId, PointId, Reach, State, Vehicle};
use rand::{Rng, RngExt};
use std::cell::Cell;
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
    pub(super) meter: MeterKind,
    pub(super) errors: Errors,
    pub(super) person: Person,
    pub(super) hand: Habit,
    /// How the vehicle's own instruments are off.
    pub(super) displays: Rc<[(PartId, DisplayError)]>,
    /// Where the drawing is wrong though nothing is broken.
    departure: Option<Departure>,
    /// How far the supplies have wandered, as a share.
    wander: Cell<f64>,
    /// What they have lost since testing began, as a share.
    sagged: Cell<f64>,
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
        let (errors, person) = match conditions.instrument {
            MeterQuality::Real => (Errors::today(&tables.world, random), Person::anybody(random)),
            MeterQuality::Perfect => (Errors::none(&tables.world), Person::USUAL),
        };
        let points = (0..vehicle.points.len()).map(PointId::new);
        let blocked =
            points.filter(|&point| point != vehicle.black && random.random_bool(conditions.blocked.clamp(0.0, 1.0)));
        let blocked = blocked.collect();
        let is_real = conditions.instrument == MeterQuality::Real;
        let displays = display_errors(&tables.world, &vehicle, is_real, random).into();
        Self {
            displays,
            tables: Rc::clone(tables),
            trouble,
            blown: Vec::new(),
            blocked,
            meter,
            errors,
            person,
            hand: Habit::new(conditions.misreads),
            departure: None,
            wander: Cell::new(0.0),
            sagged: Cell::new(0.0),
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

    /// The same with a drawing that is wrong besides.
    pub fn departing(mut self, departure: Option<Departure>) -> Self {
        if let Some(departure) = departure {
            departure.shape(&mut self.vehicle);
            self.departure = Some(departure);
            self.solved.clear();
        }
        self
    }

    /// The same with what another has otherwise, in parts that are so already.
    pub(super) fn departed_as(self, other: &Self) -> Self {
        Self { departure: other.departure, ..self }
    }

    /// Where its drawing is wrong besides.
    pub fn departure(&self) -> Option<Departure> {
        self.departure
    }

    /// The same before anybody has read anything, with a hand that slips so.
    pub fn untouched(&self, misreads: Misreading) -> Self {
        let hand = Habit::new(misreads);
        Self { hand, wander: Cell::new(0.0), sagged: Cell::new(0.0), ..self.clone() }
    }

    /// The same in the hands of somebody who was told why to read again.
    pub fn told_why(&self) -> Self {
        Self { hand: Habit::new(self.conditions.misreads), ..self.clone() }
    }

    /// What the supplies stand at now, as a share: they wander, what pulls them
    /// lasts a while, and they sag while they are tested.
    pub(super) fn wandered(&self, random: &mut impl Rng) -> f64 {
        let of = &self.tables.world;
        self.wander.set(of.wander_kept * self.wander.get() + laplace(of.wander, random));
        self.sagged.set(self.sagged.get() + of.sags);
        1.0 + self.wander.get() - self.sagged.get()
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

    /// The fuses that are open for good.
    pub fn blown(&self) -> Vec<PartId> {
        self.blown.iter().copied().map(PartId::new).collect()
    }

    /// How much more volts the fault puts between two points; a point in the air is
    /// at none.
    ///
    /// # Errors
    /// [`SolveError`] if the circuit has no solution.
    pub fn moved(&self, state: &State, (red, black): (PointId, PointId)) -> Result<Volts, SolveError> {
        let volts = |condition| {
            Ok::<_, SolveError>(match self.solved(state, condition)?.between(red.index(), black.index()) {
                Between::Volts(volts) => volts,
                Between::Floating => Volts(0.0),
            })
        };
        Ok(volts(Condition::Faulty)? - volts(Condition::Sound)?)
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
    /// wrong is left, or nothing of it was among them and the drawing holds: a
    /// drawing that does not sends people to sound parts, and the hunt goes on.
    /// What the drawing does not show is there still.
    pub fn after_repair(&self, renewed: &[PartId]) -> Option<Self> {
        let trouble = self.trouble_after(renewed);
        let goes_on = match trouble {
            Trouble::Undrawn { .. } | Trouble::Departed(_) => true,
            left => left != Trouble::Nothing && (left != self.trouble || self.departure.is_some()),
        };
        goes_on.then(|| self.with(trouble, Vec::new()))
    }

    /// The same vehicle once one part has been renewed, whatever was wrong.
    pub fn renewed(&self, part: PartId) -> Self {
        let blown = self.blown.iter().copied().filter(|&fuse| fuse != part.index()).collect();
        self.with(self.trouble_after(&[part]), blown)
    }

    /// The same vehicle before anything was wrong with it.
    pub fn before_the_fault(&self) -> Self {
        self.with(Trouble::Nothing, Vec::new())
    }

    fn trouble_after(&self, renewed: &[PartId]) -> Trouble {
        let is_left = |(fault, _): &(Fault, f64)| !renewed.iter().any(|&part| concerns(&self.vehicle, *fault, part));
        let mut left = self.trouble.faults().filter(is_left);
        match (self.trouble, left.next(), left.next()) {
            (Trouble::Undrawn { .. } | Trouble::Departed(_), ..) => self.trouble,
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
            displays: Rc::clone(&self.displays),
            hand: self.hand.clone(),
            wander: self.wander.clone(),
            sagged: self.sagged.clone(),
            ..*self
        }
    }

    /// The network in a state, fault and all.
    pub fn network(&self, state: &State) -> Network {
        self.network_as(state, Condition::Faulty)
    }

    fn network_as(&self, state: &State, condition: Condition) -> Network {
        let departed = match (self.trouble, condition) {
            (Trouble::Departed(departure), Condition::Faulty) => Some(departure),
            _ => None,
        };
        let mut shaped = None;
        if let Some(departure) = departed {
            departure.shape(shaped.insert(self.vehicle.clone()));
        }
        let mut network = network_of(shaped.as_ref().unwrap_or(&self.vehicle), state);
        [self.departure, departed].into_iter().flatten().for_each(|departure| departure.join(&mut network));
        if condition == Condition::Faulty {
            network = self.change(state, &network).applied_to(&network);
            // A lamp in the place of a blown fuse lights.
            let blown = self.blown.iter().filter(|&&fuse| !state.has_lamp(&self.vehicle, PartId::new(fuse)));
            for &fuse in blown {
                network.branches[fuse].law = Law::Open;
            }
        }
        network
    }

    /// What the trouble changes.
    fn change(&self, state: &State, network: &Network) -> Alteration {
        let faults = self.trouble.faults().map(|sized| effect(&self.tables, &self.vehicle, state, network, sized));
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
