//! Stretches of a circuit that two probes can stand across.

use super::watch::Served;
use crate::plan::Situation;
use crate::predict::Probe;
use crate::quantity::Volts;
use crate::tables::practice::{DropLimit, Dropping, PRACTICE, STANDARD, drop_limit};
use crate::vehicle::trace::Feed;
use crate::vehicle::{PartId, PartKind, PointId, Vehicle};

/// Two points with the parts between them, red where the current comes from.
#[derive(Debug, Clone, PartialEq)]
pub struct TestSpan {
    /// Red lead.
    pub red: PointId,
    /// Black lead.
    pub black: PointId,
    /// Parts between them.
    pub parts: Vec<PartId>,
}

impl TestSpan {
    /// The reading across it.
    pub fn probe(&self) -> Probe {
        Probe::voltage(self.red, self.black)
    }
}

/// One side of a circuit, from the load outward.
struct CircuitSide {
    parts: Vec<PartId>,
    /// One more than parts: the load's end first, a supply's post last.
    points: Vec<PointId>,
    is_feed: bool,
}

/// The two sides of the circuit of what is watched.
fn sides(vehicle: &Vehicle, watched: &Served) -> [CircuitSide; 2] {
    let (enters, leaves) = watched.ends(vehicle);
    let side = |parts: Vec<PartId>, start: PointId, is_feed: bool| {
        let mut points = vec![start];
        for &part in &parts {
            let last = points[points.len() - 1];
            points.push(vehicle.part(part).other_end(last));
        }
        CircuitSide { parts, points, is_feed }
    };
    let Feed { there, back, .. } = &watched.feed;
    [side(there.iter().rev().copied().collect(), enters, true), side(back.clone(), leaves, false)]
}

impl CircuitSide {
    /// The narrowest span that probes can reach around some of the parts.
    fn around(&self, first: usize, last: usize, can_reach: impl Fn(PointId) -> bool) -> Option<TestSpan> {
        let near = (0..=first).rev().find(|&index| can_reach(self.points[index]))?;
        let far = (last + 1..self.points.len()).find(|&index| can_reach(self.points[index]))?;
        let (near_point, far_point) = (self.points[near], self.points[far]);
        let (red, black) = if self.is_feed { (far_point, near_point) } else { (near_point, far_point) };
        (red != black).then(|| TestSpan { red, black, parts: self.parts[near..far].to_vec() })
    }
}

/// Every span worth reading around `parts` on the ways of what is watched: around
/// each, around each group, and the whole of each side.
pub fn spans(vehicle: &Vehicle, situation: &Situation<'_>, watched: &Served, parts: &[PartId]) -> Vec<TestSpan> {
    let can_reach = |point| situation.can_reach(vehicle, point);
    let mut spans: Vec<TestSpan> = Vec::new();
    for side in sides(vehicle, watched) {
        let on_it: Vec<usize> = (0..side.parts.len()).filter(|&index| parts.contains(&side.parts[index])).collect();
        let pairs =
            on_it.iter().enumerate().flat_map(|(start, &first)| on_it[start..].iter().map(move |&last| (first, last)));
        let whole = side.parts.len().checked_sub(1).map(|last| (0, last));
        spans.extend(pairs.chain(whole).filter_map(|(first, last)| side.around(first, last, can_reach)));
    }
    spans.dedup();
    spans
}

/// What a span may drop: the sum of what practice allows its parts, or what
/// the standard allows the whole circuit, whichever is less. `None` where
/// neither says anything.
pub fn limit(vehicle: &Vehicle, span: &TestSpan, load: PartId) -> Option<DropLimit> {
    let parts: Option<Vec<Volts>> = span.parts.iter().map(|&part| part_limit(&vehicle.part(part).kind)).collect();
    let sum = parts?.into_iter().fold(Volts::ZERO, |sum, volts| sum + volts);
    let practice = DropLimit { volts: sum, source: PRACTICE };
    let standard = vehicle.part(load).kind.load().map(|load| load.rated * load.allowed_drop);
    Some(match standard {
        Some(volts) if volts < sum => DropLimit { volts, source: STANDARD },
        _ => practice,
    })
}

/// What practice allows one part.
pub fn part_limit(kind: &PartKind) -> Option<Volts> {
    let dropping = match kind {
        PartKind::HolderContact | PartKind::Joint | PartKind::Pin | PartKind::Shunt => Dropping::Connection,
        // A blade fuse at its rating drops about as much as a cable may.
        PartKind::Cable { .. } | PartKind::Chassis | PartKind::Fuse { .. } => Dropping::Conductor,
        PartKind::Switch | PartKind::Isolator | PartKind::Contact { .. } | PartKind::Breaker { .. } => {
            Dropping::Switchgear
        }
        PartKind::Coil { .. }
        | PartKind::Diode { .. }
        | PartKind::Load { .. }
        | PartKind::Supply(_)
        | PartKind::Instrument(_) => return None,
    };
    Some(drop_limit(dropping))
}
