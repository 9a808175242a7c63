//! What can go wrong with a part, how often, and what it does to the network.

mod effect;
mod mode;
mod size;

pub use effect::{alteration, failed_and_crossed, far_end, is_out};
pub use size::{Size, UNDRAWN_PATH_SIZES, sizes, undrawn_path_sizes};

use crate::tables::Tables;
use crate::tables::faults::Faults;
pub use crate::tables::rates::FailureMode;
use crate::tables::rates::PartClass;
use crate::vehicle::{PartId, PartKind, PlaceId, Supply, Vehicle};
use std::collections::HashMap;

/// One way for one part to fail.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Fault {
    /// The part.
    pub part: PartId,
    /// How.
    pub mode: FailureMode,
    /// The other part, where it takes two.
    pub other: Option<PartId>,
}

impl Fault {
    /// A part failing by itself.
    pub fn new(part: PartId, mode: FailureMode) -> Self {
        Self { part, mode, other: None }
    }

    /// The part, and the other where it takes two.
    pub fn parts(&self) -> impl Iterator<Item = PartId> + use<> {
        std::iter::once(self.part).chain(self.other)
    }

    /// Whether a part has to do with it.
    pub fn involves(&self, part: PartId) -> bool {
        self.parts().any(|one| one == part)
    }
}

/// All parts that have to do with a fault: where those of one plug or cable
/// fail together, also the ways between the first and the last of them.
pub fn ways(vehicle: &Vehicle, fault: Fault) -> impl Iterator<Item = PartId> + '_ {
    // Two that lie far apart have nothing between them, however long the drawing.
    let last = fault.other.filter(|_| fault.mode == FailureMode::CommonCause).unwrap_or(fault.part);
    let between = (fault.part.index() + 1..last.index()).map(PartId::new);
    fault.parts().chain(between.filter(move |&part| fails_along(vehicle, fault, part)))
}

/// Whether a part has to do with a fault, as [`ways`] has it.
pub fn concerns(vehicle: &Vehicle, fault: Fault, part: PartId) -> bool {
    fault.involves(part) || fails_along(vehicle, fault, part)
}

/// Whether a part lies between the first and the last of a plug or cable that
/// fail together.
fn fails_along(vehicle: &Vehicle, fault: Fault, part: PartId) -> bool {
    fault.mode == FailureMode::CommonCause
        && part > fault.part
        && Some(part) < fault.other
        && vehicle.part(part).bundle == vehicle.part(fault.part).bundle
}

/// A fault with its relative frequency.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Likely {
    /// The fault.
    pub fault: Fault,
    /// Relative frequency, from the table of rates.
    pub rate: f64,
}

/// Every single fault of a vehicle.
pub fn catalogue(vehicle: &Vehicle, tables: &Tables) -> Vec<Likely> {
    let boards = Boards::of(vehicle);
    let mut all = Vec::new();
    for part in vehicle.part_ids() {
        let (class, metres) = class_of(&vehicle.part(part).kind);
        for (mode, rate) in tables.rates.of(class, metres).filter(|(_, rate)| *rate > 0.0) {
            if mode == FailureMode::CommonCause {
                let groups = groups(vehicle, part);
                let fault = |last| Fault { part, mode, other: Some(last) };
                all.extend(groups.into_iter().map(|last| Likely { fault: fault(last), rate }));
            } else if mode.takes_two() {
                let fault = |other| Fault { part, mode, other: Some(other) };
                let neighbours = match (mode, &vehicle.part(part).kind) {
                    (FailureMode::Crossed, PartKind::Cable(_)) => boards.beside(&tables.faults, vehicle, part),
                    _ => neighbours(&tables.faults, vehicle, part),
                };
                all.extend(neighbours.into_iter().map(|other| Likely { fault: fault(other), rate }));
            } else if can_happen(vehicle, part, mode) {
                all.push(Likely { fault: Fault::new(part, mode), rate });
            }
        }
    }
    all
}

fn can_happen(vehicle: &Vehicle, part: PartId, mode: FailureMode) -> bool {
    match mode {
        FailureMode::ShortToGround => vehicle.chassis.is_some(),
        // A converter takes what its output gives.
        FailureMode::LowDraw => vehicle.part(part).kind.load().is_none_or(|load| load.converts.is_none()),
        FailureMode::StaysAwake => vehicle.part(part).kind.load().is_some_and(|load| load.sleep.is_some()),
        FailureMode::OpenCircuit
        | FailureMode::HighResistance
        | FailureMode::ContactWelded
        | FailureMode::ShortAcross
        | FailureMode::LowVoltage
        | FailureMode::HighDraw
        | FailureMode::WrongTerminal
        | FailureMode::WrongRating
        | FailureMode::Undersized
        | FailureMode::ShortBetweenCircuits
        | FailureMode::Crossed
        | FailureMode::Leakage
        | FailureMode::CommonCause
        | FailureMode::Stuck
        | FailureMode::ReadsOff
        | FailureMode::WrongScale
        | FailureMode::Drifts => true,
    }
}

/// The ways through the plug or cable of a part, in drawing order.
fn ways_beside(vehicle: &Vehicle, part: PartId) -> Vec<PartId> {
    let Some(bundle) = vehicle.part(part).bundle else { return Vec::new() };
    vehicle.part_ids().filter(|&other| vehicle.part(other).bundle == Some(bundle)).collect()
}

