//! LDLᵀ factorisation of the nodal matrix by star-mesh elimination, in an order
//! that saves fill.
//!
//! Points are eliminated one after another, each by the star-mesh
//! transformation (Rosen, *A new network theorem*, 1924): conductances a, b, …
//! to the points left become a·b/Σ between every two of those. That is
//! Gaussian elimination of a symmetric matrix in conductances: it
//! adds and never subtracts, so that milliohms keep their digits beside
//! megohms, and a branch that does not conduct may keep its place. The point
//! with the fewest neighbours goes first (minimum degree; Tinney and Walker,
//! *Direct solutions of sparse network equations*, 1967).

use super::error::SolveError;
use super::graph::Branch;
use rustc_hash::FxHashMap;
use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap};
use std::rc::Rc;

/// Voltages at every point, and last at ground, for an ampere.
pub type Column = Rc<[f64]>;

/// Numerical: no slot: both ends of the branch are one point.
const NONE: usize = usize::MAX;

/// In which order points are eliminated and what that joins; the same for all
/// values of the branches.
#[derive(Debug)]
pub struct Pattern {
    /// Place of each point in the order, and of ground after all of them.
    place: Vec<usize>,
    /// First slot of each place, and one past the last.
    starts: Vec<usize>,
    /// For each slot, the later place that it leads to; ascending within a place.
    later: Vec<usize>,
    /// For each two slots of a place, the slot that joins their far ends.
    joins: Vec<usize>,
    /// First of those of each place.
    join_starts: Vec<usize>,
    /// Ends and slot of each branch.
    ends: Vec<(usize, usize)>,
    slots: Vec<usize>,
}

impl Pattern {
    /// For branches between so many points.
    pub fn of(points: usize, branches: &[Branch]) -> Self {
        let (order, beyond) = eliminated(points, branches);
        let mut place = vec![points; points + 1];
        order.iter().enumerate().for_each(|(at, &point)| place[point] = at);
        let (mut starts, mut later) = (vec![0], Vec::new());
        for &point in &order {
            let from = later.len();
            later.extend(beyond[point].iter().map(|&other| place[other]));
            later[from..].sort_unstable();
            starts.push(later.len());
        }
        let mut pattern = Self {
            place,
            starts,
            later,
            joins: Vec::new(),
            join_starts: vec![0],
            ends: branches.iter().map(ends).collect(),
            slots: Vec::new(),
        };
        for at in 0..points {
            let slots = pattern.slots_of(at);
            for first in slots.clone() {
                for second in first + 1..slots.end {
                    pattern.joins.push(pattern.slot(pattern.later[first], pattern.later[second]));
                }
            }
            pattern.join_starts.push(pattern.joins.len());
        }
        let slot = |&(from, to): &(usize, usize)| pattern.slot(pattern.place[from], pattern.place[to]);
        pattern.slots = pattern.ends.iter().map(slot).collect();
        pattern
    }

    /// Whether it is that of these branches.
    pub fn fits(&self, points: usize, branches: &[Branch]) -> bool {
        self.place.len() == points + 1 && self.ends.iter().copied().eq(branches.iter().map(ends))
    }

    fn slots_of(&self, at: usize) -> std::ops::Range<usize> {
        self.starts[at]..self.starts[at + 1]
    }

    pub(super) fn place_of(&self, point: usize) -> usize {
        self.place[point]
    }

    /// The first of the later places that elimination of this one touches: what it
    /// touches beyond, that one touches too. None after the last, and of ground.
    pub(super) fn next(&self, at: usize) -> Option<usize> {
        let slots = (at + 1 < self.starts.len()).then(|| self.slots_of(at))?;
        self.later[slots].first().copied()
    }

    /// The slot that joins two places which elimination makes neighbours.
    fn slot(&self, a: usize, b: usize) -> usize {
        if a == b {
            return NONE;
        }
        let slots = self.slots_of(a.min(b));
        let found = self.later[slots.clone()].binary_search(&a.max(b));
        found.map_or(NONE, |offset| slots.start + offset)
    }
}

fn ends(branch: &Branch) -> (usize, usize) {
    (branch.from, branch.to)
}

