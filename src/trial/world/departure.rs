//! Where the vehicle is not as drawn though nothing in it is broken.

use super::chance::{log_normal, log_uniform};
use super::nature::weaken;
use crate::network::{Branch, Law, Network};
use crate::quantity::{Ohms, TWELVE_VOLTS};
use crate::tables::world::Workshop;
use crate::vehicle::{Load, LoadBehaviour, PartId, PartKind, PointId, Vehicle};
use rand::Rng;
use rand::seq::IndexedRandom;

/// One thing that the drawing has otherwise.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Departure {
    /// A cable is so many times as long.
    Longer { cable: PartId, times: f64 },
    /// A load draws so many times as much.
    Bigger { load: PartId, times: f64 },
    /// Two feeds have changed places at their far ends.
    Swapped { one: PartId, other: PartId },
    /// Something is spliced in that no drawing shows.
    Spliced { from: PointId, to: PointId, ohms: Ohms },
    /// A load has a second return.
    Returned { from: PointId, to: PointId, ohms: Ohms },
    /// Two points are joined.
    Joined { from: PointId, to: PointId, ohms: Ohms },
}

impl Departure {
    /// The parts that are otherwise; none where something was added.
    pub fn parts(self) -> impl Iterator<Item = PartId> {
        let (first, second) = match self {
            Self::Longer { cable, .. } => (Some(cable), None),
            Self::Bigger { load, .. } => (Some(load), None),
            Self::Swapped { one, other } => (Some(one), Some(other)),
            Self::Spliced { .. } | Self::Returned { .. } | Self::Joined { .. } => (None, None),
        };
        first.into_iter().chain(second)
    }

    /// Makes a vehicle as it is.
    pub fn shape(self, vehicle: &mut Vehicle) {
        match self {
            Self::Longer { cable, times } => vehicle.parts[cable.index()].resistance.value.0 *= times,
            Self::Bigger { load, times } => {
                let part = &mut vehicle.parts[load.index()];
                part.resistance.value.0 /= times;
                if let Some(load) = part.kind.load_mut() {
                    weaken(&mut load.behaviour, 1.0 / times);
                }
            }
            Self::Swapped { .. } | Self::Spliced { .. } | Self::Returned { .. } | Self::Joined { .. } => {}
        }
    }

    /// Makes a network as it is, once its vehicle has been shaped.
    pub fn join(self, network: &mut Network) {
        match self {
            Self::Longer { .. } | Self::Bigger { .. } => {}
            Self::Swapped { one, other } => {
                let (a, b) = (network.branches[one.index()].to, network.branches[other.index()].to);
                network.branches[one.index()].to = b;
                network.branches[other.index()].to = a;
            }
            Self::Spliced { from, to, ohms } | Self::Returned { from, to, ohms } | Self::Joined { from, to, ohms } => {
                let law = Law::Resistor(ohms.conductance());
                network.branches.push(Branch { from: from.index(), to: to.index(), law });
            }
        }
    }
}

/// One departure, every kind as often; none where the vehicle has nothing for it.
pub fn departure(of: &Workshop, vehicle: &Vehicle, random: &mut impl Rng) -> Option<Departure> {
    // Format: the six kinds.
    match [0, 1, 2, 3, 4, 5].choose(random)? {
        0 => {
            let cable = choose(vehicle, random, |kind| matches!(kind, PartKind::Cable(_)))?;
            Some(Departure::Longer { cable, times: of.longer })
        }
        1 => {
            // A string of diodes with another resistor is no bigger lamp, and a
            // converter takes what its output gives.
            let is_plain = |kind: &PartKind| {
                let is_string = |load: &Load| matches!(load.behaviour, LoadBehaviour::DiodeString { .. });
                kind.load().is_some_and(|load| !is_string(load) && load.converts.is_none())
            };
            let load = choose(vehicle, random, is_plain)?;
            Some(Departure::Bigger { load, times: of.bigger })
        }
        2 => swapped(vehicle, random),
        3 => {
            let feed = choose(vehicle, random, |kind| matches!(kind, PartKind::Cable(_)))?;
            let from = vehicle.part(feed).to;
            let ohms = Ohms(log_normal(of.spliced, random) * (vehicle.nominal.0 / TWELVE_VOLTS.0));
            let to = vehicle.chassis.unwrap_or(vehicle.black);
            (from != to).then_some(Departure::Spliced { from, to, ohms })
        }
        4 => {
            let load = choose(vehicle, random, |kind| kind.load().is_some())?;
            let (from, to) = (vehicle.part(load).to, vehicle.chassis.unwrap_or(vehicle.black));
            (from != to).then_some(Departure::Returned { from, to, ohms: of.bond })
        }
        _ => joined(of, vehicle, random),
    }
}

/// A path between any two points.
pub fn joined(of: &Workshop, vehicle: &Vehicle, random: &mut impl Rng) -> Option<Departure> {
    let points: Vec<PointId> = (0..vehicle.points.len()).map(PointId::new).collect();
    let (from, to) = (*points.choose(random)?, *points.choose(random)?);
    let ohms = Ohms(log_uniform(of.joined, random));
    (from != to).then_some(Departure::Joined { from, to, ohms })
}

/// Two feeds that begin at one place, fed from different points, and end at
/// different points.
pub fn swapped(vehicle: &Vehicle, random: &mut impl Rng) -> Option<Departure> {
    let feeds: Vec<PartId> = vehicle.runs.iter().flat_map(|run| feeds(vehicle, &run.parts)).collect();
    let one = *feeds.choose(random)?;
    let (begins, ends) = vehicle.part(one).ends();
    let places = &vehicle.point(begins).places;
    let is_beside = |other: &PartId| {
        let (from, to) = vehicle.part(*other).ends();
        from != begins && to != ends && vehicle.point(from).places.iter().any(|place| places.contains(place))
    };
    let beside: Vec<PartId> = feeds.into_iter().filter(is_beside).collect();
    Some(Departure::Swapped { one, other: *beside.choose(random)? })
}

/// The cables of a run that lead to its load.
fn feeds(vehicle: &Vehicle, run: &[PartId]) -> Vec<PartId> {
    let load = run.iter().position(|&part| vehicle.part(part).kind.load().is_some());
    let before = run[..load.unwrap_or(0)].iter().copied();
    before.filter(|&part| matches!(vehicle.part(part).kind, PartKind::Cable(_))).collect()
}

fn choose(vehicle: &Vehicle, random: &mut impl Rng, is: impl Fn(&PartKind) -> bool) -> Option<PartId> {
    let parts: Vec<PartId> = vehicle.part_ids().filter(|&part| is(&vehicle.part(part).kind)).collect();
    parts.choose(random).copied()
}
