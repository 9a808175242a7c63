//! The drawing is wrong: paths between any two points that it does not show.
//! Brought in only where no single fault explains all that is known, or a
//! repair has cured nothing. Of the tens of thousands of pairs of points a
//! linear first look picks those that fit; they are then solved like faults.

use super::Site;
use super::doubles::Desk;
use super::evidence::{Observation, Sign};
use super::weigh::Entrant;
use crate::fault::{Size, tie_sizes};
use crate::network::{Law, Solution};
use crate::predict::Hypothesis;
use crate::quantity::Ohms;
use crate::vehicle::{PartId, PartKind, PointId, State};
use petgraph::unionfind::UnionFind;
use rustc_hash::FxHashMap;
use std::rc::Rc;

/// Points above which only those around the suspects are joined.
const MANY_POINTS: usize = 500;
/// Of those, at most.
const MOST_AROUND: usize = 150;
/// Paths that are looked at more closely, at most.
const LOOKED_AT: usize = 3000;
/// Kinds of path that are solved.
const SOLVED: usize = 64;
/// Resistance below which two points are one for a path.
const ONE_NET: Ohms = Ohms(0.03);
/// Fuses that a path may have opened, at most.
const MOST_FUSES: usize = 2;
/// Share of wrong drawings that are a path between two drawn points; common
/// practice, no source.
const SHARE_OF_TIES: f64 = 0.7;
/// Spread that the first look allows a reading: V, and a share of it.
const ALLOWANCE: (f64, f64) = (0.02, 0.02);
/// Share of its usual voltage by which a load must move to be complained of.
const NOTICED: f64 = 0.06;

