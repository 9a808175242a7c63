//! A vehicle in a state as points and branches; branch numbers are part numbers.

use super::altered::Alteration;
use super::curve::Curve;
use super::law::{Branch, Law, Need, Network};
use crate::quantity::{Amps, Ohms, Volts};
use crate::tables::fuse::OPENING_MULTIPLE;
use crate::tables::supply;
use crate::vehicle::{LoadBehaviour, Part, PartKind, Position, State, Supply, Vehicle};

/// Knee of a constant-current load as a share of its rated voltage.
const KNEE_SHARE: f64 = 0.5;

/// Smallest resistance a part has in the network, Ω.
const FLOOR: f64 = crate::tables::limits::LEAST_OHMS;

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
    let heeded = vehicle.parts.iter().enumerate().filter(|(_, part)| heeds_hands(part));
    let laws = heeded.map(|(index, part)| (index, law_in(vehicle, state, part)));
    Alteration {
        replaced: laws.filter(|(index, law)| *law != network.branches[*index].law).collect(),
        added: Vec::new(),
    }
}

/// Whether the law of a part can differ from state to state.
fn heeds_hands(part: &Part) -> bool {
    let by_kind = match &part.kind {
        PartKind::Load { sleep, .. } => sleep.is_some(),
        PartKind::Supply(Supply::Regulated { eased, .. }) => eased.is_some(),
        _ => false,
    };
    by_kind || !part.gates.is_empty()
}

fn law_in(vehicle: &Vehicle, state: &State, part: &Part) -> Law {
    match part.kind {
        PartKind::Fuse { .. } if state.has_lamp(part) => Law::Resistor(lamp_ohms(vehicle).conductance()),
        _ if state.lets(part) => law_of(vehicle, state, part),
        _ => Law::Open,
    }
}

/// A lamp that lets a few amperes through, in place of a fuse: 21 W at 12 V,
/// two of them at 24 V; common practice, no source.
fn lamp_ohms(vehicle: &Vehicle) -> Ohms {
    Ohms(6.9 * vehicle.nominal.0 / 12.0)
}

fn law_of(vehicle: &Vehicle, state: &State, part: &Part) -> Law {
    let ohms = Ohms(part.resistance.value.0.max(FLOOR));
    match &part.kind {
        PartKind::Fuse { rating } | PartKind::Breaker { rating } => {
            Law::Fuse { conductance: ohms.conductance(), opens_at: Amps(rating.0 * OPENING_MULTIPLE) }
        }
        PartKind::Contact { coil, rest } => {
            let PartKind::Coil { pull_in, drop_out } = vehicle.part(*coil).kind else { return Law::Open };
            let coil = Need { branch: coil.index(), volts: pull_in };
            Law::Contact { conductance: ohms.conductance(), coil, drop_out, rest: *rest }
        }
        PartKind::Diode { forward } => Law::Diode { forward: *forward, ohms },
        PartKind::Load { sleep: Some(sleep), rated, .. } if state.position(sleep.with) == Position::On => {
            Law::ConstantCurrent { amps: sleep.amps, knee: *rated * KNEE_SHARE }
        }
        PartKind::Load { .. } => awake_law(part),
        PartKind::Supply(supply) => source_law(supply, state, ohms, Volts(0.0)),
        _ => Law::Resistor(ohms.conductance()),
    }
}

/// Law of a load that does not sleep; nothing for what is no load.
pub fn awake_law(part: &Part) -> Law {
    let PartKind::Load { behaviour, rated, .. } = part.kind else { return Law::Open };
    match behaviour {
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
        Supply::Battery { rest, chemistry, ampere_hours, .. } => Law::Battery {
            emf: *rest - missing,
            ohms,
            charging: supply::charging_resistance(*chemistry, *ampere_hours),
        },
        Supply::Regulated { set, limit, needs, eased } => Law::Regulated {
            emf: match eased {
                Some(eased) if state.position(eased.with) == Position::On => eased.set - missing,
                _ => *set - missing,
            },
            ohms,
            limit: *limit,
            needs: needs.iter().map(|need| Need { branch: need.load.index(), volts: need.volts }).collect(),
        },
    }
}