/// The last ways of the groups that fail together and begin with this part: all
/// ways of its plug or cable, and those that carry one current between them.
fn groups(vehicle: &Vehicle, part: PartId) -> Vec<PartId> {
    let ways = ways_beside(vehicle, part);
    let Some(at) = ways.iter().position(|&way| way == part) else { return Vec::new() };
    let is_beside = |way: PartId| are_in_parallel(vehicle, part, way);
    let begins = at == 0 || !is_beside(ways[at - 1]);
    let beside = ways[at + 1..].iter().copied().take_while(|&way| begins && is_beside(way)).last();
    let last_of_all = ways.last().copied().filter(|_| at == 0 && ways.len() > 1);
    let mut lasts: Vec<PartId> = beside.into_iter().chain(last_of_all).collect();
    lasts.dedup();
    lasts
}

/// Whether two parts are of runs that lie between the same two points.
fn are_in_parallel(vehicle: &Vehicle, one: PartId, other: PartId) -> bool {
    let run_of = |part: PartId| vehicle.runs.iter().position(|run| run.parts.contains(&part));
    let ends = |run: usize| {
        let parts = &vehicle.runs[run].parts;
        Some((vehicle.part(*parts.first()?).from, vehicle.part(*parts.last()?).to))
    };
    match (run_of(one), run_of(other)) {
        (Some(one), Some(other)) => one != other && ends(one) == ends(other),
        _ => false,
    }
}

/// The ways beside a part in its plug or cable that come after it in the
/// drawing, so that each pair is listed once. Round a small plug all are
/// neighbours; in a large one or a cable, the next two.
fn neighbours(faults: &Faults, vehicle: &Vehicle, part: PartId) -> Vec<PartId> {
    let ways = ways_beside(vehicle, part);
    let reach = if ways.len() <= faults.round_plug { ways.len() } else { faults.neighbours };
    ways.into_iter().filter(|&other| other > part).take(reach).collect()
}

/// The cables that begin and that end at each place, in drawing order.
struct Boards {
    at: HashMap<(PlaceId, bool), Vec<PartId>>,
    /// Of each part, its run.
    runs: HashMap<PartId, usize>,
}

impl Boards {
    fn of(vehicle: &Vehicle) -> Self {
        let mut at: HashMap<_, Vec<PartId>> = HashMap::new();
        for cable in vehicle.part_ids().filter(|&part| matches!(vehicle.part(part).kind, PartKind::Cable(_))) {
            let (from, to) = vehicle.part(cable).ends();
            for (end, begins) in [(from, true), (to, false)] {
                vehicle.point(end).places.iter().for_each(|&place| at.entry((place, begins)).or_default().push(cable));
            }
        }
        let runs = vehicle.runs.iter().enumerate();
        Self { at, runs: runs.flat_map(|(run, of)| of.parts.iter().map(move |&part| (part, run))).collect() }
    }

    /// The cables after this one that begin or end at a place.
    fn after(&self, near: (PlaceId, bool), cable: PartId) -> &[PartId] {
        let at = self.at.get(&near).map_or(&[][..], Vec::as_slice);
        &at[at.partition_point(|&other| other <= cable)..]
    }

    /// The cables after this one that may have changed places with it: those of
    /// other runs that begin or end at one place with it, on other terminals.
    /// Changing places at one end is the same to the rest of the circuit as at the
    /// other.
    fn beside(&self, faults: &Faults, vehicle: &Vehicle, cable: PartId) -> Vec<PartId> {
        let (from, to) = vehicle.part(cable).ends();
        let is_beside = |&other: &PartId| {
            let (begins, ends) = vehicle.part(other).ends();
            begins != from && ends != to && self.runs.get(&other) != self.runs.get(&cable)
        };
        let mut beside: Vec<PartId> = [(from, true), (to, false)]
            .into_iter()
            .flat_map(|(end, begins)| vehicle.point(end).places.iter().map(move |&place| (place, begins)))
            .flat_map(|near| self.after(near, cable).iter().copied().filter(is_beside).take(faults.beside))
            .collect();
        beside.sort_unstable();
        beside.dedup();
        beside.truncate(faults.beside);
        beside
    }
}

/// The row of the table of rates for a part, and its length in metres.
pub fn class_of(kind: &PartKind) -> (PartClass, f64) {
    let class = match kind {
        PartKind::HolderContact => PartClass::HolderContact,
        PartKind::Fuse { .. } => PartClass::Fuse,
        PartKind::Breaker { .. } => PartClass::Breaker,
        PartKind::Cable(cable) => return (PartClass::Cable, cable.length.0),
        PartKind::Joint => PartClass::Joint,
        PartKind::Pin => PartClass::Pin,
        PartKind::Switch => PartClass::Switch,
        PartKind::Isolator => PartClass::Isolator,
        PartKind::Contact { .. } => PartClass::Contact,
        PartKind::Coil { .. } => PartClass::Coil,
        PartKind::Shunt => PartClass::Shunt,
        PartKind::Diode { .. } => PartClass::Diode,
        PartKind::Chassis => PartClass::Chassis,
        PartKind::Load { .. } => PartClass::Load,
        PartKind::Supply(Supply::Battery { .. }) => PartClass::Battery,
        PartKind::Supply(Supply::Regulated { .. }) => PartClass::Regulated,
        PartKind::Instrument(_) => PartClass::Instrument,
    };
    (class, 0.0)
}
