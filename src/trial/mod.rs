//! Thousands of simulated faults, played from the complaint to the answer, and
//! how well the engine guided.
//!
//! Every case is a function of one number, its seed: the fault, the real parts,
//! the meter, what is misread and what cannot be reached. Cases are shared out
//! between threads and put together again in order, so the figures do not
//! depend on how many there are.

mod baseline;
mod bounds;
mod drive;
mod figures;
pub mod generate;
mod hidden;
mod optimum;
mod paired;
mod path;
mod report;
mod threads;
mod world;

pub use bounds::{entropy, huffman_cost};
pub use drive::{Answer, Ending, Played};
pub use figures::{Mean, Share, calibration_error, mean_ratio, utility};
pub use hidden::{Bench, Drawn, Hidden, Trouble, beside, drawn_within};
pub use optimum::{Endgame, Optimum, endgame};
pub use paired::{Figure, Pair, Paired};
pub use report::{Calibration, Column, Failure, FailureKind, LEVELS, Report, Stretch, Table, report};
pub use threads::in_threads;
pub use world::{Taken, World, likeliest, real_parts};

use crate::case::CaseError;
use crate::plan::walk::Scope;
use crate::tables::Tables;
use crate::vehicle::Vehicle;

/// Which faults are drawn how often.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Draw {
    /// As the table of rates has it.
    ByRate,
    /// Every fault as often.
    Evenly,
}

/// What is wrong in every case.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wrong {
    /// One part.
    OnePart,
    /// One part that has gained resistance.
    Resistance,
    /// One part that has gained a little resistance: most people would say that
    /// all is well, somebody says that it is weak. It drops no more than what
    /// sound vehicles differ by, so that bands tell it.
    Faint,
    /// Two parts at once.
    TwoParts,
    /// The drawing: there is a path that it does not show.
    Drawing,
}

/// How far real parts lie from what is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tails {
    /// Normally distributed.
    Normal,
    /// Student's t with four degrees of freedom, of the same deviation.
    Heavy,
}

/// What the person has in hand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Instrument {
    /// Gain, offset, wandering supply, noise; looks mistaken now and then.
    Real,
    /// None of these: nothing but the digits of the display.
    Perfect,
}

/// The world that cases are drawn from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Conditions {
    /// Which faults.
    pub draw: Draw,
    /// What is wrong.
    pub wrong: Wrong,
    /// Spread of real parts, as a multiple of the assumed one.
    pub spread: f64,
    /// Spread of supply voltages, as a multiple of the assumed one.
    pub supplies: f64,
    /// Shape of that spread.
    pub tails: Tails,
    /// Chance that a reading is misread.
    pub misreads: f64,
    /// Chance that a point cannot be reached.
    pub blocked: f64,
    /// The meter and the eye.
    pub instrument: Instrument,
}

impl Default for Conditions {
    /// Real parts lie further from the drawing than assumed, and a reading in a
    /// hundred is misread.
    fn default() -> Self {
        Self {
            draw: Draw::ByRate,
            wrong: Wrong::OnePart,
            spread: 1.5,
            supplies: 1.0,
            tails: Tails::Normal,
            misreads: 0.01,
            blocked: 0.0,
            instrument: Instrument::Real,
        }
    }
}

impl Conditions {
    /// Parts as drawn and nothing mistaken.
    pub fn noise_free() -> Self {
        Self { spread: 0.0, supplies: 0.0, misreads: 0.0, instrument: Instrument::Perfect, ..Self::default() }
    }
}

/// Who chooses the tests.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Policy {
    /// The tool as it is.
    Ours,
    /// Every point from the source on, until one is wrong.
    Walk,
    /// The middle of what is left of the way.
    HalfSplit,
    /// The point that halves the failure rates of what is left of the way.
    HalfSplitByRate,
}

