//! What a fault does to the network.

use super::{FailureMode, Fault, ways};
use crate::network::{Alteration, Branch, Curve, Law, Network, awake_law, source_law};
use crate::quantity::{Ohms, Siemens, Volts};
use crate::tables::faults::Faults;
use crate::tables::fuse::RESISTANCE_EXPONENT;
use crate::vehicle::{Aid, ContactRest, PartId, PointId, State, Vehicle};

/// The change that a fault of a size makes in the network of this vehicle in a state.
pub fn alteration(
    faults: &Faults,
    vehicle: &Vehicle,
    state: &State,
    network: &Network,
    fault: Fault,
    size: f64,
) -> Alteration {
    if is_out(vehicle, state, fault) {
        return Alteration::default();
    }
    let index = fault.part.index();
    let part = vehicle.part(fault.part);
    let branch = &network.branches[index];
    let far = far_end(vehicle, state, fault.part).index();
    let replaced = |law| Alteration { replaced: vec![(index, law)], added: Vec::new() };
    let added = |from, to| {
        let law = Law::Resistor(Ohms(size).conductance());
        Alteration { replaced: Vec::new(), added: vec![Branch { from, to, law }] }
    };
    match fault.mode {
        FailureMode::OpenCircuit => replaced(Law::Open),
        FailureMode::HighResistance => replaced(with_series(&branch.law, size)),
        FailureMode::Undersized => replaced(with_series(&branch.law, (size - 1.0) * part.resistance.value.0)),
        FailureMode::ContactWelded => replaced(Law::Resistor(part.resistance.value.conductance())),
        FailureMode::ShortAcross => replaced(Law::Resistor(faults.dead_short.conductance())),
        FailureMode::HighDraw | FailureMode::LowDraw => replaced(drawing(&branch.law, size)),
        FailureMode::StaysAwake => match part.kind.load() {
            Some(load) if branch.law != Law::Open => replaced(awake_law(load)),
            _ => Alteration::default(),
        },
        FailureMode::WrongTerminal => replaced(opposite(&branch.law)),
        FailureMode::WrongRating => replaced(rated(&branch.law, size)),
        FailureMode::LowVoltage => match part.kind.supply() {
            Some(supply) if branch.law != Law::Open => {
                replaced(source_law(supply, state, part.resistance.value, Volts(size)))
            }
            _ => Alteration::default(),
        },
        // The circuit is as it should be.
        FailureMode::Stuck | FailureMode::ReadsOff | FailureMode::WrongScale | FailureMode::Drifts => {
            Alteration::default()
        }
        FailureMode::ShortToGround => vehicle.chassis.map_or_else(Alteration::default, |body| added(far, body.index())),
        FailureMode::ShortBetweenCircuits => {
            let beside = |other| added(far, far_end(vehicle, state, other).index());
            fault.other.map_or_else(Alteration::default, beside)
        }
        FailureMode::Crossed => {
            fault.other.map_or_else(Alteration::default, |other| crossed(network, index, other.index()))
        }
        FailureMode::Leakage => added(branch.from, branch.to),
        FailureMode::CommonCause => {
            let poor = |way: PartId| (way.index(), with_series(&network.branches[way.index()].law, size));
            Alteration { replaced: ways(vehicle, fault).map(poor).collect(), added: Vec::new() }
        }
    }
}

/// Whether a fault touches nothing in a state: of a part in whose place a lamp
/// stands, or of one that is off its post where it adds no path elsewhere.
pub fn is_out(vehicle: &Vehicle, state: &State, fault: Fault) -> bool {
    let leads_elsewhere = match fault.mode {
        FailureMode::ShortToGround | FailureMode::ShortBetweenCircuits => true,
        FailureMode::Crossed | FailureMode::CommonCause => true,
        FailureMode::OpenCircuit | FailureMode::HighResistance | FailureMode::ContactWelded => false,
        FailureMode::LowVoltage | FailureMode::HighDraw | FailureMode::LowDraw => false,
        FailureMode::WrongTerminal | FailureMode::WrongRating | FailureMode::Undersized => false,
        FailureMode::ShortAcross | FailureMode::StaysAwake | FailureMode::Leakage => false,
        FailureMode::Stuck | FailureMode::ReadsOff | FailureMode::WrongScale | FailureMode::Drifts => false,
    };
    let is_unplugged = |id: PartId| state.has_lamp(vehicle, id) && vehicle.part(id).kind.is_load();
    let is_aside = |id: PartId| state.has_lamp(vehicle, id) || state.is_off(vehicle, id);
    is_unplugged(fault.part) || (!leads_elsewhere && is_aside(fault.part))
}

