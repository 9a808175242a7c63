//! The drawing is wrong: paths between any two points that it does not show.
//! Brought in only where no single fault explains all that is known, or a
//! repair has cured nothing. Of the tens of thousands of pairs of points a
//! linear first look picks those that fit; they are then solved like faults.

mod bases;
mod look;
mod weak;

use super::Site;
use super::doubles::Desk;
use super::weigh::Entrant;
use crate::fault::{Size, tie_sizes};
use crate::predict::Hypothesis;
use crate::quantity::Ohms;
use crate::vehicle::{PartId, PointId};
use bases::{Base, Sight, base_of, bases};
use look::{Path, allowance};
use petgraph::unionfind::UnionFind;
use rustc_hash::FxHashMap;
use weak::Given;

/// Points above which only those around the suspects are joined.
const MANY_POINTS: usize = 500;
/// Of those, at most.
const MOST_AROUND: usize = 150;
/// Paths that are looked at more closely, at most.
const LOOKED_AT: usize = 3000;
/// Kinds of path that are solved.
const SOLVED: usize = 64;
/// Of those, as many at a time, likeliest first, until none of them counts.
const AT_A_TIME: usize = 16;
/// Resistance below which two points are one for a path.
const ONE_NET: Ohms = Ohms(0.03);
/// Share of wrong drawings that are a path between two drawn points; common
/// practice, no source.
const SHARE_OF_TIES: f64 = 0.7;

/// The paths worth weighing.
pub(super) fn ties(desk: &Desk<'_>) -> Vec<Entrant> {
    let bases = bases(desk);
    let mut explaining: Vec<Foretold> = Vec::new();
    let mut sights: Vec<Sight<'_>> = bases.iter().map(Sight::through).collect();
    let stretches = tie_sizes();
    for (from, to) in pairs(desk) {
        sights.iter_mut().for_each(|sight| sight.aim(from, to));
        let explains = |sights: &[Sight<'_>], size: Size| {
            let base = base_of(sights, size);
            sights[base].explains(size).then_some(base)
        };
        if !stretches.iter().any(|&size| explains(&sights, size).is_some()) {
            continue;
        }
        for size in refined(&stretches, &mut sights) {
            if let Some(base) = explains(&sights, size) {
                explaining.push(Foretold { path: Path { from, to, size }, base, fit: sights[base].fit(size) });
            }
        }
    }
    let all = desk.total.max(1e-9) * desk.engine.rates().not_as_drawn * SHARE_OF_TIES;
    let each = all / explaining.len().max(1) as f64;
    let by_fit = |a: &Foretold, b: &Foretold| b.fit.total_cmp(&a.fit).then(a.path.key().cmp(&b.path.key()));
    if explaining.len() > LOOKED_AT {
        explaining.select_nth_unstable_by(LOOKED_AT, by_fit);
        explaining.truncate(LOOKED_AT);
    }
    explaining.sort_by(by_fit);
    let mut solved: Vec<Entrant> = Vec::new();
    for some in kinds(desk, &bases, &explaining)[..].chunks(AT_A_TIME).take(SOLVED / AT_A_TIME) {
        let some: Vec<Entrant> = some.iter().map(|kind| kind.weighed(desk, each)).collect();
        let is_over = !some.iter().any(|tie| desk.could_count(tie.log_weight));
        solved.extend(some);
        if is_over {
            break;
        }
    }
    solved
}

/// The sizes worth trying between two points: where a reading tells it, the
/// size that it tells in place of the middle of its stretch, which may be far
/// enough from the truth to pass for a misfit.
fn refined(stretches: &[Size], sights: &mut [Sight<'_>]) -> Vec<Size> {
    let told: Vec<f64> = sights.iter_mut().filter_map(Sight::size_told).map(|ohms| ohms.0.ln()).collect();
    let refined = |size: &Size| {
        let middle = size.value.ln();
        let nearest = told.iter().copied().find(|ohms| (ohms - middle).abs() <= size.width);
        Size { value: nearest.map_or(size.value, f64::exp), ..*size }
    };
    stretches.iter().map(refined).collect()
}

/// A path with how well it fits what was read.
struct Foretold {
    path: Path,
    base: usize,
    fit: f64,
}

/// Paths by what tells them apart, likeliest first.
fn kinds(desk: &Desk<'_>, bases: &[Base], paths: &[Foretold]) -> Vec<Kind> {
    let nets = nets(desk, &bases[0]);
    let mut kinds: FxHashMap<(usize, usize, Vec<i64>), Kind> = FxHashMap::default();
    for &Foretold { path, base, fit } in paths {
        let base = &bases[base];
        let like = base
            .looks
            .iter()
            .map(|look| look.span(path.from, path.to).volts_with(path.size))
            .map(|volts| (volts / allowance(volts)).round());
        let like = (nets[path.from.index()], nets[path.to.index()], like.map(|step| step as i64).collect());
        let opened = match base.given {
            Given::Opened(fuse) => Some(fuse),
            Given::Nothing | Given::Held(_) => None,
        };
        let kind = kinds.entry(like).or_insert_with(|| Kind { path, opened, fit, count: 0 });
        kind.count += 1;
    }
    let mut kinds: Vec<Kind> = kinds.into_values().collect();
    kinds.sort_by(|a, b| b.rank().total_cmp(&a.rank()).then(a.path.key().cmp(&b.path.key())));
    kinds
}

/// Points that may be joined: all of them, or of a large vehicle those that
/// suspects end at.
fn pairs(desk: &Desk<'_>) -> Vec<(PointId, PointId)> {
    let vehicle = desk.engine.vehicle();
    let mut points: Vec<PointId> = (0..vehicle.points.len()).map(PointId::new).collect();
    if points.len() > MANY_POINTS {
        points.clear();
        let parts = desk.singles.iter().filter_map(|single| single.hypothesis.part());
        for point in parts.flat_map(|part| <[PointId; 2]>::from(vehicle.part(part).ends())) {
            if !points.contains(&point) && points.len() < MOST_AROUND {
                points.push(point);
            }
        }
        points.sort_unstable();
    }
    let after = |(index, &from): (usize, &PointId)| points[index + 1..].iter().map(move |&to| (from, to));
    points.iter().enumerate().flat_map(after).collect()
}

/// For each point a number that it shares with those next to it by way of
/// next to no resistance.
fn nets(desk: &Desk<'_>, base: &Base) -> Vec<usize> {
    let mut nets = UnionFind::new(desk.engine.vehicle().points.len());
    if let Some(look) = base.looks.first().or(base.complaint.as_ref().map(|(look, _)| look)) {
        let solution = &look.solution;
        let parts = desk.engine.vehicle().parts.iter().enumerate();
        for (_, part) in parts.filter(|(index, _)| solution.conducts_better_than(*index, ONE_NET)) {
            nets.union(part.from.index(), part.to.index());
        }
    }
    nets.into_labeling()
}

/// Paths that nothing known tells apart, by one of them.
struct Kind {
    path: Path,
    opened: Option<PartId>,
    fit: f64,
    count: usize,
}

impl Kind {
    fn rank(&self) -> f64 {
        self.fit + (self.count as f64).ln()
    }

    fn weighed(&self, desk: &Desk<'_>, each: f64) -> Entrant {
        let Path { from, to, size } = self.path;
        let hypothesis = Hypothesis::Tied { from, to, size, opened: self.opened };
        desk.entrant(hypothesis, Site::Undrawn, (each * self.count as f64).ln())
    }
}