/// Points in the order of elimination, and what each had for neighbours then.
fn eliminated(points: usize, branches: &[Branch]) -> (Vec<usize>, Vec<Vec<usize>>) {
    let mut beside = vec![Vec::new(); points];
    for branch in branches.iter().filter(|branch| branch.from != branch.to) {
        beside[branch.from].push(branch.to);
        beside[branch.to].push(branch.from);
    }
    for neighbours in &mut beside {
        neighbours.sort_unstable();
        neighbours.dedup();
    }
    let mut queue: BinaryHeap<Reverse<(usize, usize)>> =
        beside.iter().enumerate().map(|(point, neighbours)| Reverse((neighbours.len(), point))).collect();
    let mut is_gone = vec![false; points];
    let mut order = Vec::with_capacity(points);
    let mut merged = Vec::new();
    while let Some(Reverse((degree, point))) = queue.pop() {
        if is_gone[point] || degree != beside[point].len() {
            continue;
        }
        is_gone[point] = true;
        order.push(point);
        let mesh = std::mem::take(&mut beside[point]);
        for &one in &mesh {
            merged.clear();
            merged.extend(beside[one].iter().chain(&mesh).copied().filter(|&other| other != one && other != point));
            merged.sort_unstable();
            merged.dedup();
            std::mem::swap(&mut beside[one], &mut merged);
            queue.push(Reverse((beside[one].len(), one)));
        }
        beside[point] = mesh;
    }
    (order, beside)
}

/// A factored nodal matrix.
#[derive(Debug)]
pub struct Factor {
    /// For each slot, its share of all conductance at its place.
    shares: Vec<f64>,
    /// All conductance at each place, S.
    pivots: Vec<f64>,
}

impl Factor {
    /// Factors the matrix of conductances (S) of the branches, and of points to
    /// ground.
    ///
    /// # Errors
    /// [`SolveError::Factor`] if it is not positive definite.
    pub fn new(
        pattern: &Pattern,
        conductances: impl Iterator<Item = f64>,
        to_ground: impl Iterator<Item = (usize, f64)>,
    ) -> Result<Self, SolveError> {
        let points = pattern.place.len() - 1;
        let mut mesh = vec![0.0; pattern.later.len()];
        for (&slot, conductance) in pattern.slots.iter().zip(conductances) {
            if slot != NONE {
                mesh[slot] += conductance;
            }
        }
        let mut ground = vec![0.0; points];
        to_ground.for_each(|(point, conductance)| ground[pattern.place[point]] += conductance);
        let mut pivots = Vec::with_capacity(points);
        for at in 0..points {
            let slots = pattern.slots_of(at);
            let pivot = ground[at] + mesh[slots.clone()].iter().sum::<f64>();
            if !pivot.is_finite() || pivot <= 0.0 {
                return Err(SolveError::Factor);
            }
            let mut joins = &pattern.joins[pattern.join_starts[at]..pattern.join_starts[at + 1]];
            for first in slots.clone() {
                let (own, others) = joins.split_at(slots.end - first - 1);
                joins = others;
                // What does not conduct joins nothing.
                if mesh[first] == 0.0 {
                    continue;
                }
                let share = mesh[first] / pivot;
                ground[pattern.later[first]] += share * ground[at];
                for (second, &join) in (first + 1..slots.end).zip(own) {
                    mesh[join] += share * mesh[second];
                }
                mesh[first] = share;
            }
            pivots.push(pivot);
        }
        Ok(Self { shares: mesh, pivots })
    }

    /// Voltages for currents injected at the points; one more at the end, 0, is
    /// that of ground.
    pub fn solve(&self, pattern: &Pattern, injected: &[f64]) -> Column {
        let mut at_place = vec![0.0; pattern.place.len()];
        for (&at, amps) in pattern.place.iter().zip(injected) {
            at_place[at] = *amps;
        }
        self.solve_from(pattern, at_place, 0)
    }

