//! A vehicle as it really is: parts that are not quite as drawn, one of them
//! at fault, a meter that is a little off. Its readings come from solving the
//! whole network afresh, never from the engine's changed solve.

use super::{Conditions, Instrument, Tails};
use crate::belief::{Appearance, appearance_chances};
use crate::fault::{Fault, alteration};
use crate::meter::MeterKind;
use crate::network::{Between, Branch, Law, Network, Settling, Solution, SolveError, network_of, solve};
use crate::predict::{Theta, Uncertain};
use crate::quantity::{LARGEST_READING, TypedVolts, Volts};
use crate::vehicle::{LoadBehaviour, PartId, PartKind, PointId, Reach, State, Supply, Vehicle};
use rand::seq::IndexedRandom;
use rand::{Rng, RngExt};
use rand_distr::{Distribution, StandardNormal, StudentT};
use std::cell::RefCell;
use std::collections::HashMap;
use std::rc::Rc;

/// Degrees of freedom of the heavy tails; their variance is ν/(ν − 2).
const FREEDOM: f64 = 4.0;
/// How far a supply wanders between readings, as a share of its voltage; common
/// practice, no source.
const WANDER: f64 = 0.00125;
/// Noise of a probe contact, V; common practice, no source.
const PROBE_NOISE: f64 = 3e-4;
/// Stray voltage that a meter shows on a point that hangs in the air, V; common
/// practice, no source.
const STRAY: f64 = 0.05;
/// Share of misreads where the probe was on another pin; the rest are slips in
/// the decimal point or in two digits. Common practice, no source.
const WRONG_PIN: f64 = 0.5;
/// Share of its made voltage below which a sound load does not run.
const RUNS_ABOVE: f64 = 0.6;

/// What is really there.
pub struct World {
    vehicle: Vehicle,
    fault: Fault,
    size: f64,
    /// Fuses that the fault has opened; they stay so.
    blown: Vec<usize>,
    blocked: Vec<PointId>,
    gain: f64,
    offset: f64,
    conditions: Conditions,
    solved: RefCell<HashMap<(State, Condition), Rc<Solution>>>,
}

/// A reading as it was written down.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Taken {
    /// What was written down.
    pub volts: TypedVolts,
    /// Whether it was misread, or taken at a wrong pin.
    pub is_misread: bool,
}

/// With the fault or as if it had not come.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
enum Condition {
    Sound,
    Faulty,
}

/// Real parts for a vehicle that is drawn.
pub fn real_parts(drawn: &Vehicle, conditions: &Conditions, random: &mut impl Rng) -> Vehicle {
    let mut real = drawn.clone();
    let supplies = Theta::of(drawn, &[], &[]);
    let missing: HashMap<PartId, f64> = supplies
        .entries()
        .iter()
        .filter_map(|&(uncertain, deviation)| match uncertain {
            Uncertain::SupplyVoltage(part) => Some((part, deviation)),
            _ => None,
        })
        .collect();
    for (index, part) in real.parts.iter_mut().enumerate() {
        let factor = (part.spread * conditions.spread * deviate(conditions.tails, random)).exp();
        part.resistance.value.0 *= factor;
        match &mut part.kind {
            PartKind::Load { behaviour: LoadBehaviour::ConstantCurrent(amps), .. } => amps.0 /= factor,
            PartKind::Load { behaviour: LoadBehaviour::Resistance(ohms), .. } => ohms.0 *= factor,
            PartKind::Supply(supply) => {
                let spread = conditions.supplies * missing.get(&PartId::new(index)).copied().unwrap_or(0.0);
                let off = spread * deviate(conditions.tails, random);
                match supply {
                    Supply::Battery { rest, .. } => rest.0 += off,
                    Supply::Regulated { set, .. } => set.0 += off,
                }
            }
            _ => {}
        }
    }
    real
}

/// A deviation of unit spread.
fn deviate(tails: Tails, random: &mut impl Rng) -> f64 {
    match tails {
        Tails::Normal => StandardNormal.sample(random),
        Tails::Heavy => {
            let wide: f64 = StudentT::new(FREEDOM).map_or(0.0, |tails| tails.sample(random));
            wide * ((FREEDOM - 2.0) / FREEDOM).sqrt()
        }
    }
}

