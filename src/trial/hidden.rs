//! What is wrong in a case: a fault drawn from the catalogue, with a complaint
//! that somebody would make of it.

use super::world::{World, likeliest, real_parts, seen};
use super::{Conditions, Draw, Instrument, Wrong};
use crate::belief::{Appearance, Engine, Sign};
use crate::fault::{Fault, Likely, Mode, Size, catalogue, sizes, ways};
use crate::meter::MeterKind;
use crate::network::SolveError;
use crate::plan::walk::{Scope, wanted};
use crate::predict::{Hypothesis, Probe};
use crate::quantity::Ohms;
use crate::tables::Tables;
use crate::tables::faults::Faults;
use crate::tables::supply::hours_to_flat;
use crate::vehicle::trace::settings_for;
use crate::vehicle::{ControlId, PartId, PointId, Position, State, Vehicle};
use rand::distr::weighted::WeightedIndex;
use rand::seq::SliceRandom;
use rand::{Rng, RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rand_distr::Distribution;
use std::cell::OnceCell;
use std::rc::Rc;

/// Faults drawn for one case before it is given up.
const MOST_DRAWS: usize = 2000;
/// Share of nominal voltage by which a reading must differ to tell one thing
/// from another.
const TELLING: f64 = 0.04;
/// Where within a stretch of sizes a drawn fault is tried, in its widths.
const WITHIN: [f64; 3] = [-2.0 / 3.0, 0.0, 2.0 / 3.0];
/// Chance that somebody calls a load weak above which one does, of those that
/// most people would say work; a sound one is called so once in twenty-five times.
const FAINT: f64 = 0.1;
/// Hours of standing within which somebody complains of a flat battery, and
/// those that nobody complains of; common practice, no source.
const FLAT_WITHIN: f64 = 100.0;
const LASTS: f64 = 400.0;
/// Current below which opening a part is noticed by nobody, A.
const LEAST_CURRENT: f64 = 1e-7;

/// What cases are played on: a vehicle as drawn and the engine for it.
pub struct Bench {
    vehicle: Rc<Vehicle>,
    tables: Rc<Tables>,
    catalogue: Vec<Likely>,
    engine: Rc<Engine>,
    walk: OnceCell<(Scope, Vec<(State, Probe)>)>,
    loads: Vec<(PartId, Vec<(ControlId, Position)>)>,
}

/// What is wrong.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Trouble {
    /// One fault with its size.
    One(Fault, f64),
    /// Two of them.
    Two((Fault, f64), (Fault, f64)),
    /// Nothing: the vehicle as it was handed over.
    Nothing,
    /// A path that the drawing does not show.
    Undrawn {
        /// From here.
        from: PointId,
        /// To there.
        to: PointId,
        /// Through this.
        ohms: Ohms,
    },
}

impl Trouble {
    /// The faults in it, with their sizes.
    pub fn faults(&self) -> impl Iterator<Item = (Fault, f64)> + use<> {
        let (first, second) = match *self {
            Self::One(fault, size) => (Some((fault, size)), None),
            Self::Two(first, second) => (Some(first), Some(second)),
            Self::Nothing | Self::Undrawn { .. } => (None, None),
        };
        first.into_iter().chain(second)
    }
}

/// What is wrong, and what is said of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Hidden {
    /// What is wrong.
    pub trouble: Trouble,
    /// Fuses that it has opened.
    pub blown: Vec<PartId>,
    /// What fails together with it in the same plug or cable.
    pub beside: Vec<PartId>,
    /// What the complaint is about.
    pub subject: PartId,
    /// The complaint.
    pub sign: Sign,
    /// Whether a dead load was taken for a weak one, or the other way round.
    pub is_mistaken: bool,
    /// What has to be set for it.
    pub settings: Vec<(ControlId, Position)>,
}

impl Hidden {
    /// Whether naming a part is right: one at fault, or the fuse it opened.
    pub fn is_at(&self, part: PartId) -> bool {
        self.trouble.faults().any(|(fault, _)| self.is_of(fault, part))
    }

    /// Whether naming these is right: all that is at fault.
    pub fn is_named_by(&self, named: &[PartId]) -> bool {
        let is_named = |(fault, _): (Fault, f64)| named.iter().any(|&part| self.is_of(fault, part));
        match self.trouble {
            Trouble::Nothing => named.is_empty(),
            _ => self.trouble.faults().all(is_named),
        }
    }

    fn is_of(&self, fault: Fault, part: PartId) -> bool {
        let together = fault.mode == Mode::Together && self.beside.contains(&part);
        fault.involves(part) || together || self.blown.contains(&part)
    }
}

