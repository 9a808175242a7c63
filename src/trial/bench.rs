//! Test bench: a vehicle as drawn, its catalogue of faults and the engine for it.

use super::mechanics::occurrences;
use crate::belief::Engine;
use crate::fault::Likely;
use crate::memo::Memo;
use crate::network::{Solution, SolveError, network_of, solve};
use crate::plan::walk::{Scope, WalkReadings, Walks};
use crate::tables::Tables;
use crate::vehicle::trace::{behind_converters, settings_for};
use crate::vehicle::{ControlId, PartId, Position, State, Vehicle};
use std::collections::BTreeMap;
use std::rc::Rc;

/// What cases are played on: a vehicle as drawn and the engine for it.
pub struct Bench {
    pub(super) vehicle: Rc<Vehicle>,
    pub(super) tables: Rc<Tables>,
    /// What can go wrong, as often as the world has it.
    pub(super) catalogue: Vec<Likely>,
    pub(super) engine: Rc<Engine>,
    pub(super) walks: Walks,
    /// Every load with what has to be set for it.
    pub(super) loads: BTreeMap<PartId, Vec<(ControlId, Position)>>,
    /// What hangs on the output of a converter alone, with that output.
    pub(super) behind: BTreeMap<PartId, PartId>,
    drawn: Memo<State, Rc<Solution>>,
}

impl Bench {
    /// For a vehicle, with these tables.
    pub fn new(vehicle: Vehicle, tables: Rc<Tables>) -> Self {
        let vehicle = Rc::new(vehicle);
        let rest = State::rest(&vehicle);
        let loads = vehicle.loads().map(|load| (load, settings_for(&vehicle, &rest, load))).collect();
        Self {
            catalogue: occurrences(&tables, &vehicle),
            engine: Rc::new(Engine::new(Rc::clone(&vehicle), Rc::clone(&tables))),
            walks: Walks::new(&tables),
            drawn: Memo::new(tables.memory.real_states),
            behind: behind_converters(&vehicle, &rest),
            vehicle,
            tables,
            loads,
        }
    }

    /// The engine, with the vehicle as drawn.
    pub fn engine(&self) -> &Rc<Engine> {
        &self.engine
    }

    /// The vehicle solved as it is drawn.
    pub(super) fn as_drawn(&self, state: &State) -> Result<Rc<Solution>, SolveError> {
        self.drawn.get_or_try(state.clone(), || solve(network_of(&self.vehicle, state)).map(Rc::new))
    }

    /// What is read at handover.
    pub(super) fn walk(&self, scope: Scope) -> Result<WalkReadings, SolveError> {
        self.walks.of(self.engine.predictor(), scope)
    }

    /// Whether parts hang on the same mains output as one: nobody probes there, and
    /// to name that side is all that can be done.
    pub(super) fn share_mains(&self, part: PartId, named: &[PartId]) -> bool {
        let output = |part: &PartId| self.behind.get(part).filter(|_| self.vehicle.is_on_mains(*part));
        let own = output(&part);
        own.is_some() && !named.is_empty() && named.iter().all(|part| output(part) == own)
    }

    /// Relative frequency of faults of a part.
    pub fn rate_of(&self, part: PartId) -> f64 {
        self.catalogue.iter().filter(|likely| likely.fault.part == part).map(|likely| likely.rate).sum()
    }
}