    /// The same for an ampere injected at one point and drawn at another, which
    /// may be ground, the last.
    pub fn column_between(&self, pattern: &Pattern, from: usize, to: usize) -> Column {
        let mut at_place = vec![0.0; pattern.place.len()];
        let (from, to) = (pattern.place[from], pattern.place[to]);
        at_place[from] += 1.0;
        at_place[to] -= 1.0;
        self.solve_from(pattern, at_place, from.min(to))
    }

    /// What elimination leaves at the places that it touches of an ampere injected
    /// at one point and drawn at another, which may be ground.
    pub(super) fn eliminated(&self, pattern: &Pattern, from: usize, to: usize) -> FxHashMap<usize, f64> {
        let mut waiting = BTreeMap::new();
        *waiting.entry(pattern.place[from]).or_insert(0.0) += 1.0;
        *waiting.entry(pattern.place[to]).or_insert(0.0) -= 1.0;
        let mut left = FxHashMap::default();
        while let Some((at, injected)) = waiting.pop_first().filter(|(at, _)| *at < self.pivots.len()) {
            if injected != 0.0 {
                for (&other, share) in self.later(pattern, at) {
                    *waiting.entry(other).or_insert(0.0) += share * injected;
                }
                left.insert(at, injected / self.pivots[at]);
            }
        }
        left
    }

    /// What the voltages of later places make of that of this one.
    pub(super) fn gathered(&self, pattern: &Pattern, at: usize, volts: impl Fn(usize) -> f64) -> f64 {
        self.later(pattern, at).map(|(&other, share)| share * volts(other)).sum()
    }

    /// The later places that one leads to, and its share there.
    fn later<'f>(&'f self, pattern: &'f Pattern, at: usize) -> impl Iterator<Item = (&'f usize, &'f f64)> {
        let slots = if at < self.pivots.len() { pattern.slots_of(at) } else { 0..0 };
        pattern.later[slots.clone()].iter().zip(&self.shares[slots])
    }

    /// Nothing is injected before place `first`; ground swallows what it gets.
    fn solve_from(&self, pattern: &Pattern, mut at_place: Vec<f64>, first: usize) -> Column {
        let points = self.pivots.len();
        at_place[points] = 0.0;
        for at in first..points {
            let injected = at_place[at];
            if injected != 0.0 {
                self.later(pattern, at).for_each(|(&other, share)| at_place[other] += share * injected);
                at_place[at] = injected / self.pivots[at];
            }
        }
        for at in (0..points).rev() {
            at_place[at] += self.gathered(pattern, at, |other| at_place[other]);
        }
        pattern.place.iter().map(|&at| at_place[at]).collect()
    }

    /// Resistance between the two ends of every branch, with itself in place, Ω:
    /// entries of the inverse where the pattern has a slot, from the last place
    /// to the first (Takahashi, Fagan and Chen, *Formation of a sparse bus
    /// impedance matrix*, 1973).
    pub fn across_branches(&self, pattern: &Pattern) -> Vec<f64> {
        let points = self.pivots.len();
        let mut own = vec![0.0; points];
        let mut mutual = vec![0.0; pattern.later.len()];
        for at in (0..points).rev() {
            let slots = pattern.slots_of(at);
            let many = slots.len();
            let join = |a: usize, b: usize| {
                let (a, b) = (a.min(b), a.max(b));
                pattern.joins[pattern.join_starts[at] + a * (2 * many - a - 1) / 2 + b - a - 1]
            };
            let mut sum = 1.0 / self.pivots[at];
            for one in 0..many {
                let to = |other: usize| {
                    let entry =
                        if other == one { own[pattern.later[slots.start + one]] } else { mutual[join(one, other)] };
                    self.shares[slots.start + other] * entry
                };
                let entry: f64 = (0..many).map(to).sum();
                sum += self.shares[slots.start + one] * entry;
                mutual[slots.start + one] = entry;
            }
            own[at] = sum;
        }
        let between = |(&(from, to), &slot): (&(usize, usize), &usize)| match slot {
            NONE => 0.0,
            slot => own[pattern.place[from]] + own[pattern.place[to]] - 2.0 * mutual[slot],
        };
        pattern.ends.iter().zip(&pattern.slots).map(between).collect()
    }
}