/// What drawing a case came to.
pub struct Drawn {
    /// What is wrong, if anything drawn is ever noticed.
    pub found: Option<(Hidden, World)>,
    /// Faults drawn before one was noticed.
    pub unnoticed: usize,
    /// Faults drawn that made the circuit chatter.
    pub restless: usize,
    /// Wrong drawings that read like a drawn fault at every point.
    pub alike: usize,
}

/// What one fault came to.
pub(super) enum Noticed {
    Yes { subject: PartId, sign: Sign, is_mistaken: bool, settings: Vec<(ControlId, Position)> },
    No,
    Chatters,
}

impl Bench {
    /// For a vehicle, with these tables.
    pub fn new(vehicle: Vehicle, tables: Rc<Tables>) -> Self {
        let vehicle = Rc::new(vehicle);
        let rest = State::rest(&vehicle);
        let loads = vehicle.loads().map(|load| (load, settings_for(&vehicle, &rest, load))).collect();
        Self {
            catalogue: catalogue(&vehicle, &tables),
            engine: Rc::new(Engine::new(Rc::clone(&vehicle), Rc::clone(&tables))),
            vehicle,
            tables,
            loads,
            walk: OnceCell::new(),
        }
    }

    /// Drops what was solved; answers stay the same.
    pub fn forget(&mut self) {
        self.engine = Rc::new(Engine::new(Rc::clone(&self.vehicle), Rc::clone(&self.tables)));
    }

    /// The engine, with the vehicle as drawn.
    pub fn engine(&self) -> &Rc<Engine> {
        &self.engine
    }

    /// What is read at handover.
    pub(super) fn walk(&self, scope: Scope) -> Result<&[(State, Probe)], SolveError> {
        if let Some((_, walk)) = self.walk.get().filter(|(known, _)| *known == scope) {
            return Ok(walk);
        }
        let found = wanted(self.engine.predictor(), scope)?;
        Ok(&self.walk.get_or_init(|| (scope, found)).1)
    }

    /// Relative frequency of faults of a part.
    pub fn rate_of(&self, part: PartId) -> f64 {
        self.catalogue.iter().filter(|likely| likely.fault.part == part).map(|likely| likely.rate).sum()
    }

