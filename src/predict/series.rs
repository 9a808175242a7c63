//! Faults in series: a resistance anywhere along an unbranched way is the same
//! to everything that is not read between its parts. So one part of such a way
//! stands in for the others, and its circuit is solved once for all.

use super::hypothesis::{Hypothesis, Sized};
use crate::fault::FailureMode;
use crate::vehicle::{PartId, PointId, Vehicle};

/// The unbranched ways of a vehicle.
pub struct UnbranchedWays {
    ways: Vec<Unbranched>,
    /// For each part that is in one, which, and where along it.
    parts: Vec<Option<(usize, usize)>>,
    /// For each point within one, which.
    points: Vec<Option<usize>>,
}

/// Parts in the order in which they follow each other, and the points before
/// and after each.
struct Unbranched {
    parts: Vec<PartId>,
    points: Vec<PointId>,
}

impl UnbranchedWays {
    /// Of a vehicle.
    pub(super) fn of(vehicle: &Vehicle) -> Self {
        let mut at: Vec<Vec<PartId>> = vec![Vec::new(); vehicle.points.len()];
        for part in vehicle.part_ids().filter(|&part| vehicle.part(part).kind.instrument().is_none()) {
            let (from, to) = vehicle.part(part).ends();
            at[from.index()].push(part);
            at[to.index()].push(part);
        }
        let mut series =
            Self { ways: Vec::new(), parts: vec![None; vehicle.parts.len()], points: vec![None; vehicle.points.len()] };
        for part in vehicle.part_ids().filter(|&part| vehicle.part(part).kind.is_series_resistance()) {
            if series.parts[part.index()].is_none() {
                series.follow(vehicle, &at, part);
            }
        }
        series
    }

    /// Finds the way that a part is in.
    fn follow(&mut self, vehicle: &Vehicle, at: &[Vec<PartId>], part: PartId) {
        let (from, to) = vehicle.part(part).ends();
        let mut parts = vec![part];
        let mut points = vec![from, to];
        // On from its end, then back from its start.
        for _ in 0..2 {
            while let (Some(&last), Some(&end)) = (parts.last(), points.last()) {
                let [one, other] = at[end.index()][..] else { break };
                let next = if one == last { other } else { one };
                // A leak to chassis joins there.
                if !vehicle.part(next).kind.is_series_resistance()
                    || parts.contains(&next)
                    || vehicle.chassis == Some(end)
                {
                    break;
                }
                let ends = vehicle.part(next).ends();
                parts.push(next);
                points.push(if ends.0 == end { ends.1 } else { ends.0 });
            }
            parts.reverse();
            points.reverse();
        }
        let way = self.ways.len();
        parts.iter().enumerate().for_each(|(place, part)| self.parts[part.index()] = Some((way, place)));
        points[1..points.len() - 1].iter().for_each(|point| self.points[point.index()] = Some(way));
        self.ways.push(Unbranched { parts, points });
    }

    /// The way that a part is in.
    pub fn way_of(&self, part: PartId) -> Option<usize> {
        self.parts[part.index()].map(|(way, _)| way)
    }

    /// The way that a point is within.
    pub fn way_around(&self, point: PointId) -> Option<usize> {
        self.points[point.index()]
    }

    /// A hypothesis that shows the same wherever nothing is read between its
    /// parts but at these points; for all that it shows alike, the same one.
    pub fn stand_in(&self, hypothesis: &Hypothesis, read: &[PointId]) -> Hypothesis {
        match *hypothesis {
            Hypothesis::Faulty { fault, size } => {
                let (fault, size) = self.stands_for((fault, size), read);
                Hypothesis::Faulty { fault, size }
            }
            // A fault stays on its side of the place where two have changed.
            Hypothesis::Double { first, second } if second.0.mode == FailureMode::Crossed => {
                let ends = second.0.parts().filter_map(|part| self.parts[part.index()]);
                let ends =
                    ends.flat_map(|(way, place)| [self.ways[way].points[place], self.ways[way].points[place + 1]]);
                let read: Vec<PointId> = ends.chain(read.iter().copied()).collect();
                Hypothesis::Double { first: self.stands_for(first, &read), second }
            }
            Hypothesis::Double { first, second } => {
                let way = |(fault, _): Sized| self.way_of(fault.part);
                let is_wide = |(fault, _): Sized| fault.other.is_some();
                // Each where the other has no part in its way.
                match is_wide(first) || is_wide(second) || (way(first).is_some() && way(first) == way(second)) {
                    true => *hypothesis,
                    false => Hypothesis::Double {
                        first: self.stands_for(first, read),
                        second: self.stands_for(second, read),
                    },
                }
            }
            Hypothesis::Sound | Hypothesis::UndrawnPath { .. } => *hypothesis,
        }
    }

    fn stands_for(&self, (mut fault, size): Sized, read: &[PointId]) -> Sized {
        let is_alike = fault.mode.is_series();
        if let Some((way, place)) = self.parts[fault.part.index()].filter(|_| is_alike) {
            let Unbranched { parts, points } = &self.ways[way];
            let first = (1..=place).rev().find(|&place| read.contains(&points[place])).unwrap_or(0);
            fault.part = parts[first];
        }
        (fault, size)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fault::{FailureMode, Fault, sizes};
    use crate::files;
    use crate::predict::Predictor;
    use crate::vehicle::State;
    use crate::vehicle::trace::settings_for;
    use std::rc::Rc;

    /// What a fault and its stand-in show between any points outside, of every
    /// part in a way of a sample, for its first load.
    #[test]
    fn a_stand_in_shows_the_same_outside() {
        let vehicle = Rc::new(files::sample("clinic_van").expect("a sample").expect("a good one").vehicle);
        let predictor = Predictor::new(Rc::clone(&vehicle), files::built_in_tables().expect("tables"));
        let series = predictor.series();
        let load = vehicle.loads().nth(3).expect("loads");
        let rest = State::rest(&vehicle);
        let model = predictor.in_state(&rest.with_all(&settings_for(&vehicle, &rest, load))).expect("solvable");
        let black = vehicle.black;
        let (mut compared, mut moved) = (0, 0);
        for part in vehicle.part_ids().filter(|&part| series.way_of(part).is_some()) {
            for size in [None, sizes(&predictor.tables().faults, FailureMode::HighResistance)[12]] {
                let mode = if size.is_some() { FailureMode::HighResistance } else { FailureMode::OpenCircuit };
                let own = Hypothesis::Faulty { fault: Fault::new(part, mode), size };
                for read in (0..vehicle.points.len()).map(PointId::new) {
                    let other = series.stand_in(&own, &[read, black]);
                    let volts = |hypothesis: &Hypothesis| model.view(&vehicle, hypothesis).volts(read, black);
                    let (own, other, sound) = (volts(&own), volts(&other), volts(&Hypothesis::Sound));
                    assert!((own - other).abs() < 1e-7, "{part:?} {mode:?} at {read:?}: {own} V, {other} V");
                    compared += 1;
                    moved += usize::from((own - sound).abs() > 0.01);
                }
            }
        }
        assert!(compared > 10_000 && moved > 1000, "{compared} {moved}");
    }
}
