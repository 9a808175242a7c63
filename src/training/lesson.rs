//! A lesson: a vehicle as it really is, what is wrong with it, and what the
//! learner is told.

use crate::belief::{Engine, Sign};
use crate::meter::MeterKind;
use crate::network::SolveError;
use crate::tables::Tables;
use crate::tables::trial::Simulation;
use crate::trial::{Bench, Conditions, Hidden, Misreading, Trouble, World, WrongKind, beside, real_parts};
use crate::vehicle::{ControlId, PartId, Position, State, Vehicle};
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use std::rc::Rc;

/// What a lesson is about, for people.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Brief {
    pub title: String,
    /// What it is to teach.
    pub aim: String,
    /// What the customer says.
    pub words: String,
    /// The one thing to remember.
    pub remember: String,
}

/// How hard a lesson is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Difficulty {
    /// The planner needs two tests at most.
    Easy,
    /// Three or four.
    Middling,
    /// More, or two faults.
    Hard,
}

impl Difficulty {
    /// Whether a lesson that takes the planner so many tests is that hard.
    pub fn fits(self, tests: usize) -> bool {
        match self {
            Self::Easy => tests <= 2,
            Self::Middling => (3..=4).contains(&tests),
            Self::Hard => tests > 4,
        }
    }
}

/// A lesson.
pub struct Lesson {
    /// For people.
    pub brief: Brief,
    /// Name of the built-in vehicle, or its file.
    pub on: String,
    /// Where all its chance comes from.
    pub seed: u64,
    /// What is wrong and what is complained of.
    pub hidden: Hidden,
    /// Whether the fault comes and goes.
    pub comes_and_goes: bool,
    engine: Rc<Engine>,
    world: World,
}

/// The conditions that lessons are drawn under: real parts and a real meter,
/// and nothing misread, since the learner reads the display.
pub fn conditions(figures: &Simulation) -> Conditions {
    Conditions { spread: 1.0, misreads: Misreading::Share(0.0), ..Conditions::usual(figures) }
}

/// What is wrong, for a lesson that somebody sets.
#[derive(Debug, Clone, PartialEq)]
pub struct Set {
    /// What is wrong.
    pub trouble: Trouble,
    /// Whether it comes and goes.
    pub comes_and_goes: bool,
    /// What the complaint is about.
    pub subject: PartId,
    pub sign: Sign,
    /// What has to be set for it.
    pub settings: Vec<(ControlId, Position)>,
}

impl Lesson {
    /// A lesson that somebody sets.
    ///
    /// # Errors
    /// [`SolveError`] if the circuit has no solution.
    pub fn set(
        vehicle: Vehicle,
        on: String,
        tables: Rc<Tables>,
        brief: Brief,
        seed: u64,
        set: Set,
    ) -> Result<Self, SolveError> {
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let conditions = conditions(&tables.trial);
        let real = real_parts(&tables, &vehicle, &conditions, &mut random);
        let mut world = World::new(&tables, real, set.trouble, MeterKind::default(), &conditions, &mut random);
        let blown = world.blow(&State::rest(&vehicle).with_all(&set.settings))?;
        let Set { trouble, comes_and_goes, subject, sign, settings } = set;
        let beside = beside(&vehicle, &trouble);
        let hidden = Hidden { trouble, departure: None, blown, beside, subject, sign, is_mistaken: false, settings };
        Ok(Self {
            brief,
            on,
            seed,
            hidden,
            comes_and_goes,
            engine: Rc::new(Engine::new(Rc::new(vehicle), tables)),
            world,
        })
    }

    /// The lesson of a seed; none if nothing drawn from it is ever noticed.
    ///
    /// # Errors
    /// As [`Self::set`].
    pub fn drawn(bench: &Bench, on: &str, seed: u64, wrong: WrongKind) -> Result<Option<Self>, SolveError> {
        let drawn = bench.draw(&Conditions { wrong, ..conditions(&bench.engine().tables().trial) }, seed)?;
        Ok(drawn.found.map(|(hidden, world)| {
            let brief = Brief { title: format!("Lesson of seed {seed}"), ..Brief::default() };
            let engine = Rc::clone(bench.engine());
            Self { brief, on: on.to_string(), seed, hidden, comes_and_goes: false, engine, world }
        }))
    }

    /// The first lesson from a seed on that `wanted` picks, and its seed; none
    /// if it does not come within so many draws.
    ///
    /// # Errors
    /// What `wanted` gives, or as [`Self::set`].
    pub fn search<E: From<SolveError>>(
        bench: &Bench,
        on: &str,
        seed: u64,
        wrong: WrongKind,
        wanted: impl Fn(&Rc<Self>) -> Result<bool, E>,
    ) -> Result<Option<Rc<Self>>, E> {
        let draws = bench.engine().tables().training.draws as u64;
        for seed in (0..draws).map(|more| seed.wrapping_add(more)) {
            if let Some(lesson) = Self::drawn(bench, on, seed, wrong)? {
                let lesson = Rc::new(lesson);
                if wanted(&lesson)? {
                    return Ok(Some(lesson));
                }
            }
        }
        Ok(None)
    }

    /// The vehicle as drawn.
    pub fn vehicle(&self) -> &Vehicle {
        self.engine.vehicle()
    }

    /// The engine for it.
    pub fn engine(&self) -> &Rc<Engine> {
        &self.engine
    }

    /// What is really there at the start.
    pub fn world(&self) -> &World {
        &self.world
    }

    /// The state that the complaint is about.
    pub fn complaint_state(&self) -> State {
        State::rest(self.vehicle()).with_all(&self.hidden.settings)
    }
}
