//! Assembly: a vehicle in a state as a network. Branch numbers are part numbers,
//! so that a part without a path keeps its place as an open branch.

use super::curve::Curve;
use super::graph::{Branch, Converter, Network};
use super::law::{ControllingVoltage, Law};
use super::update::Alteration;
use crate::quantity::{Amps, Ohms, Volts};
use crate::tables::fuse::OPENING_MULTIPLE;
use crate::vehicle::{Aid, Battery, Coil, Contact, Conversion, Load, LoadBehaviour, Part, PartId, PartKind, PointId};
use crate::vehicle::{Position, Regulated, State, Supply, Vehicle};

/// From: common practice, no source. Knee of a constant-current load as a share
/// of its rated voltage.
const KNEE_SHARE: f64 = 0.5;

/// Numerical: smallest resistance a part has in the network.
const FLOOR: Ohms = Ohms(crate::tables::limits::LEAST_OHMS);

/// The network of a vehicle in a state, healthy.
pub fn network_of(vehicle: &Vehicle, state: &State) -> Network {
    let branch = |id: PartId| {
        let (from, to) = vehicle.part(id).ends();
        Branch { from: from.index(), to: to.index(), law: law_in(vehicle, state, id) }
    };
    Network {
        points: vehicle.points.len(),
        branches: vehicle.part_ids().map(branch).chain(leads_of(vehicle, state)).collect(),
        reference: vehicle.black.index(),
        converters: converters_of(vehicle),
    }
}

fn converters_of(vehicle: &Vehicle) -> Vec<Converter> {
    let of_output = |output: PartId| {
        let needs = vehicle.part(output).kind.regulated().map_or(&[][..], |source| &source.needs);
        needs.iter().filter_map(move |need| {
            let Conversion { efficiency, idle, least } = vehicle.part(need.load).kind.load()?.converts?;
            Some(Converter { input: need.load.index(), output: output.index(), efficiency, idle, least })
        })
    };
    vehicle.supplies().flat_map(of_output).collect()
}

/// The parts whose law each control may change.
pub fn under_hand(vehicle: &Vehicle) -> Vec<Vec<PartId>> {
    let mut under = vec![Vec::new(); vehicle.controls.len()];
    for id in vehicle.part_ids() {
        let part = vehicle.part(id);
        let gates = part.gates.iter().map(|&(control, _)| control);
        let sleeps = part.kind.load().and_then(|load| load.sleep).map(|sleep| sleep.with);
        let eases = part.kind.regulated().and_then(|source| source.eased).map(|eased| eased.with);
        gates.chain(sleeps).chain(eases).for_each(|control| under[control.index()].push(id));
    }
    under
}

/// What another state changes in the network of a vehicle, healthy in both;
/// `under_hand` are the parts that [`under_hand`] gives.
pub fn changed_by_hand(
    vehicle: &Vehicle,
    network: &Network,
    under_hand: &[Vec<PartId>],
    (was, state): (&State, &State),
) -> Alteration {
    let moved = vehicle.control_ids().filter(|&control| was.position(control) != state.position(control));
    let moved = moved.flat_map(|control| &under_hand[control.index()]).copied();
    let with_aids = [was, state].into_iter().flat_map(|state| state.aids(vehicle)).map(Aid::part);
    let mut parts: Vec<PartId> = moved.chain(with_aids).collect();
    parts.sort_unstable();
    parts.dedup();
    let laws = parts.into_iter().map(|id| (id.index(), law_in(vehicle, state, id)));
    let leads = (vehicle.parts.len()..network.branches.len()).map(|lead| (lead, Law::Open));
    Alteration {
        replaced: laws.filter(|(index, law)| *law != network.branches[*index].law).chain(leads).collect(),
        added: leads_of(vehicle, state).collect(),
    }
}

fn law_in(vehicle: &Vehicle, state: &State, id: PartId) -> Law {
    let part = vehicle.part(id);
    match state.lets(vehicle, id) {
        _ if state.has_lamp(vehicle, id) => Law::Resistor(lamp_ohms(vehicle).conductance()),
        true => law_of(vehicle, state, part),
        false => Law::Open,
    }
}

/// From: common practice, no source. A test lead of 2.5 mm² with its clips, 3 m
/// long; IEC 60228 gives 7.41 Ω/km, and clips some milliohms each.
const LEAD: Ohms = Ohms(0.03);
/// From: common practice, no source. The fuse of a test lead, A: what is fed
/// decides it, from what a bench lead has.
const LEAST_LEAD_FUSE: Amps = Amps(10.0);
/// From: common practice, no source. Fuse of a lead against what the load draws.
const LEAD_FUSE_SHARE: f64 = 2.0;

/// Resistors across loads, and the leads that a state adds, as branches after
/// those of all parts.
fn leads_of<'v>(vehicle: &'v Vehicle, state: &'v State) -> impl Iterator<Item = Branch> + 'v {
    let bleeds = vehicle.part_ids().filter_map(|id| {
        let bleed = vehicle
            .part(id)
            .kind
            .load()?
            .bleed
            .filter(|_| !state.has_lamp(vehicle, id) && !state.is_off(vehicle, id))?;
        let (from, to) = vehicle.part(id).ends();
        Some(Branch { from: from.index(), to: to.index(), law: Law::Resistor(bleed.conductance()) })
    });
    bleeds.chain(state.aids(vehicle).flat_map(|aid| {
        let fused = match aid {
            Aid::Feed { load, .. } => vehicle.part(load).kind.load().map(|load| {
                let draws = load.rated / load.behaviour.ohms_at(load.rated);
                (draws * LEAD_FUSE_SHARE).max(LEAST_LEAD_FUSE)
            }),
            Aid::Bridge { .. } | Aid::Off { .. } | Aid::Lamp { .. } => None,
        };
        let conductance = LEAD.conductance();
        let first = fused.map(|rating| Law::Fuse { conductance, opens_at: rating * OPENING_MULTIPLE });
        let laws = first.into_iter().chain(std::iter::repeat(Law::Resistor(conductance)));
        let branch = |((from, to), law): ((PointId, PointId), Law)| Branch { from: from.index(), to: to.index(), law };
        aid.leads(vehicle).into_iter().zip(laws).map(branch).collect::<Vec<_>>()
    }))
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
        LoadBehaviour::ConstantPower { watts, fold } => {
            let watts = load.converts.map_or(watts, |converts| converts.idle);
            Law::Curve(Curve::ConstantPower { watts, fold, rated, times: 1.0 })
        }
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
