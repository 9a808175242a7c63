//! Every load running alone, everything else at rest: the ways of its current,
//! what it draws, what its wiring loses.

use crate::network::{Between, SolveError};
use crate::predict::{Predictor, StateModel};
use crate::quantity::{Amps, Volts};
use crate::vehicle::trace::Feed;
use crate::vehicle::{ControlId, PartId, Position, State};
use std::rc::Rc;

/// A load that runs.
pub struct RunningLoad {
    pub load: PartId,
    /// What has to be set for it.
    pub settings: Vec<(ControlId, Position)>,
    /// The vehicle so set.
    pub model: Rc<StateModel>,
    /// The ways of its current.
    pub feed: Feed,
    /// The fuse or breaker nearest to it, which makes its circuit; none where none is
    /// on its way.
    pub protection: Option<PartId>,
    pub amps: Amps,
    /// What its wiring loses, and may lose.
    pub drop: Volts,
    pub limit: Volts,
}

impl RunningLoad {
    /// What tells its circuit from others: what protects it, or itself.
    pub fn circuit(&self) -> PartId {
        self.protection.unwrap_or(self.load)
    }
}

/// Every load that runs when all is sound.
///
/// # Errors
/// [`SolveError`] if the circuit has no solution.
pub fn running_loads(predictor: &Predictor) -> Result<Vec<RunningLoad>, SolveError> {
    let vehicle = predictor.vehicle();
    let rest = State::rest(vehicle);
    let at_rest = predictor.in_state(&rest)?;
    let leads = at_rest.leads(vehicle);
    let mut running = Vec::new();
    for load in vehicle.loads() {
        let settings = leads.settings_for(vehicle, &rest, load);
        let model = predictor.in_state(&rest.with_all(&settings))?;
        let part = vehicle.part(load);
        let Some(facts) = part.kind.load() else { continue };
        let solution = model.solution();
        let Between::Volts(_) = solution.between(part.from.index(), part.to.index()) else { continue };
        if !model.is_served(vehicle, load) {
            continue;
        }
        let feed = leads.feed(vehicle, load);
        let protection = feed.there.iter().rev().copied().find(|&id| vehicle.part(id).kind.is_protection());
        running.push(RunningLoad {
            amps: solution.current(load.index()).abs(),
            drop: feed.parts().map(|id| solution.across(id.index()).abs()).sum(),
            limit: facts.rated * facts.allowed_drop,
            load,
            settings,
            protection,
            feed,
            model,
        });
    }
    Ok(running)
}

/// Every load on at once, as far as they can be: of two that want one control
/// differently the first has it.
///
/// # Errors
/// [`SolveError`] if that has no solution.
pub fn all_on(predictor: &Predictor, running: &[RunningLoad]) -> Result<Rc<StateModel>, SolveError> {
    let mut state = State::rest(predictor.vehicle());
    let mut set: Vec<ControlId> = Vec::new();
    for &(control, position) in running.iter().flat_map(|one| &one.settings) {
        if !set.contains(&control) {
            set.push(control);
            state = state.with(control, position);
        }
    }
    predictor.in_state(&state)
}
