//! Monte Carlo trial: every case drawn, played by every policy, and put together
//! again in order.

use super::bench::Bench;
use super::conditions::Misreading;
use super::hidden::Hidden;
use super::options::{Options, Policy};
use super::outcome::CaseOutcome;
use super::played::PlayedCase;
use super::seed::case_seed;
use super::threads::in_threads;
use super::world::World;
use super::{baseline, drive, look_over, path};
use crate::belief::Engine;
use crate::case::CaseError;
use crate::tables::Tables;
use crate::vehicle::Vehicle;
use std::rc::Rc;

/// Plays all cases; `done` is told after each, from any thread.
///
/// # Errors
/// [`CaseError`] if a state cannot be solved.
pub fn run(
    vehicle: &Vehicle,
    tables: &Tables,
    options: &Options,
    done: impl Fn() + Sync,
) -> Result<Vec<CaseOutcome>, CaseError> {
    let one = |bench: &Bench, case: usize| play(bench, options, case_seed(options.seed, case));
    in_threads(vehicle, tables, options.threads, options.cases, one, done).into_iter().collect()
}

/// Plays the case of a seed.
///
/// # Errors
/// As [`run`].
pub fn play(bench: &Bench, options: &Options, seed: u64) -> Result<CaseOutcome, CaseError> {
    let drawn = bench.draw(&options.conditions, seed)?;
    let mut played = Vec::new();
    let mut informed = None;
    if let Some((hidden, world)) = &drawn.found {
        for &policy in &options.policies {
            played.push(match policy {
                Policy::Ours => Some(by_the_tool(bench, bench.engine(), hidden, world, options, seed)?),
                Policy::Walk | Policy::HalfSplit | Policy::HalfSplitByRate => {
                    path::play(bench, hidden, &world.untouched(for_textbook(options)), policy, seed)?
                }
            });
        }
        if let Some(scope) = options.baseline {
            let engine = baseline::engine(bench, world, scope, seed)?;
            informed = Some(by_the_tool(bench, &engine, hidden, world, options, seed)?);
        }
    }
    Ok(CaseOutcome {
        seed,
        hidden: drawn.found.map(|(hidden, _)| hidden),
        unnoticed: drawn.unnoticed,
        restless: drawn.restless,
        alike: drawn.alike,
        played,
        informed,
    })
}

/// Somebody who goes by what the tool says, from a complaint on or without one.
fn by_the_tool(
    bench: &Bench,
    engine: &Rc<Engine>,
    hidden: &Hidden,
    world: &World,
    options: &Options,
    seed: u64,
) -> Result<PlayedCase, CaseError> {
    match options.conditions.look_over {
        true => look_over::play(bench, engine, hidden, &world.untouched(options.conditions.misreads), seed),
        false => drive::play(bench, engine, hidden, world, options, seed),
    }
}

/// Where one reading of each case goes wrong, the textbook's is its first.
fn for_textbook(options: &Options) -> Misreading {
    match options.conditions.misreads {
        Misreading::OneInEach => Misreading::At(0),
        misreads => misreads,
    }
}