    /// Draws faults until one makes a complaint.
    ///
    /// # Errors
    /// [`SolveError`] if the circuit has no solution.
    pub fn draw(&self, conditions: &Conditions, seed: u64) -> Result<Drawn, SolveError> {
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let mut drawn = Drawn { found: None, unnoticed: 0, restless: 0, alike: 0 };
        let any_mode = !matches!(conditions.wrong, Wrong::Resistance | Wrong::Faint);
        let is_drawn = |mode: Mode| any_mode || mode == Mode::Resistive;
        let weight = |likely: &Likely| match conditions.draw {
            _ if !is_drawn(likely.fault.mode) => 0.0,
            Draw::ByRate => likely.rate,
            Draw::Evenly => 1.0,
        };
        let Ok(choice) = WeightedIndex::new(self.catalogue.iter().map(weight)) else { return Ok(drawn) };
        for _ in 0..MOST_DRAWS {
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
            Wrong::OnePart | Wrong::Resistance | Wrong::Faint => {
                let (fault, size) = fault();
                Some(Trouble::One(fault, size))
            }
            Wrong::TwoParts => {
                let (first, second) = (fault(), fault());
                (first.0.part != second.0.part).then_some(Trouble::Two(first, second))
            }
            Wrong::Drawing => {
                let mut point = || PointId::new(random.random_range(0..self.vehicle.points.len()));
                let (from, to) = (point(), point());
                let ohms = Ohms(10f64.powf(random.random_range(-1.5..1.3)));
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
        let real = volts(&Hypothesis::Tied { from, to, size, opened: None });
        let alike = |hypothesis: &Hypothesis| {
            let drawn = volts(hypothesis);
            real.iter().zip(&drawn).all(|(a, b)| (a - b).abs() < TELLING * self.vehicle.nominal.0)
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

    /// The complaint that somebody makes, of one load drawn from those that
    /// are not as they should be.
    pub(super) fn complaint(
        &self,
        world: &World,
        conditions: &Conditions,
        random: &mut impl Rng,
    ) -> Result<Noticed, SolveError> {
        let trouble = world.trouble();
        let rest = State::rest(&self.vehicle);
        let mut loads: Vec<&(PartId, Vec<(ControlId, Position)>)> = self.loads.iter().collect();
        loads.shuffle(random);
        for (load, settings) in loads.iter().copied() {
            let state = rest.with_all(settings);
            let sound = self.engine.predictor().in_state(&state)?;
            let idle = |(fault, _): (Fault, f64)| {
                let carries = ways(&self.vehicle, fault)
                    .any(|way| sound.solution().current(way.index()).0.abs() >= LEAST_CURRENT);
                fault.mode.is_in_series() && fault.part != *load && !carries
            };
            if !matches!(trouble, Trouble::Undrawn { .. }) && trouble.faults().all(idle) {
                continue;
            }
            if !sound.is_served(&self.vehicle, *load) {
                continue;
            }
            let chances = world.looks(&state, *load)?;
            let is_well = likeliest(&chances) == Appearance::Works;
            if conditions.wrong == Wrong::Faint {
                if is_well && chances[Appearance::Weak.index()] > FAINT {
                    let (sign, settings) = (Sign::Looks(Appearance::Weak), settings.clone());
                    return Ok(Noticed::Yes { subject: *load, sign, is_mistaken: false, settings });
                }
                continue;
            }
            if is_well {
                continue;
            }
            if world.is_restless(&state)? {
                return Ok(Noticed::Chatters);
            }
            let [dead, weak, _] = chances;
            let appearance = match conditions.instrument {
                Instrument::Real => seen(&[dead, weak, 0.0], random),
                Instrument::Perfect => likeliest(&[dead, weak, 0.0]),
            };
            let (sign, settings) = (Sign::Looks(appearance), settings.clone());
            let is_mistaken = appearance != likeliest(&[dead, weak, 0.0]);
            return Ok(Noticed::Yes { subject: *load, sign, is_mistaken, settings });
        }
        let closes = |(fault, _): (Fault, f64)| fault.mode.may_feed();
        if matches!(trouble, Trouble::Undrawn { .. }) || trouble.faults().any(closes) {
            let itself = |load: PartId| trouble.faults().any(|(fault, _)| fault.part == load);
            for &&(load, _) in &loads {
                let off = likeliest(&world.looks_when_sound(&rest, load)?) == Appearance::Dead;
                if off && !itself(load) && likeliest(&world.looks(&rest, load)?) != Appearance::Dead {
                    let (sign, settings) = (Sign::StaysOn, Vec::new());
                    return Ok(Noticed::Yes { subject: load, sign, is_mistaken: false, settings });
                }
            }
        }
        Ok(self.flat(world)?.unwrap_or(Noticed::No))
    }
}

impl Bench {
    /// A battery that is flat within days of standing, where a sound vehicle's
    /// would last: nobody sees anything else of what draws while all sleeps.
    fn flat(&self, world: &World) -> Result<Option<Noticed>, SolveError> {
        let asleep: Vec<_> = self.vehicle.sleep_controls().map(|control| (control, Position::On)).collect();
        let state = State::rest(&self.vehicle).with_all(&asleep);
        for battery in self.vehicle.part_ids() {
            let Some(ampere_hours) = self.vehicle.part(battery).kind.battery().map(|battery| battery.ampere_hours)
            else {
                continue;
            };
            let lasts = |amps| hours_to_flat(ampere_hours, amps);
            if lasts(world.given(&state, battery)?) < FLAT_WITHIN
                && lasts(world.given_when_sound(&state, battery)?) > LASTS
            {
                let noticed =
                    Noticed::Yes { subject: battery, sign: Sign::GoesFlat, is_mistaken: false, settings: asleep };
                return Ok(Some(noticed));
            }
        }
        Ok(None)
    }
}

/// Every part that has to do with what is wrong.
pub fn beside(vehicle: &Vehicle, trouble: &Trouble) -> Vec<PartId> {
    trouble.faults().flat_map(|(fault, _)| ways(vehicle, fault)).collect()
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
fn draw_size(faults: &Faults, mode: Mode, random: &mut impl Rng) -> Option<f64> {
    let stretches: Vec<_> = sizes(faults, mode).into_iter().flatten().collect();
    let choice = WeightedIndex::new(stretches.iter().map(|size| size.share)).ok()?;
    let stretch = stretches[choice.sample(random)];
    Some(drawn_within(stretch, random))
}

/// A size from a stretch, evenly in the logarithm.
pub fn drawn_within(stretch: Size, random: &mut impl Rng) -> f64 {
    stretch.value * (stretch.width * random.random_range(-1.0..1.0)).exp()
}
