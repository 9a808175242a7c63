//! A network after an alteration: the base solution, and the currents injected at
//! the ends of the changed branches that stand for the changes.

use super::alteration::Alteration;
use super::islands::MergedIslands;
use super::transfer::Feeding;
use crate::network::between::Between;
use crate::network::companion::Companion;
use crate::network::converters::Solved;
use crate::network::factor::Column;
use crate::network::graph::{Branch, Network};
use crate::network::law::{Law, Region};
use crate::network::solution::{Convergence, Solution};
use crate::quantity::{Amps, Volts};
use std::cell::OnceCell;
use std::rc::Rc;

/// A current that stands for a change.
#[derive(Debug, Clone, Copy)]
pub(super) struct Injection {
    pub from: usize,
    pub to: usize,
    pub injected: f64,
}

/// By which line a curve is linearised.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Linearisation {
    Tangent,
    /// One that does not fall.
    Monotone,
}

/// A network after an alteration.
pub struct Altered {
    pub(super) base: Rc<Solution>,
    pub(super) injections: Vec<Injection>,
    /// (I + DP)⁻¹D, row by row.
    pub(super) coupling: Vec<f64>,
    pub(super) cut: Option<usize>,
    pub(super) joined: MergedIslands,
    /// Island of each point, where changes have cut something off together.
    pub(super) pieces: Option<Vec<usize>>,
    pub(super) overrides: Vec<(usize, Region)>,
    pub(super) linearisation: Linearisation,
    pub(super) alteration: Alteration,
    pub(super) convergence: Convergence,
    /// The converters at work.
    pub(super) feeding: OnceCell<Rc<[Feeding]>>,
}

impl Solved for Altered {
    fn law(&self, branch: usize) -> &Law {
        Self::law(self, branch)
    }

    fn volts(&self, branch: usize) -> f64 {
        self.across(branch).0
    }

    fn amps(&self, branch: usize) -> f64 {
        self.current(branch).0
    }
}

impl Altered {
    /// A network to which nothing has happened yet.
    pub(super) fn unchanged(base: &Rc<Solution>, alteration: &Alteration) -> Self {
        Self {
            convergence: base.convergence(),
            base: Rc::clone(base),
            injections: Vec::new(),
            coupling: Vec::new(),
            cut: None,
            joined: MergedIslands::default(),
            pieces: None,
            overrides: Vec::new(),
            linearisation: Linearisation::Tangent,
            alteration: alteration.clone(),
            feeding: OnceCell::new(),
        }
    }

    /// Whether the laws agree with the voltages.
    pub fn convergence(&self) -> Convergence {
        self.convergence
    }

    pub(super) fn network(&self) -> &Network {
        self.base.network()
    }

    pub(super) fn law(&self, branch: usize) -> &Law {
        let replaced = self.alteration.replaced.iter().find(|(replaced, _)| *replaced == branch);
        replaced.map_or(&self.network().branches[branch].law, |(_, law)| law)
    }

    pub(super) fn region(&self, branch: usize) -> Region {
        let overridden = self.overrides.iter().find(|(index, _)| *index == branch);
        overridden.map_or(self.base.regions[branch], |(_, region)| *region)
    }

    pub(super) fn companion(&self, branch: usize) -> Companion {
        match self.linearisation {
            Linearisation::Monotone => self.law(branch).monotone(self.region(branch)),
            Linearisation::Tangent => self.law(branch).linear(self.region(branch)),
        }
    }

    /// The injections that there are, each with what an ampere of it does.
    fn amperes(&self) -> Vec<(f64, Column)> {
        let injected = self.injections.iter().filter(|injection| injection.injected != 0.0);
        let ampere = |one: &Injection| (one.injected, self.base.column_between(one.from, one.to));
        injected.map(ampere).collect()
    }

