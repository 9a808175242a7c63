//! The drawing is wrong: paths between any two points that it does not show.
//! Brought in only where no single fault explains all that is known, or a
//! repair has cured nothing. Of the tens of thousands of pairs of points a
//! linear first look picks those that fit; they are then solved like faults.

mod bases;
mod field;
mod kept;
mod look;
mod survey;
mod threshold;
mod weak;

pub(super) use kept::Kept;

use super::Site;
use super::doubles::Desk;
use super::weigh::Entrant;
use crate::predict::Hypothesis;
use crate::quantity::Ohms;
use crate::vehicle::{PartId, PointId};
use bases::{Bases, bases};
use kept::Joinable;
use look::allowance;
use petgraph::unionfind::UnionFind;
use rustc_hash::FxHashMap;
use std::rc::Rc;
use survey::{Foretold, Path, Survey};

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
    let mut kept = std::mem::take(desk.engine.memory().borrow_mut().ties());
    let (kinds, each) = likeliest_kinds(desk, &mut kept);
    *desk.engine.memory().borrow_mut().ties() = kept;
    let mut solved: Vec<Entrant> = Vec::new();
    let mut best = f64::NEG_INFINITY;
    for some in kinds[..].chunks(AT_A_TIME).take(SOLVED / AT_A_TIME) {
        let some: Vec<Entrant> = some.iter().map(|kind| kind.weighed(desk, each)).collect();
        best = some.iter().map(|tie| tie.log_weight).fold(best, f64::max);
        let is_over = !some.iter().any(|tie| desk.could_count(tie.log_weight, best));
        solved.extend(some);
        if is_over {
            break;
        }
    }
    solved
}

/// Paths by what tells them apart, likeliest first, and how often each path is
/// met.
fn likeliest_kinds(desk: &Desk<'_>, kept: &mut Kept) -> (Vec<Kind>, f64) {
    let ends: Rc<[PointId]> = ends(desk).into();
    let Some(bases) = bases(desk, kept) else { return (Vec::new(), 0.0) };
    let survey = Survey::of(&desk.engine.tables().faults, &bases);
    let joinable =
        Joinable { ends: Rc::clone(&ends), givens: bases.all.iter().map(|base| base.given.clone()).collect() };
    let pairs = kept.explaining(joinable, || survey.explaining(&ends));
    let (count, paths) = survey.foretold(&pairs, LOOKED_AT);
    let all = desk.met.named * desk.engine.tables().belief.not_as_drawn * SHARE_OF_TIES;
    let each = all / count.max(1) as f64;
    (kinds(desk, &bases, &paths), each)
}

/// Paths by what tells them apart, likeliest first.
fn kinds(desk: &Desk<'_>, bases: &Bases, paths: &[Foretold]) -> Vec<Kind> {
    let nets = nets(desk, bases);
    let mut kinds: FxHashMap<(usize, usize, Vec<i64>), Kind> = FxHashMap::default();
    for &Foretold { path, base, fit } in paths {
        let base = &bases.all[base];
        let like = base.reads.iter().map(|read| {
            let span = bases.fields[read.field].spans(path.from).to(path.to);
            let volts = read.volts_with(span, read.look.transfer(path.from, path.to), path.size.value);
            (volts / allowance(volts)).round() as i64
        });
        let like = (nets[path.from.index()], nets[path.to.index()], like.collect());
        let kind = kinds.entry(like).or_insert_with(|| Kind { path, opened: base.given.opened(), fit, count: 0 });
        kind.count += 1;
    }
    let mut kinds: Vec<Kind> = kinds.into_values().collect();
    kinds.sort_by(|a, b| b.rank().total_cmp(&a.rank()).then(a.path.key().cmp(&b.path.key())));
    kinds
}

/// Points that may be joined: all of them, or of a large vehicle those that
/// suspects end at.
fn ends(desk: &Desk<'_>) -> Vec<PointId> {
    let vehicle = desk.engine.vehicle();
    if vehicle.points.len() <= MANY_POINTS {
        return (0..vehicle.points.len()).map(PointId::new).collect();
    }
    let mut ends = Vec::new();
    let parts = desk.singles.iter().filter_map(|single| single.hypothesis.part());
    for end in parts.flat_map(|part| <[PointId; 2]>::from(vehicle.part(part).ends())) {
        if ends.len() < MOST_AROUND && !ends.contains(&end) {
            ends.push(end);
        }
    }
    ends.sort_unstable();
    ends
}

/// For each point a number that it shares with those next to it by way of
/// next to no resistance.
fn nets(desk: &Desk<'_>, bases: &Bases) -> Vec<usize> {
    let vehicle = desk.engine.vehicle();
    let drawn = &bases.all[0];
    let field = drawn.reads.first().map_or(drawn.here, |read| read.field);
    let solution = &bases.fields[field].solution;
    let mut nets = UnionFind::new(vehicle.points.len());
    let parts = vehicle.parts.iter().enumerate();
    for (_, part) in parts.filter(|(index, _)| solution.conducts_better_than(*index, ONE_NET)) {
        nets.union(part.from.index(), part.to.index());
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
