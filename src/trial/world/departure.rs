//! Where the vehicle is not as drawn though nothing in it is broken.

use super::chance::{log_normal, log_uniform};
use super::nature::weaken;
use crate::network::{Branch, Law, Network};
use crate::quantity::{Ohms, TWELVE_VOLTS};
use crate::tables::world::Workshop;
use crate::vehicle::trace::SupplyLeads;
use crate::vehicle::{Load, LoadBehaviour, PartId, PartKind, PointId, State, Vehicle};
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
fn swapped(vehicle: &Vehicle, random: &mut impl Rng) -> Option<Departure> {
    let ways: Vec<PartId> = ways_to_loads(vehicle).flatten().collect();
    let mut feeds: Vec<PartId> = feeds_on(vehicle, &ways).collect();
    feeds.sort_unstable();
    feeds.dedup();
    let one = *feeds.choose(random)?;
    with_a_neighbour(vehicle, &feeds, one, random)
}

/// The same, one of them a feed that a part leads to: what hangs on that part hangs on
/// the feed behind it too.
pub fn swapped_behind(vehicle: &Vehicle, part: PartId, random: &mut impl Rng) -> Option<Departure> {
    let ways: Vec<Vec<PartId>> = ways_to_loads(vehicle).collect();
    let behind = |way: &Vec<PartId>| {
        let at = way.iter().position(|&one| one == part)?;
        Some(feeds_on(vehicle, &way[at..]).collect::<Vec<_>>())
    };
    let mut led = ways.iter().filter_map(behind);
    let first = led.next()?;
    let shared = led.fold(first, |shared, others| shared.into_iter().filter(|one| others.contains(one)).collect());
    let one = *shared.choose(random)?;
    let feeds: Vec<PartId> = feeds_on(vehicle, &ways.concat()).collect();
    with_a_neighbour(vehicle, &feeds, one, random)
}

/// A feed and another that begins beside it.
fn with_a_neighbour(vehicle: &Vehicle, feeds: &[PartId], one: PartId, random: &mut impl Rng) -> Option<Departure> {
    let (begins, ends) = vehicle.part(one).ends();
    let places = &vehicle.point(begins).places;
    let is_beside = |other: &PartId| {
        let (from, to) = vehicle.part(*other).ends();
        from != begins && to != ends && vehicle.point(from).places.iter().any(|place| places.contains(place))
    };
    let mut beside: Vec<PartId> = feeds.iter().copied().filter(is_beside).collect();
    beside.sort_unstable();
    beside.dedup();
    Some(Departure::Swapped { one, other: *beside.choose(random)? })
}

/// The parts from the supply to each load.
fn ways_to_loads(vehicle: &Vehicle) -> impl Iterator<Item = Vec<PartId>> {
    let leads = SupplyLeads::of(vehicle, &State::rest(vehicle));
    vehicle.loads().map(move |load| leads.feed(vehicle, load).there)
}

/// The cables of a way.
fn feeds_on(vehicle: &Vehicle, way: &[PartId]) -> impl Iterator<Item = PartId> {
    way.iter().copied().filter(|&part| matches!(vehicle.part(part).kind, PartKind::Cable(_)))
}

fn choose(vehicle: &Vehicle, random: &mut impl Rng, is: impl Fn(&PartKind) -> bool) -> Option<PartId> {
    let parts: Vec<PartId> = vehicle.part_ids().filter(|&part| is(&vehicle.part(part).kind)).collect();
    parts.choose(random).copied()
}
