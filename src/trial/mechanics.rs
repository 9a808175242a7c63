//! What world and engine share: what can go wrong at all, and what a fault of a
//! given size does to a network. How often and how big is the world's own.

use crate::fault::{Fault, Likely, alteration, catalogue};
use crate::network::{Alteration, Network};
use crate::tables::Tables;
use crate::vehicle::{State, Vehicle};

/// What a fault of a size changes in the network of a vehicle in a state.
pub fn effect(
    tables: &Tables,
    vehicle: &Vehicle,
    state: &State,
    network: &Network,
    (fault, size): (Fault, f64),
) -> Alteration {
    alteration(&tables.faults, vehicle, state, network, fault, size)
}

/// Every single fault that can be, as often as the world has it.
pub fn occurrences(tables: &Tables, vehicle: &Vehicle) -> Vec<Likely> {
    let tables = Tables { rates: tables.world_rates.0.clone(), ..tables.clone() };
    catalogue(vehicle, &tables)
}
