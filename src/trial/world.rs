//! A vehicle as it really is: parts that are not quite as drawn, one of them
//! at fault, a meter that is a little off. Its readings come from solving the
//! whole network afresh, never from the engine's changed solve.

use super::hidden::Trouble;
use super::{Conditions, Instrument, Tails};
use crate::belief::{Appearance, Sign, appearance_chances};
use crate::fault::{Fault, Mode, alteration};
use crate::meter::{MeterKind, OHMMETER_AMPS};
use crate::network::{
    Alteration, Between, Branch, Law, Network, Settling, Solution, SolveError, as_an_ohmmeter_finds_it, network_of,
    solve,
};
use crate::plan::Sense;
use crate::predict::{Burden, LAMP_OHMS, Probe, Theta, Uncertain};
use crate::quantity::{Amps, LARGEST_READING, Measured, Ohms, Typed, Volts};
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
/// Resistance of leads, Ω, and the most an ohmmeter shows; common practice, no source.
const LEADS: f64 = 0.2;
const MOST_OHMS: f64 = 40e6;
/// Zero of a clamp, A; common practice, no source.
const CLAMP_ZERO: f64 = 0.08;
/// Heat that a hand feels, W, and current that a source's lamp shows, A;
/// common practice, no source.
const WARM: f64 = 1.0;
const GIVES: f64 = 0.05;
/// Spread that parts gain from handover to the fault, as a share of their spread;
/// common practice, no source.
const AGED: f64 = 0.3;
/// Chance that eye, ear or hand is mistaken; common practice, no source.
const MISTAKEN: f64 = 0.06;
/// Share of its made voltage below which a sound load does not run.
const RUNS_ABOVE: f64 = 0.6;