/// The end of a part at which a path beside the drawn ones begins: where current
/// leaves it, or the other if that one is off its post.
pub fn far_end(vehicle: &Vehicle, state: &State, id: PartId) -> PointId {
    let part = vehicle.part(id);
    let is_off = state.aids(vehicle).any(|aid| aid == Aid::Off { part: id, at: part.to });
    if is_off { part.from } else { part.to }
}

/// Two ways through a plug whose far ends have changed places.
fn crossed(network: &Network, one: usize, other: usize) -> Alteration {
    let (a, b) = (&network.branches[one], &network.branches[other]);
    Alteration {
        replaced: vec![(one, Law::Open), (other, Law::Open)],
        added: vec![
            Branch { from: a.from, to: b.to, law: a.law.clone() },
            Branch { from: b.from, to: a.to, law: b.law.clone() },
        ],
    }
}

/// The change that a fault makes with that of two parts which have changed places:
/// what has failed in one of them has gone with it.
pub fn failed_and_crossed(failed: Alteration, mut crossed: Alteration, swap: Fault) -> Alteration {
    let mut elsewhere = Alteration { replaced: Vec::new(), added: failed.added };
    for (branch, law) in failed.replaced {
        match swap.parts().zip(&mut crossed.added).find(|(part, _)| part.index() == branch) {
            Some((_, moved)) => moved.law = law,
            None => elsewhere.replaced.push((branch, law)),
        }
    }
    crossed.and(elsewhere)
}

/// A load that draws a multiple of its current.
fn drawing(law: &Law, times: f64) -> Law {
    match law.clone() {
        Law::Resistor(conductance) => Law::Resistor(Siemens(conductance.0 * times)),
        Law::ConstantCurrent { amps, knee } => Law::ConstantCurrent { amps: amps * times, knee },
        Law::Diode { forward, ohms } => Law::Diode { forward, ohms: ohms * (1.0 / times) },
        Law::Curve(Curve::ConstantPower { watts, fold, rated, times: before }) => {
            Law::Curve(Curve::ConstantPower { watts: watts * times, fold, rated, times: before * times })
        }
        Law::Curve(Curve::Filament { amps, rated }) => Law::Curve(Curve::Filament { amps: amps * times, rated }),
        Law::Open | Law::Fuse { .. } | Law::Battery { .. } | Law::Regulated { .. } | Law::Contact { .. } => law.clone(),
    }
}

/// A contact on the terminal of its opposite: closed where it should be open.
fn opposite(law: &Law) -> Law {
    match law.clone() {
        Law::Contact { conductance, coil, drop_out, rest } => {
            let rest = match rest {
                ContactRest::Make => ContactRest::Break,
                ContactRest::Break => ContactRest::Make,
            };
            Law::Contact { conductance, coil, drop_out, rest }
        }
        Law::Open
        | Law::Resistor(_)
        | Law::Fuse { .. }
        | Law::Battery { .. }
        | Law::Regulated { .. }
        | Law::ConstantCurrent { .. }
        | Law::Curve(_)
        | Law::Diode { .. } => law.clone(),
    }
}

/// A fuse of a share of its rating, with the resistance that goes with it.
fn rated(law: &Law, share: f64) -> Law {
    match law.clone() {
        Law::Fuse { conductance, opens_at } => Law::Fuse {
            conductance: Siemens(conductance.0 * share.powf(-RESISTANCE_EXPONENT)),
            opens_at: opens_at * share,
        },
        Law::Open
        | Law::Resistor(_)
        | Law::Battery { .. }
        | Law::Regulated { .. }
        | Law::ConstantCurrent { .. }
        | Law::Curve(_)
        | Law::Diode { .. }
        | Law::Contact { .. } => law.clone(),
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
        Law::Open | Law::ConstantCurrent { .. } | Law::Curve(_) | Law::Diode { .. } => law.clone(),
    }
}
