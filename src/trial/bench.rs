//! Test bench: a vehicle as drawn, its catalogue of faults and the engine for it.

use crate::belief::Engine;
use crate::fault::{Likely, catalogue};
use crate::network::SolveError;
use crate::plan::walk::{Scope, wanted};
use crate::predict::Probe;
use crate::tables::Tables;
use crate::vehicle::trace::settings_for;
use crate::vehicle::{ControlId, PartId, Position, State, Vehicle};
use std::cell::OnceCell;
use std::rc::Rc;

/// What cases are played on: a vehicle as drawn and the engine for it.
pub struct Bench {
    pub(super) vehicle: Rc<Vehicle>,
    pub(super) tables: Rc<Tables>,
    pub(super) catalogue: Vec<Likely>,
    pub(super) engine: Rc<Engine>,
    pub(super) walk: OnceCell<(Scope, Vec<(State, Probe)>)>,
    pub(super) loads: Vec<(PartId, Vec<(ControlId, Position)>)>,
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
}