/// What is really there.
#[derive(Clone)]
pub struct World {
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

/// A reading as it was written down.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Taken {
    /// What was written down.
    pub measured: Measured,
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
            PartKind::Load { behaviour, .. } => behave(behaviour, factor),
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

/// A load of so many times the resistance.
fn behave(behaviour: &mut LoadBehaviour, factor: f64) {
    match behaviour {
        LoadBehaviour::ConstantCurrent(amps) | LoadBehaviour::Filament(amps) => amps.0 /= factor,
        LoadBehaviour::ConstantPower { watts, .. } => watts.0 /= factor,
        LoadBehaviour::Resistance(ohms) | LoadBehaviour::DiodeString { ohms, .. } => ohms.0 *= factor,
    }
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
        trouble: Trouble,
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

    /// Drops what was solved; readings stay the same. A solved state takes some
    /// megabytes.
    pub fn forget(&self) {
        self.solved.borrow_mut().clear();
    }

    /// The same vehicle as it was handed over: without the fault, its parts a
    /// little younger, its supplies and the meter as they were that day.
    pub fn at_handover(&self, drawn: &Vehicle, random: &mut impl Rng) -> Self {
        let younger = Conditions { spread: self.conditions.spread * AGED, ..self.conditions };
        let mut vehicle = real_parts(drawn, &younger, random);
        for (index, part) in vehicle.parts.iter_mut().enumerate() {
            let (now, drawn) = (&self.vehicle.parts[index], &drawn.parts[index]);
            // What was drawn anew is how far it has aged since, not what it is.
            let aged = part.resistance.value.0 / drawn.resistance.value.0;
            part.resistance.value.0 = now.resistance.value.0 * aged;
            if let (PartKind::Load { behaviour, .. }, PartKind::Load { behaviour: is, .. }) =
                (&mut part.kind, &now.kind)
            {
                *behaviour = *is;
                behave(behaviour, aged);
            }
        }
        Self::new(vehicle, Trouble::Nothing, MeterKind::default(), &self.conditions, random)
    }

    /// What is wrong.
    pub fn trouble(&self) -> &Trouble {
        &self.trouble
    }

    /// The same vehicle once parts have been renewed; none if nothing that was
    /// wrong is left, or nothing of it was among them. What the drawing does not
    /// show is there still.
    pub fn after_repair(&self, renewed: &[PartId]) -> Option<Self> {
        let is_mended = |fault: Fault| renewed.iter().any(|&part| fault.involves(part));
        let left = match self.trouble {
            Trouble::Two(first, second) if is_mended(first.0) && !is_mended(second.0) => Some(second),
            Trouble::Two(first, second) if is_mended(second.0) && !is_mended(first.0) => Some(first),
            Trouble::Undrawn { .. } => None,
            _ => return None,
        };
        Some(Self {
            vehicle: self.vehicle.clone(),
            trouble: left.map_or(self.trouble, |(fault, size)| Trouble::One(fault, size)),
            blown: Vec::new(),
            blocked: self.blocked.clone(),
            gain: self.gain,
            offset: self.offset,
            conditions: self.conditions,
            solved: RefCell::default(),
        })
    }

    /// The same vehicle once one part has been renewed, whatever was wrong.
    pub fn renewed(&self, part: PartId) -> Self {
        let mut left = self.trouble.faults().filter(|(fault, _)| !fault.involves(part));
        let trouble = match (self.trouble, left.next(), left.next()) {
            (Trouble::Undrawn { .. }, ..) => self.trouble,
            (_, Some(first), Some(second)) => Trouble::Two(first, second),
            (_, Some((fault, size)), None) => Trouble::One(fault, size),
            _ => Trouble::Nothing,
        };
        let mut next = self.clone();
        next.trouble = trouble;
        next.blown.retain(|&fuse| fuse != part.index());
        next.solved.borrow_mut().clear();
        next
    }

    /// The fuses that open in a state beside those that have; they stay so.
    ///
    /// # Errors
    /// As [`Self::blow`].
    pub fn settle(&mut self, state: &State) -> Result<Vec<PartId>, SolveError> {
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

    /// Gain error of the meter as a share, and its offset in digits.
    pub fn meter_errors(&self) -> (f64, f64) {
        (self.gain, self.offset)
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
        let faults = self.trouble.faults().map(|(fault, size)| alteration(&self.vehicle, state, network, fault, size));
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
        let itself = |(fault, _)| {
            let fault: Fault = fault;
            fault.part == load && fault.mode != Mode::HighDraw
        };
        let share = match condition {
            Condition::Faulty if self.trouble.faults().any(itself) => 0.0,
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
                let PartKind::Coil { pull_in, .. } = self.vehicle.part(subject).kind else { return Ok(Sign::Silent) };
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

    /// What somebody writes down for a reading.
    ///
    /// # Errors
    /// As [`Self::blow`].
    pub fn read(
        &self,
        state: &State,
        probe: Probe,
        meter: MeterKind,
        random: &mut impl Rng,
    ) -> Result<Taken, SolveError> {
        let is_misread = random.random_bool(self.conditions.misreads.clamp(0.0, 1.0));
        let wrong_pin = is_misread && random.random_bool(WRONG_PIN);
        let mut elsewhere = |point: PointId| if wrong_pin { self.neighbour(point, random) } else { point };
        let measured = match probe {
            Probe::Voltage { red, black, burden } => {
                let red = elsewhere(red);
                let volts = self.volts(state, red, black, burden, meter, random)?;
                let sheet = meter.meter();
                let off = Volts(volts.0 * (1.0 + self.gain) + self.offset * sheet.step(volts).0);
                let mut shown = Typed { value: sheet.shows(off), step: sheet.step(off) };
                if is_misread && !wrong_pin {
                    shown.value = slip(shown.value, random);
                    shown.step = sheet.step(shown.value);
                }
                Measured::Volts(shown)
            }
            Probe::Resistance { red, black } => self.ohms(state, elsewhere(red), black)?,
            Probe::Current { part } => self.amps(state, part, random)?,
        };
        Ok(Taken { measured, is_misread })
    }

    /// What an ohmmeter shows: its test current through what it finds, leads
    /// and all.
    ///
    /// # Errors
    /// As [`Self::blow`].
    pub fn ohms(&self, state: &State, red: PointId, black: PointId) -> Result<Measured, SolveError> {
        let mut network = as_an_ohmmeter_finds_it(&self.network(state));
        let (red, black) = (red.index(), black.index());
        // One volt behind as many ohms as make the test current.
        let inside = Ohms(1.0 / OHMMETER_AMPS);
        let law = Law::Battery { emf: Volts(1.0), ohms: inside, charging: inside };
        network.branches.push(Branch { from: black, to: red, law });
        let volts = match solve(network)?.between(red, black) {
            Between::Volts(volts) => volts.0,
            Between::Floating => 1.0,
        };
        let ohms = inside.0 * volts / (1.0 - volts).max(1e-9) + LEADS;
        Ok(match ohms {
            ohms if ohms > MOST_OHMS => Measured::NoPath,
            ohms => {
                let step = 10f64.powf((ohms.max(1.0)).log10().floor() - 2.0).max(0.1);
                Measured::Ohms(Typed { value: Ohms((ohms.max(0.0) / step).round() * step), step: Ohms(step) })
            }
        })
    }

    /// What a clamp shows.
    ///
    /// # Errors
    /// As [`Self::blow`].
    pub fn amps(&self, state: &State, part: PartId, random: &mut impl Rng) -> Result<Measured, SolveError> {
        let amps = self.solved(state, Condition::Faulty)?.current(part.index()).0;
        let noise: f64 = StandardNormal.sample(random);
        let zero = if self.conditions.instrument == Instrument::Real { CLAMP_ZERO * noise } else { 0.0 };
        let step = 0.01;
        Ok(Measured::Amps(Typed { value: Amps(((amps + zero) / step).round() * step), step: Amps(step) }))
    }

    /// Volts at the tips of the probes, with the meter on them.
    ///
    /// # Errors
    /// As [`Self::blow`].
    pub fn volts(
        &self,
        state: &State,
        red: PointId,
        black: PointId,
        burden: Burden,
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
        if burden == Burden::Lamp {
            let law = Law::Resistor((LAMP_OHMS * (self.vehicle.nominal.0 / 12.0)).conductance());
            metered.branches.push(Branch { from: red, to: black, law });
        }
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