impl Policy {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Ours, Self::Walk, Self::HalfSplit, Self::HalfSplitByRate];

    /// Its name on the command line.
    pub fn word(self) -> &'static str {
        match self {
            Self::Ours => "ours",
            Self::Walk => "walk",
            Self::HalfSplit => "half-split",
            Self::HalfSplitByRate => "half-split-by-rate",
        }
    }
}

/// Whether the last stretch of a case is also worked out to the optimum.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Search {
    /// It is.
    Exact,
    /// It is not: it takes time.
    None,
}

/// What to play.
#[derive(Debug, Clone, PartialEq)]
pub struct Options {
    /// How many cases.
    pub cases: usize,
    /// Seed that the cases' own seeds come from.
    pub seed: u64,
    /// The world.
    pub conditions: Conditions,
    /// Who plays, side by side on the same cases.
    pub policies: Vec<Policy>,
    /// The walk at handover, in the same real parts before the fault, with which
    /// the tool plays every case a second time.
    pub baseline: Option<Scope>,
    /// Whether the optimum is worked out.
    pub search: Search,
    /// Threads, at least one.
    pub threads: usize,
}

/// One case and how everybody fared.
#[derive(Debug, Clone)]
pub struct Outcome {
    /// Its seed.
    pub seed: u64,
    /// What was wrong; none if no fault drawn was ever noticed.
    pub hidden: Option<Hidden>,
    /// Faults drawn before one was noticed.
    pub unnoticed: usize,
    /// Faults drawn that made the circuit chatter, which is no case for this.
    pub restless: usize,
    /// Wrong drawings drawn that read like a drawn fault, which they then are.
    pub alike: usize,
    /// In the order of [`Options::policies`]; none where a policy has no way to
    /// follow, as the textbook has none for a load that stays on.
    pub played: Vec<Option<Played>>,
    /// The tool with what was read at handover; none where nothing was.
    pub informed: Option<Played>,
}

/// The seed of a case: SplitMix64 (Steele, Lea, Flood, 2014) of the trial's.
pub fn case_seed(seed: u64, case: usize) -> u64 {
    let mut mixed = seed.wrapping_add((case as u64).wrapping_add(1).wrapping_mul(0x9E37_79B9_7F4A_7C15));
    mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    mixed ^ (mixed >> 31)
}

/// Plays all cases; `done` is told after each, from any thread.
///
/// # Errors
/// [`CaseError`] if a state cannot be solved.
pub fn run(
    vehicle: &Vehicle,
    tables: &Tables,
    options: &Options,
    done: impl Fn() + Sync,
) -> Result<Vec<Outcome>, CaseError> {
    let one = |bench: &Bench, case: usize| play(bench, options, case_seed(options.seed, case));
    in_threads(vehicle, tables, options.threads, options.cases, one, done).into_iter().collect()
}

/// Plays the case of a seed.
///
/// # Errors
/// As [`run`].
pub fn play(bench: &Bench, options: &Options, seed: u64) -> Result<Outcome, CaseError> {
    let drawn = bench.draw(&options.conditions, seed)?;
    let mut played = Vec::new();
    let mut informed = None;
    if let Some((hidden, world)) = &drawn.found {
        for &policy in &options.policies {
            played.push(match policy {
                Policy::Ours => Some(drive::play(bench, bench.engine(), hidden, world, options, seed)?),
                Policy::Walk | Policy::HalfSplit | Policy::HalfSplitByRate => {
                    path::play(bench, hidden, world, policy, seed)?
                }
            });
        }
        if let Some(scope) = options.baseline {
            let engine = baseline::engine(bench, world, scope, seed)?;
            informed = Some(drive::play(bench, &engine, hidden, world, options, seed)?);
        }
    }
    Ok(Outcome {
        seed,
        hidden: drawn.found.map(|(hidden, _)| hidden),
        unnoticed: drawn.unnoticed,
        restless: drawn.restless,
        alike: drawn.alike,
        played,
        informed,
    })
}
