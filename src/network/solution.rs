//! A solved network: voltages, regions of the laws, the factored matrix, islands;
//! and what was worked out of it when first asked for.

use super::between::Between;
use super::bridges::Bridges;
use super::companion::Companion;
use super::converters::Solved;
use super::entries::Entries;
use super::factor::{Column, Factor, Pattern};
use super::graph::Network;
use super::law::{Law, Region};
use super::region::Margin;
use crate::memo::{Capacity, Memo};
use crate::quantity::{Amps, Ohms, Volts};
use std::cell::OnceCell;
use std::rc::Rc;

/// Whether the laws agree with the voltages.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Convergence {
    /// They do.
    Converged,
    /// They chase each other: a relay that drops itself out, a source that
    /// switches off what it needs.
    Oscillating,
}

/// A solved network.
pub struct Solution {
    pub(super) network: Network,
    pub(super) regions: Vec<Region>,
    pub(super) companions: Vec<Companion>,
    /// At every point, and last at ground.
    pub(super) voltages: Rc<[f64]>,
    pub(super) bridges: Bridges,
    pub(super) piecewise: Vec<usize>,
    pub(super) fuses: Vec<usize>,
    pub(super) factor: Rc<Factor>,
    pub(super) pattern: Rc<Pattern>,
    pub(super) convergence: Convergence,
    pub(super) derived: Derived,
}

/// Numerical: numbers that one solution holds of columns of each kind, at most: what
/// is asked for again is asked for soon, and 5,000 points times as many would be 200
/// MB.
const NUMBERS: usize = 1 << 20;

/// Numerical: numbers that one column holds of which little is asked for, about.
const ENTRIES: usize = 1 << 8;

/// What was worked out of a solution when it was first asked for.
pub(super) struct Derived {
    /// Columns of the inverse Z = Y⁻¹ of the nodal matrix: Z·(eₐ − e_b) is what an
    /// ampere into one point and out at another does, which may be ground.
    columns: Memo<(usize, usize), Column>,
    /// Those of which little is asked for.
    entries: Memo<(usize, usize), Rc<Entries>>,
    /// Resistance between the ends of each branch, Ω.
    across: OnceCell<Box<[f64]>>,
    /// The same network before any relay has moved or fuse opened, if it settles.
    pub resting: OnceCell<Option<Rc<Solution>>>,
    pub margins: OnceCell<Box<[Margin]>>,
}

impl Default for Derived {
    fn default() -> Self {
        Self {
            columns: Memo::new(Capacity(NUMBERS)),
            entries: Memo::new(Capacity(NUMBERS)),
            across: OnceCell::new(),
            resting: OnceCell::new(),
            margins: OnceCell::new(),
        }
    }
}

impl Solved for Solution {
    fn law(&self, branch: usize) -> &Law {
        &self.network.branches[branch].law
    }

    fn volts(&self, branch: usize) -> f64 {
        self.across(branch).0
    }

    fn amps(&self, branch: usize) -> f64 {
        self.current(branch).0
    }
}

impl Solution {
    /// The network that was solved.
    pub fn network(&self) -> &Network {
        &self.network
    }

    /// Whether the laws agree with the voltages.
    pub fn convergence(&self) -> Convergence {
        self.convergence
    }

    /// Which region of its law a branch is in.
    pub fn region(&self, branch: usize) -> Region {
        self.regions[branch]
    }

    /// Whether the fuse on a branch has opened.
    pub fn is_blown(&self, branch: usize) -> bool {
        matches!(self.network.branches[branch].law, Law::Fuse { .. }) && self.regions[branch] == Region::Off
    }

    /// What stands between two points.
    pub fn between(&self, red: usize, black: usize) -> Between {
        if self.bridges.island(red) == self.bridges.island(black) {
            Between::Volts(Volts(self.voltages[red] - self.voltages[black]))
        } else {
            Between::Floating
        }
    }

    /// Voltage of a point; on an island of its own the level means nothing, V.
    pub fn volts(&self, point: usize) -> f64 {
        self.voltages[point]
    }

    /// Voltage across a branch, first end positive.
    pub fn across(&self, branch: usize) -> Volts {
        let branch = &self.network.branches[branch];
        Volts(self.voltages[branch.from] - self.voltages[branch.to])
    }

    /// Current through a branch, first end to second.
    pub fn current(&self, branch: usize) -> Amps {
        let companion = self.companion(branch);
        Amps(companion.conductance * self.across(branch).0 + companion.offset)
    }

    /// Whether a branch has less resistance than this, as it stands.
    pub fn conducts_better_than(&self, branch: usize, ohms: Ohms) -> bool {
        self.companion(branch).conductance > ohms.conductance().0
    }

    pub(super) fn companion(&self, branch: usize) -> Companion {
        self.companions[branch]
    }

    /// Voltages at every point, and last at ground, for one ampere injected at
    /// `point`, Ω.
    pub fn column(&self, point: usize) -> Column {
        self.column_between(point, self.network.points)
    }

    /// Voltage of a point for one ampere injected there, Ω.
    pub fn own_resistance(&self, point: usize) -> f64 {
        self.entries(point, self.network.points).at(point)
    }

    /// The same for one ampere injected at a point and drawn at another.
    pub(super) fn column_between(&self, from: usize, to: usize) -> Column {
        let column = || self.factor.column_between(&self.pattern, from, to);
        self.derived.columns.get_or_weighing((from, to), |column| column.len(), column)
    }

    /// The same where little of it is asked for.
    pub(super) fn entries(&self, from: usize, to: usize) -> Rc<Entries> {
        let of = (&self.factor, &self.pattern, self.network.points);
        let entries = || Rc::new(Entries::between(of, (from, to), || self.column_between(from, to)));
        self.derived.entries.get_or_weighing((from, to), |_| ENTRIES, entries)
    }

    /// Resistance between the ends of a branch, with itself in place, Ω.
    pub(super) fn resistance_across(&self, branch: usize) -> f64 {
        let all = || self.factor.across_branches(&self.pattern).into_boxed_slice();
        self.derived.across.get_or_init(all)[branch]
    }
}
