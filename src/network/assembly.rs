//! Assembly: a vehicle in a state as a network. Branch numbers are part numbers,
//! so that a part without a path keeps its place as an open branch.

use super::curve::Curve;
use super::graph::{Branch, Network};
use super::law::{ControllingVoltage, Law};
use super::update::Alteration;
use crate::quantity::{Ohms, Volts};
use crate::tables::fuse::OPENING_MULTIPLE;
use crate::vehicle::{Battery, Coil, Contact, Load, LoadBehaviour, Part, PartKind};
use crate::vehicle::{Position, Regulated, State, Supply, Vehicle};

/// From: common practice, no source. Knee of a constant-current load as a share
/// of its rated voltage.
const KNEE_SHARE: f64 = 0.5;

/// Numerical: smallest resistance a part has in the network.
const FLOOR: Ohms = Ohms(crate::tables::limits::LEAST_OHMS);

/// The network of a vehicle in a state, healthy.
pub fn network_of(vehicle: &Vehicle, state: &State) -> Network {
    let branch =
        |part: &Part| Branch { from: part.from.index(), to: part.to.index(), law: law_in(vehicle, state, part) };
    Network {
        points: vehicle.points.len(),
        branches: vehicle.parts.iter().map(branch).collect(),
        reference: vehicle.black.index(),
    }
}

/// What another state changes in the network of a vehicle, healthy in both.
pub fn changed_by_hand(vehicle: &Vehicle, network: &Network, state: &State) -> Alteration {
    let dependent = vehicle.parts.iter().enumerate().filter(|(_, part)| depends_on_state(part));
    let laws = dependent.map(|(index, part)| (index, law_in(vehicle, state, part)));
    Alteration {
        replaced: laws.filter(|(index, law)| *law != network.branches[*index].law).collect(),
        added: Vec::new(),
    }
}

/// Whether the law of a part can differ from state to state.
fn depends_on_state(part: &Part) -> bool {
    let sleeps = part.kind.load().is_some_and(|load| load.sleep.is_some());
    let eases = part.kind.regulated().is_some_and(|source| source.eased.is_some());
    sleeps || eases || !part.gates.is_empty()
}

fn law_in(vehicle: &Vehicle, state: &State, part: &Part) -> Law {
    match state.lets(part) {
        _ if part.kind.is_fuse() && state.has_lamp(part) => Law::Resistor(lamp_ohms(vehicle).conductance()),
        true => law_of(vehicle, state, part),
        false => Law::Open,
    }
}

/// A lamp that lets a few amperes through, in place of a fuse: 21 W at 12 V,
/// two of them at 24 V; common practice, no source.
fn lamp_ohms(vehicle: &Vehicle) -> Ohms {
    Ohms(6.9 * vehicle.nominal.0 / 12.0)
}

fn law_of(vehicle: &Vehicle, state: &State, part: &Part) -> Law {
    let ohms = part.resistance.value.max(FLOOR);
    match &part.kind {
        PartKind::Fuse { rating } | PartKind::Breaker { rating } => {
            Law::Fuse { conductance: ohms.conductance(), opens_at: *rating * OPENING_MULTIPLE }
        }
        PartKind::Contact(Contact { coil, rest }) => {
            let Some(Coil { pull_in, drop_out }) = vehicle.part(*coil).kind.coil() else { return Law::Open };
            let coil = ControllingVoltage { branch: coil.index(), volts: pull_in };
            Law::Contact { conductance: ohms.conductance(), coil, drop_out, rest: *rest }
        }
        PartKind::Diode { forward, .. } => Law::Diode { forward: *forward, ohms },
        PartKind::Load(load) => match load.sleep {
            Some(sleep) if state.position(sleep.with) == Position::On => {
                Law::ConstantCurrent { amps: sleep.amps, knee: load.rated * KNEE_SHARE }
            }
            _ => awake_law(load),
        },
        PartKind::Supply(supply) => source_law(supply, state, ohms, Volts::ZERO),
        PartKind::Instrument(_) => Law::Open,
        PartKind::HolderContact
        | PartKind::Cable { .. }
        | PartKind::Joint
        | PartKind::Pin
        | PartKind::Switch
        | PartKind::Isolator
        | PartKind::Coil(_)
        | PartKind::Shunt
        | PartKind::Chassis => Law::Resistor(ohms.conductance()),
    }
}

/// Law of a load that does not sleep.
pub fn awake_law(load: &Load) -> Law {
    let rated = load.rated;
    match load.behaviour {
        LoadBehaviour::Resistance(ohms) => Law::Resistor(ohms.conductance()),
        LoadBehaviour::ConstantCurrent(amps) => Law::ConstantCurrent { amps, knee: rated * KNEE_SHARE },
        LoadBehaviour::ConstantPower { watts, fold } => Law::Curve(Curve::ConstantPower { watts, fold, rated }),
        LoadBehaviour::Filament(amps) => Law::Curve(Curve::Filament { amps, rated }),
        LoadBehaviour::DiodeString { forward, ohms } => Law::Diode { forward, ohms },
    }
}

/// Law of a supply in a state whose voltage is down by `missing`.
pub fn source_law(supply: &Supply, state: &State, ohms: Ohms, missing: Volts) -> Law {
    match supply {
        Supply::Battery(Battery { rest, charging, .. }) => {
            Law::Battery { emf: *rest - missing, ohms, charging: *charging }
        }
        Supply::Regulated(Regulated { set, limit, needs, eased }) => Law::Regulated {
            emf: match eased {
                Some(eased) if state.position(eased.with) == Position::On => eased.set - missing,
                _ => *set - missing,
            },
            ohms,
            limit: *limit,
            needs: needs
                .iter()
                .map(|need| ControllingVoltage { branch: need.load.index(), volts: need.volts })
                .collect(),
        },
    }
}
