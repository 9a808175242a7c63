//! As built: everything that can be said of a drawing without a fault in it.

use super::loading::{
    LoadedProtection, LoadedSupply, NothingOpens, Reserve, Use, loaded_protection, loaded_supplies, nothing_opens,
    reserve,
};
use super::running::{RunningLoad, all_on, running_loads};
use super::single::{SingleParts, single_parts};
use super::together::{FeedsTogether, SharedReturn, feeds_together, shared_returns};
use crate::network::SolveError;
use crate::predict::{Predictor, StateModel, check_drops};
use crate::quantity::{Amps, Volts};
use crate::source::Diagnostic;
use crate::vehicle::PartId;
use crate::vehicle::check::{Drawn, check};

/// What a load draws and what its wiring loses.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LoadFigures {
    pub load: PartId,
    /// The fuse or breaker nearest to it.
    pub protection: Option<PartId>,
    /// What that is rated.
    pub rating: Option<Amps>,
    pub amps: Amps,
    /// What its wiring loses when it runs alone, and with everything on.
    pub drop: Volts,
    pub drop_all_on: Volts,
    /// What it may lose.
    pub limit: Volts,
}

/// A build, looked over.
#[derive(Debug, Clone, PartialEq)]
pub struct AsBuilt {
    /// Every load that runs, in part order.
    pub loads: Vec<LoadFigures>,
    /// Loads that do not run though all is sound.
    pub still: Vec<PartId>,
    /// Circuits: what hangs on one fuse is one.
    pub circuits: usize,
    pub single: Vec<SingleParts>,
    pub feeds: Vec<FeedsTogether>,
    pub returns: Vec<SharedReturn>,
    pub nothing_opens: Vec<NothingOpens>,
    pub protection: Vec<LoadedProtection>,
    pub supplies: Vec<LoadedSupply>,
    pub reserve: Vec<Reserve>,
    /// What the checks of a vehicle file find.
    pub findings: Vec<Diagnostic>,
}

/// Looks a build over; `uses` are the loads whose hours are asked for.
///
/// # Errors
/// [`SolveError`] if a state has no solution.
pub fn as_built(predictor: &Predictor, uses: &[Use]) -> Result<AsBuilt, SolveError> {
    let vehicle = predictor.vehicle();
    let practice = &predictor.tables().review;
    let running = running_loads(predictor)?;
    let all_on = all_on(predictor, &running)?;
    let mut findings = check(vehicle, &Drawn::default());
    findings.extend(check_drops(predictor));
    let mut circuits: Vec<PartId> = running.iter().map(RunningLoad::circuit).collect();
    circuits.sort_unstable();
    circuits.dedup();
    Ok(AsBuilt {
        still: vehicle.loads().filter(|&load| !running.iter().any(|one| one.load == load)).collect(),
        circuits: circuits.len(),
        single: single_parts(vehicle, &running),
        feeds: feeds_together(vehicle, &running, practice.on_one_stud),
        returns: shared_returns(vehicle, &running, &all_on),
        nothing_opens: nothing_opens(vehicle, practice, &running)?,
        protection: loaded_protection(vehicle, practice, &all_on),
        supplies: loaded_supplies(vehicle, &all_on),
        reserve: reserve(predictor, &running, uses)?,
        loads: running.iter().map(|one| figures(predictor, one, &all_on)).collect(),
        findings,
    })
}

/// Every load that runs, in figures.
///
/// # Errors
/// As [`as_built`].
pub fn load_figures(predictor: &Predictor) -> Result<Vec<LoadFigures>, SolveError> {
    let running = running_loads(predictor)?;
    let all_on = all_on(predictor, &running)?;
    Ok(running.iter().map(|one| figures(predictor, one, &all_on)).collect())
}

fn figures(predictor: &Predictor, one: &RunningLoad, all_on: &StateModel) -> LoadFigures {
    LoadFigures {
        load: one.load,
        protection: one.protection,
        rating: one.protection.and_then(|id| predictor.vehicle().part(id).kind.rating()),
        amps: one.amps,
        drop: one.drop,
        drop_all_on: one.feed.parts().map(|id| all_on.solution().across(id.index()).abs()).sum(),
        limit: one.limit,
    }
}
