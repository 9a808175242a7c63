//! Where circuits come together: feeds at one point, returns in one wire.

use super::running::RunningLoad;
use crate::predict::StateModel;
use crate::quantity::Amps;
use crate::tables::ampacity;
use crate::vehicle::{PartId, PointId, Vehicle};
use std::collections::{BTreeMap, BTreeSet};

/// Feeds that leave one point.
#[derive(Debug, Clone, PartialEq)]
pub struct FeedsTogether {
    pub point: PointId,
    /// The parts that lead away from it, in part order.
    pub feeds: Vec<PartId>,
    /// How many circuits hang on them.
    pub circuits: usize,
}

/// Return parts that the same circuits share.
#[derive(Debug, Clone, PartialEq)]
pub struct SharedReturn {
    /// In part order.
    pub parts: Vec<PartId>,
    pub circuits: usize,
    pub loads: usize,
    /// What goes through with everything on, at the part that has most.
    pub amps: Amps,
    /// The cable among them that carries least, and what it may carry.
    pub weakest: Option<(PartId, Amps)>,
}

impl SharedReturn {
    /// Whether its cable is asked to carry more than it may.
    pub fn is_overloaded(&self) -> bool {
        self.weakest.is_some_and(|(_, carries)| self.amps > carries)
    }
}

/// Points that more than `most` feeds leave, those with most first.
pub fn feeds_together(vehicle: &Vehicle, running: &[RunningLoad], most: usize) -> Vec<FeedsTogether> {
    let mut leaving: BTreeMap<PointId, (BTreeSet<PartId>, BTreeSet<PartId>)> = BTreeMap::new();
    for one in running {
        let mut at = vehicle.part(one.load).from;
        for &part in one.feed.there.iter().rev() {
            at = vehicle.part(part).other_end(at);
            let (feeds, circuits) = leaving.entry(at).or_default();
            feeds.insert(part);
            circuits.insert(one.circuit());
        }
    }
    let mut together: Vec<FeedsTogether> = leaving
        .into_iter()
        .filter(|(_, (feeds, circuits))| feeds.len() > most && circuits.len() > 1)
        .map(|(point, (feeds, circuits))| FeedsTogether {
            point,
            feeds: feeds.into_iter().collect(),
            circuits: circuits.len(),
        })
        .collect();
    together.sort_by_key(|one| (usize::MAX - one.feeds.len(), one.point));
    together
}

/// Returns that two circuits or more share, those of most circuits first.
pub fn shared_returns(vehicle: &Vehicle, running: &[RunningLoad], all_on: &StateModel) -> Vec<SharedReturn> {
    let mut users: BTreeMap<PartId, BTreeSet<usize>> = BTreeMap::new();
    for (index, one) in running.iter().enumerate() {
        for &part in &one.feed.back {
            users.entry(part).or_default().insert(index);
        }
    }
    let mut alike: BTreeMap<BTreeSet<usize>, Vec<PartId>> = BTreeMap::new();
    for (part, loads) in users {
        alike.entry(loads).or_default().push(part);
    }
    let through = |&part: &PartId| all_on.solution().current(part.index()).abs();
    let carries = |&part: &PartId| {
        let cable = vehicle.part(part).kind.cable()?;
        Some((part, ampacity::allowable(cable.area, cable.around)))
    };
    let mut shared: Vec<SharedReturn> = alike
        .into_iter()
        .map(|(loads, parts)| SharedReturn {
            circuits: loads.iter().map(|&at| running[at].circuit()).collect::<BTreeSet<_>>().len(),
            loads: loads.len(),
            amps: parts.iter().map(through).fold(Amps::ZERO, Amps::max),
            weakest: parts.iter().filter_map(carries).min_by(|a, b| a.1.total_cmp(&b.1)),
            parts,
        })
        .filter(|shared| shared.circuits > 1)
        .collect();
    shared.sort_by(|a, b| (b.circuits, b.loads).cmp(&(a.circuits, a.loads)).then(a.parts.cmp(&b.parts)));
    shared
}