impl World {
    /// Real parts with a fault, and a meter.
    pub fn new(
        vehicle: Vehicle,
        fault: Fault,
        size: f64,
        meter: MeterKind,
        conditions: &Conditions,
        random: &mut impl Rng,
    ) -> Self {
        let sheet = meter.meter();
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
            fault,
            size,
            blown: Vec::new(),
            blocked,
            gain,
            offset,
            conditions: *conditions,
            solved: RefCell::default(),
            vehicle,
        }
    }

    /// The fuses that the fault opens in a state; from now on they are open.
    ///
    /// # Errors
    /// [`SolveError`] if the circuit has no solution.
    pub fn blow(&mut self, state: &State) -> Result<Vec<PartId>, SolveError> {
        let (sound, faulty) = (self.solved(state, Condition::Sound)?, self.solved(state, Condition::Faulty)?);
        let opened = |&branch: &usize| faulty.is_blown(branch) && !sound.is_blown(branch);
        self.blown = (0..self.vehicle.parts.len()).filter(opened).collect();
        self.solved.borrow_mut().clear();
        Ok(self.blown.iter().copied().map(PartId::new).collect())
    }

    /// The network in a state, fault and all.
    pub fn network(&self, state: &State) -> Network {
        self.network_as(state, Condition::Faulty)
    }

    fn network_as(&self, state: &State, condition: Condition) -> Network {
        let mut network = network_of(&self.vehicle, state);
        if condition == Condition::Faulty {
            let change = alteration(&self.vehicle, &network, self.fault, self.size);
            if let Some((branch, law)) = change.replaced {
                network.branches[branch].law = law;
            }
            network.branches.extend(change.added);
            for &fuse in &self.blown {
                network.branches[fuse].law = Law::Open;
            }
        }
        network
    }

    fn solved(&self, state: &State, condition: Condition) -> Result<Rc<Solution>, SolveError> {
        let key = (state.clone(), condition);
        if let Some(known) = self.solved.borrow().get(&key) {
            return Ok(Rc::clone(known));
        }
        let solution = Rc::new(solve(self.network_as(state, condition))?);
        self.solved.borrow_mut().insert(key, Rc::clone(&solution));
        Ok(solution)
    }

    /// Whether something chatters in a state.
    ///
    /// # Errors
    /// As [`Self::blow`].
    pub fn is_restless(&self, state: &State) -> Result<bool, SolveError> {
        Ok(self.solved(state, Condition::Faulty)?.settling() == Settling::Restless)
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

    fn looks_as(&self, state: &State, load: PartId, condition: Condition) -> Result<[f64; 3], SolveError> {
        let PartKind::Load { kind, rated, .. } = self.vehicle.part(load).kind else { return Ok([0.0, 0.0, 1.0]) };
        let sound = self.solved(state, Condition::Sound)?.across(load.index()).0.abs();
        let usual = if sound > RUNS_ABOVE * rated.0 { sound } else { rated.0 };
        let share = match (condition, self.fault.part == load) {
            (Condition::Faulty, true) => 0.0,
            _ => self.solved(state, condition)?.across(load.index()).0.abs() / usual,
        };
        Ok(appearance_chances(kind, share))
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

    /// Whether a probe can get at a point.
    pub fn can_reach(&self, point: PointId) -> bool {
        self.vehicle.reach(point) != Reach::Never && !self.blocked.contains(&point)
    }

    /// What somebody writes down for a reading.
    ///
    /// # Errors
    /// As [`Self::blow`].
    pub fn read(
        &self,
        state: &State,
        (red, black): (PointId, PointId),
        meter: MeterKind,
        random: &mut impl Rng,
    ) -> Result<Taken, SolveError> {
        let is_misread = random.random_bool(self.conditions.misreads.clamp(0.0, 1.0));
        let wrong_pin = is_misread && random.random_bool(WRONG_PIN);
        let red = if wrong_pin { self.neighbour(red, random) } else { red };
        let volts = self.volts(state, red, black, meter, random)?;
        let sheet = meter.meter();
        let off = Volts(volts.0 * (1.0 + self.gain) + self.offset * sheet.step(volts).0);
        let mut shown = TypedVolts { value: sheet.shows(off), step: sheet.step(off) };
        if is_misread && !wrong_pin {
            shown.value = slip(shown.value, random);
            shown.step = sheet.step(shown.value);
        }
        Ok(Taken { volts: shown, is_misread })
    }

    /// Volts at the tips of the probes, with the meter on them.
    fn volts(
        &self,
        state: &State,
        red: PointId,
        black: PointId,
        meter: MeterKind,
        random: &mut impl Rng,
    ) -> Result<Volts, SolveError> {
        let noise: [f64; 2] = [StandardNormal.sample(random), StandardNormal.sample(random)];
        let [wander, own] = if self.conditions.instrument == Instrument::Real { noise } else { [0.0; 2] };
        let (red, black) = (red.index(), black.index());
        if self.solved(state, Condition::Faulty)?.between(red, black) == Between::Floating {
            return Ok(Volts(STRAY * own));
        }
        let mut metered = self.network(state);
        let law = Law::Resistor(meter.meter().input.conductance());
        metered.branches.push(Branch { from: red, to: black, law });
        let volts = match solve(metered)?.between(red, black) {
            Between::Volts(volts) => volts.0,
            Between::Floating => 0.0,
        };
        Ok(Volts(volts * (1.0 + WANDER * wander) + PROBE_NOISE * own))
    }

    /// Another point at the same place.
    fn neighbour(&self, point: PointId, random: &mut impl Rng) -> PointId {
        let places = &self.vehicle.point(point).places;
        let beside: Vec<PointId> = (0..self.vehicle.points.len())
            .map(PointId::new)
            .filter(|&other| other != point)
            .filter(|&other| self.vehicle.point(other).places.iter().any(|place| places.contains(place)))
            .collect();
        beside.choose(random).copied().unwrap_or(point)
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

/// A slip of the pen: the decimal point moved, or another first digit.
fn slip(value: Volts, random: &mut impl Rng) -> Volts {
    let wrong = match random.random_range(0..3) {
        0 => value.0 * 10.0,
        1 => value.0 / 10.0,
        _ => value.0 + f64::from(random.random_range(1..=9u8)) * if value.abs().0 < 1.0 { 0.1 } else { 1.0 },
    };
    if wrong.abs() > LARGEST_READING.0 { Volts(value.0 / 10.0) } else { Volts(wrong) }
}