    /// Voltage between any two points, for many of them.
    pub(super) fn voltages(&self) -> impl Fn(usize, usize) -> f64 + '_ {
        let amperes = self.amperes();
        let at = move |point: usize| {
            amperes.iter().fold(self.base.voltages[point], |volts, (amps, ampere)| volts + amps * ampere[point])
        };
        move |from, to| at(from) - at(to)
    }

    pub(super) fn shift(&self, from: usize, to: usize) -> f64 {
        if self.injections.iter().all(|injection| injection.injected == 0.0) {
            return 0.0;
        }
        let ground = self.network().points;
        let (up, down) = (self.base.entries(from, ground), self.base.entries(to, ground));
        let at = |point: usize| up.at(point) - down.at(point);
        let moved = |injection: &Injection| injection.injected * (at(injection.from) - at(injection.to));
        self.injections.iter().map(moved).sum()
    }

    /// What stands between two points.
    pub fn between(&self, red: usize, black: usize) -> Between {
        match self.is_joined(red, black) {
            true => {
                let base = &self.base.voltages;
                Between::Volts(Volts(base[red] - base[black] + self.shift(red, black)))
            }
            false => Between::Floating,
        }
    }

    /// Whether a path joins two points.
    fn is_joined(&self, red: usize, black: usize) -> bool {
        let bridges = &self.base.bridges;
        if let Some(pieces) = &self.pieces {
            return pieces[red] == pieces[black];
        }
        if self.cut.is_some_and(|cut| bridges.is_beyond(cut, red) != bridges.is_beyond(cut, black)) {
            return false;
        }
        let (one, other) = (bridges.island(red), bridges.island(black));
        one == other || self.joined.lowest(one) == self.joined.lowest(other)
    }

    /// Voltages of all points against one, V; no number where nothing joins them.
    pub fn against(&self, black: usize) -> Vec<f64> {
        let (base, amperes) = (&self.base.voltages, self.amperes());
        let of = |injection: &Injection| self.base.entries(injection.from, injection.to).at(black);
        let moved: f64 = (self.injections.iter())
            .filter(|injection| injection.injected != 0.0)
            .map(|injection| injection.injected * of(injection))
            .sum();
        // Two large voltages apart by little: the level goes off the first change.
        let less = base[black] + moved;
        let against = |point: usize| match amperes.split_first() {
            _ if !self.is_joined(point, black) => f64::NAN,
            None => base[point] - less,
            Some(((amps, ampere), others)) => {
                let volts = base[point] + (amps * ampere[point] - less);
                others.iter().fold(volts, |volts, (amps, ampere)| volts + amps * ampere[point])
            }
        };
        (0..self.network().points).map(against).collect()
    }

    /// Voltage across a branch, first end positive.
    pub fn across(&self, branch: usize) -> Volts {
        let Branch { from, to, .. } = self.network().branches[branch];
        Volts(self.base.across(branch).0 + self.shift(from, to))
    }

    /// Current through a branch, first end to second.
    pub fn current(&self, branch: usize) -> Amps {
        Amps(self.current_at(branch, self.across(branch).0))
    }

    /// The same where the voltage across it is known, V; A.
    pub fn current_at(&self, branch: usize, volts: f64) -> f64 {
        if self.cut == Some(branch) {
            return 0.0;
        }
        let companion = self.companion(branch);
        companion.conductance * volts + companion.offset
    }

    /// ∂(current)/∂(voltage across) of a branch, S.
    pub fn slope(&self, branch: usize) -> f64 {
        if self.cut == Some(branch) { 0.0 } else { self.companion(branch).conductance }
    }

    /// Conductance behind which a source holds its voltage; 0 where it holds none.
    pub fn source_conductance(&self, branch: usize) -> f64 {
        match (self.law(branch), self.region(branch)) {
            (Law::Battery { charging, .. }, Region::Limited) => charging.conductance().0,
            (Law::Battery { ohms, .. }, _) | (Law::Regulated { ohms, .. }, Region::On) => ohms.conductance().0,
            (Law::Regulated { .. }, Region::Limited | Region::Off | Region::Along(_)) => 0.0,
            (
                Law::Open
                | Law::Resistor(_)
                | Law::Fuse { .. }
                | Law::ConstantCurrent { .. }
                | Law::Curve(_)
                | Law::Diode { .. }
                | Law::Contact { .. },
                _,
            ) => 0.0,
        }
    }

    /// Whether the fuse on a branch has opened.
    pub fn is_blown(&self, branch: usize) -> bool {
        matches!(self.law(branch), Law::Fuse { .. }) && self.region(branch) == Region::Off
    }

    /// The fuses that have opened.
    pub fn blown(&self) -> Vec<usize> {
        self.base.fuses.iter().copied().filter(|&branch| self.is_blown(branch)).collect()
    }
}
