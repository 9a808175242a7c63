//! What a fault does to the network.

use super::{Fault, Mode};
use crate::network::{Alteration, Branch, Law, Network, source_law};
use crate::quantity::{Ohms, Siemens, Volts};
use crate::vehicle::{PartKind, State, Vehicle};

/// Resistance of a dead short, Ω.
const SHORT_OHMS: f64 = 0.02;

/// The change that a fault of a size makes in the network of this vehicle in a state.
pub fn alteration(vehicle: &Vehicle, state: &State, network: &Network, fault: Fault, size: f64) -> Alteration {
    let index = fault.part.index();
    let branch = &network.branches[index];
    let replaced = |law| Alteration { replaced: vec![(index, law)], added: Vec::new() };
    match fault.mode {
        Mode::Open => replaced(Law::Open),
        Mode::Resistive => replaced(with_series(&branch.law, size)),
        Mode::StuckClosed => {
            let closed = vehicle.part(fault.part).resistance.value.conductance();
            replaced(Law::Resistor(closed))
        }
        Mode::Shorted => replaced(Law::Resistor(Siemens(1.0 / SHORT_OHMS))),
        Mode::LowVoltage => match &vehicle.part(fault.part).kind {
            PartKind::Supply(supply) if branch.law != Law::Open => {
                let ohms = vehicle.part(fault.part).resistance.value;
                replaced(source_law(supply, state, ohms, Volts(size)))
            }
            _ => Alteration::default(),
        },
        Mode::Leak => match vehicle.chassis {
            Some(body) => Alteration {
                replaced: Vec::new(),
                added: vec![Branch { from: branch.to, to: body.index(), law: Law::Resistor(Siemens(1.0 / size)) }],
            },
            None => Alteration::default(),
        },
    }
}

/// The same law with a resistance in series; a path that is open stays open.
fn with_series(law: &Law, extra: f64) -> Law {
    let more = |g: Siemens| Ohms(1.0 / g.0 + extra).conductance();
    match law.clone() {
        Law::Resistor(conductance) => Law::Resistor(more(conductance)),
        Law::Fuse { conductance, opens_at } => Law::Fuse { conductance: more(conductance), opens_at },
        Law::Contact { conductance, coil, drop_out, rest } => {
            Law::Contact { conductance: more(conductance), coil, drop_out, rest }
        }
        Law::Battery { emf, ohms, charging } => {
            Law::Battery { emf, ohms: ohms + Ohms(extra), charging: charging + Ohms(extra) }
        }
        Law::Regulated { emf, ohms, limit, needs } => Law::Regulated { emf, ohms: ohms + Ohms(extra), limit, needs },
        other => other,
    }
}
