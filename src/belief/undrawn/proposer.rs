//! Proposes paths that no drawing shows, those that nothing known tells apart
//! as one.

use super::super::candidate::Candidate;
use super::super::proposer::Proposer;
use super::super::shortlist::Shortlist;
use super::super::site::Site;
use super::bases::{Bases, bases};
use super::look::allowance;
use super::memo::Joinable;
use super::pair::{Foretold, Path};
use super::survey::Survey;
use crate::odds::LogWeight;
use crate::predict::Hypothesis;
use crate::vehicle::{PartId, PointId};
use petgraph::unionfind::UnionFind;
use rustc_hash::FxHashMap;
use std::rc::Rc;

/// Proposes them.
pub struct UndrawnPaths<'s, 'a> {
    shortlist: &'s Shortlist<'a>,
    kinds: Vec<PathKind>,
    /// How often each path is met.
    each: f64,
}

impl<'s, 'a> UndrawnPaths<'s, 'a> {
    /// The paths that may be there.
    pub fn of(shortlist: &'s Shortlist<'a>) -> Self {
        let (kinds, each) = likeliest_kinds(shortlist);
        Self { shortlist, kinds, each }
    }
}

impl Proposer for UndrawnPaths<'_, '_> {
    fn batches(&self) -> impl Iterator<Item = Vec<Candidate>> {
        let figures = &self.shortlist.likelihood.engine.tables().belief;
        let batches = self.kinds.chunks(figures.paths_at_a_time).take(figures.paths_solved / figures.paths_at_a_time);
        batches.map(|batch| batch.iter().map(|kind| kind.weighed(self.shortlist, self.each)).collect())
    }
}

/// Paths by what tells them apart, likeliest first, and how often each path is
/// met.
fn likeliest_kinds(shortlist: &Shortlist<'_>) -> (Vec<PathKind>, f64) {
    let ends: Rc<[PointId]> = ends(shortlist).into();
    let Some(bases) = bases(shortlist) else { return (Vec::new(), 0.0) };
    let survey = Survey::of(shortlist.likelihood.engine.tables(), &bases);
    let givens = bases.all.iter().map(|base| base.given.clone()).collect();
    let joinable = Joinable { asked: bases.asked.clone(), ends: Rc::clone(&ends), givens };
    let explaining = &shortlist.likelihood.engine.memo().undrawn.explaining;
    let pairs = explaining.get_or_weighing(joinable, |pairs| pairs.len(), || survey.explaining(&ends).into());
    let (count, paths) = survey.foretold(&pairs, shortlist.likelihood.engine.tables().belief.paths_looked_at);
    let all = shortlist.frequency.named
        * shortlist.likelihood.engine.tables().belief.not_as_drawn
        * shortlist.likelihood.engine.tables().belief.undrawn_paths;
    let each = all / count.max(1) as f64;
    (kinds(shortlist, &bases, &paths), each)
}

/// Paths by what tells them apart, likeliest first.
fn kinds(shortlist: &Shortlist<'_>, bases: &Bases, paths: &[Foretold]) -> Vec<PathKind> {
    let figures = &shortlist.likelihood.engine.tables().belief;
    let nets = nets(shortlist, bases);
    let mut kinds: FxHashMap<(usize, usize, Vec<i64>), PathKind> = FxHashMap::default();
    for &Foretold { path, base, fit } in paths {
        let base = &bases.all[base];
        let like = base.reads.iter().map(|read| {
            let span = bases.fields[read.field].spans(path.from).to(path.to);
            let volts = read.volts_with(span, read.look.transfer(path.from, path.to), path.size.value);
            (volts / allowance(figures, volts)).round() as i64
        });
        let like = (nets[path.from.index()], nets[path.to.index()], like.collect());
        let kind = kinds.entry(like).or_insert_with(|| PathKind { path, opened: base.given.opened(), fit, count: 0 });
        kind.count += 1;
    }
    let mut kinds: Vec<PathKind> = kinds.into_values().collect();
    kinds.sort_by(|a, b| b.rank().total_cmp(&a.rank()).then(a.path.key().cmp(&b.path.key())));
    kinds
}

/// Points that may be joined: all of them, or of a large vehicle those that
/// suspects end at.
fn ends(shortlist: &Shortlist<'_>) -> Vec<PointId> {
    let vehicle = shortlist.likelihood.engine.vehicle();
    if vehicle.points.len() <= shortlist.likelihood.engine.tables().belief.many_points {
        return (0..vehicle.points.len()).map(PointId::new).collect();
    }
    let mut ends = Vec::new();
    let parts = shortlist.singles.iter().filter_map(|single| single.hypothesis.part());
    for end in parts.flat_map(|part| <[PointId; 2]>::from(vehicle.part(part).ends())) {
        if ends.len() < shortlist.likelihood.engine.tables().belief.points_around && !ends.contains(&end) {
            ends.push(end);
        }
    }
    ends.sort_unstable();
    ends
}

/// For each point a number that it shares with those next to it by way of
/// next to no resistance.
fn nets(shortlist: &Shortlist<'_>, bases: &Bases) -> Vec<usize> {
    let vehicle = shortlist.likelihood.engine.vehicle();
    let drawn = &bases.all[0];
    let field = drawn.reads.first().map_or(drawn.here, |read| read.field);
    let solution = &bases.fields[field].solution;
    let mut nets = UnionFind::new(vehicle.points.len());
    let parts = vehicle.parts.iter().enumerate();
    for (_, part) in parts
        .filter(|(index, _)| solution.conducts_better_than(*index, shortlist.likelihood.engine.tables().belief.one_net))
    {
        nets.union(part.from.index(), part.to.index());
    }
    nets.into_labeling()
}

/// Paths that nothing known tells apart, by one of them.
struct PathKind {
    path: Path,
    opened: Option<PartId>,
    fit: f64,
    count: usize,
}

impl PathKind {
    fn rank(&self) -> f64 {
        self.fit + (self.count as f64).ln()
    }

    fn weighed(&self, shortlist: &Shortlist<'_>, each: f64) -> Candidate {
        let Path { from, to, size } = self.path;
        let hypothesis = Hypothesis::UndrawnPath { from, to, size, opened: self.opened };
        shortlist.weighed(hypothesis, Site::Undrawn, LogWeight::of(each * self.count as f64))
    }
}