/// The paths worth weighing.
pub(super) fn ties(desk: &Desk<'_>) -> Vec<Entrant> {
    let bases = bases(desk);
    let mut explaining: Vec<Foretold> = Vec::new();
    for (from, to) in pairs(desk) {
        for &size in &tie_sizes() {
            let path = Path { from, to, size };
            let base = bases.iter().position(|base| base.is_opened_by(path)).unwrap_or(0);
            if bases[base].explains(path) {
                explaining.push(Foretold { path, base, fit: bases[base].fit(path) });
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
    kinds(desk, &bases, &explaining).iter().take(SOLVED).map(|kind| kind.weighed(desk, each)).collect()
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
        let like = base.looks.iter().map(|look| look.volts_with(path)).map(|volts| (volts / allowance(volts)).round());
        let like = (nets[path.from.index()], nets[path.to.index()], like.map(|step| step as i64).collect());
        let kind = kinds.entry(like).or_insert_with(|| Kind { path, opened: base.opened, fit, count: 0 });
        kind.count += 1;
    }
    let mut kinds: Vec<Kind> = kinds.into_values().collect();
    kinds.sort_by(|a, b| b.rank().total_cmp(&a.rank()).then(a.path.key().cmp(&b.path.key())));
    kinds
}

/// A path that may be there.
#[derive(Clone, Copy)]
struct Path {
    from: PointId,
    to: PointId,
    size: Size,
}

impl Path {
    fn key(self) -> (PointId, PointId, u64) {
        (self.from, self.to, self.size.value.to_bits())
    }
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

/// What was read and complained of, with all sound or a fuse open.
struct Base {
    opened: Option<PartId>,
    /// The plain voltages.
    looks: Vec<Look>,
    /// The volts of a load complained of, and what makes a complaint of them.
    complaint: Option<(Look, Complaint)>,
    /// The volts of the fuse where it is whole, and those that open it.
    opens: Option<(Look, f64)>,
}

/// What a load is complained of.
struct Complaint {
    sign: Sign,
    sound: f64,
    least: f64,
}

fn bases(desk: &Desk<'_>) -> Vec<Base> {
    let complaint = desk.evidence.all_observations().find(|seen| seen.is_complaint());
    let of = |opened: Option<PartId>| -> Option<Base> {
        let solution = |state: &State| match opened {
            Some(fuse) => desk.models[state].with_open_fuse(fuse).ok(),
            None => Some(desk.models[state].shared_solution()),
        };
        let mut looks = Vec::new();
        for reading in desk.evidence.all_readings() {
            if let Some((red, black)) = reading.probe.plain_voltage() {
                looks.push(Look::new(solution(&reading.state)?, red, black, reading.on_scale().0));
            }
        }
        let vehicle = desk.engine.vehicle();
        let complaint_look = |seen: &Observation| {
            let PartKind::Load { rated, .. } = vehicle.part(seen.subject).kind else { return None };
            let (red, black) = vehicle.part(seen.subject).ends();
            let sound = desk.models[&seen.state].solution().across(seen.subject.index()).0;
            let complaint = Complaint { sign: seen.sign, sound, least: NOTICED * rated.0 };
            Some((Look::new(solution(&seen.state)?, red, black, 0.0), complaint))
        };
        let opens = |fuse: PartId| {
            let whole = desk.models[&complaint?.state].shared_solution();
            let Law::Fuse { conductance, opens_at } = whole.network().branches[fuse.index()].law else { return None };
            let (red, black) = vehicle.part(fuse).ends();
            Some((Look::new(whole, red, black, 0.0), opens_at.0 / conductance.0))
        };
        Some(Base { opened, looks, complaint: complaint.and_then(complaint_look), opens: opened.and_then(opens) })
    };
    let fuses = desk.open_fuses(MOST_FUSES).into_iter().map(Some);
    std::iter::once(None).chain(fuses).filter_map(of).collect()
}

impl Base {
    /// Whether a path overloads the fuse of this base where the complaint was made.
    fn is_opened_by(&self, path: Path) -> bool {
        self.opens.as_ref().is_some_and(|(fuse, least)| fuse.volts_with(path).abs() > *least)
    }

    /// Whether a path might be what is complained of; what is not of a load is
    /// asked of the solve itself.
    fn explains(&self, path: Path) -> bool {
        let Some((look, complaint)) = &self.complaint else { return true };
        let volts = look.volts_with(path);
        match complaint.sign {
            Sign::StaysOn | Sign::Glows => volts.abs() - complaint.sound.abs() > complaint.least,
            Sign::Looks(_) => (volts - complaint.sound).abs() > complaint.least,
            _ => true,
        }
    }

    /// How well all readings are met, in rough.
    fn fit(&self, path: Path) -> f64 {
        self.looks.iter().map(|look| look.fit(path)).sum()
    }
}

/// A voltage that may be read in a solved state.
struct Look {
    solution: Rc<Solution>,
    sound: f64,
    /// Volts that one ampere into each point makes of it.
    transfer: Vec<f64>,
    value: f64,
}

impl Look {
    fn new(solution: Rc<Solution>, red: PointId, black: PointId, value: f64) -> Self {
        let (red, black) = (red.index(), black.index());
        let transfer = solution.column(red).iter().zip(&*solution.column(black)).map(|(a, b)| a - b).collect();
        Self { sound: solution.volts(red) - solution.volts(black), transfer, value, solution }
    }

    /// The voltage with one more path, if no law changed its piece.
    fn volts_with(&self, path: Path) -> f64 {
        let (from, to) = (path.from.index(), path.to.index());
        let (up, down) = (self.solution.column(from), self.solution.column(to));
        let own = up[from] + down[to] - 2.0 * up[to];
        let amps = (self.solution.volts(from) - self.solution.volts(to)) / (own + path.size.value);
        self.sound - amps * (self.transfer[from] - self.transfer[to])
    }

    /// How well the reading is met: a law that changes its piece or a misread
    /// must not rule a path out.
    fn fit(&self, path: Path) -> f64 {
        let volts = self.volts_with(path);
        -((volts - self.value) / allowance(volts)).powi(2).ln_1p()
    }
}

fn allowance(volts: f64) -> f64 {
    ALLOWANCE.0 + ALLOWANCE.1 * volts.abs()
}
