//! A solved network with something changed, answered from the same factorisation.
//!
//! Each changed branch c has ends a_c, a change of conductance Δg_c and of
//! offset Δi_c. With P = AᵀZA over the changed branches and D = diag(Δg), the
//! new voltages are those of the old network with currents
//! s = −Δi − (I + DP)⁻¹D·Aᵀṽ injected at the ends (ṽ: old voltages with −Δi
//! injected). So any reading under any change costs a few products.
//!
//! Opening a bridge is structural: it carries no current, so nothing changes
//! but that its far side hangs in the air. So it is with what several changes
//! cut off together: of the branches opened, those that alone would hold the
//! pieces together carry nothing, and stay as they are. Where a change joins a
//! floating island to another, the tie that held the island's level is taken
//! away with it.

mod nudge;
mod settle;
mod transfer;

pub use transfer::{Transfer, Watched};

use super::Between;
use super::law::{Branch, Law, Linear, Network, Regime};
use super::solution::{Settling, Solution};
use crate::quantity::{Amps, Volts};
use std::rc::Rc;

/// What is changed in a network.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Alteration {
    /// Branches with another law, each once.
    pub replaced: Vec<(usize, Law)>,
    /// Branches that were not there.
    pub added: Vec<Branch>,
}

impl Alteration {
    /// The network with the alteration in it.
    pub fn applied_to(&self, network: &Network) -> Network {
        let mut network = network.clone();
        for (branch, law) in &self.replaced {
            network.branches[*branch].law = law.clone();
        }
        network.branches.extend(self.added.iter().cloned());
        network
    }

    /// This one and another, of other branches.
    pub fn and(mut self, other: Self) -> Self {
        self.replaced.extend(other.replaced);
        self.added.extend(other.added);
        self
    }
}

/// A current that stands for a change.
#[derive(Debug, Clone, Copy)]
struct Term {
    from: usize,
    to: usize,
    injected: f64,
    /// Voltage across its ends with all changes in place, where it is known, V.
    across: Option<f64>,
}

/// By which line a curve is told.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Bends {
    Tangent,
    /// One that does not fall.
    Flat,
}

/// A network after an alteration.
pub struct Altered {
    base: Rc<Solution>,
    terms: Vec<Term>,
    /// (I + DP)⁻¹D, row by row.
    coupling: Vec<f64>,
    cut: Option<usize>,
    joined: Joined,
    /// Island of each point, where changes have cut something off together.
    pieces: Option<Vec<usize>>,
    overrides: Vec<(usize, Regime)>,
    bends: Bends,
    alteration: Alteration,
    settling: Settling,
}

/// Islands that changes have made one: each with the lowest it is one with.
#[derive(Debug, Default)]
struct Joined(Vec<(usize, usize)>);

impl Joined {
    fn lowest(&self, island: usize) -> usize {
        self.0.iter().find(|(lost, _)| *lost == island).map_or(island, |(_, lowest)| *lowest)
    }

    /// Makes two islands one; gives the one that is no more, if they were two.
    fn join(&mut self, a: usize, b: usize) -> Option<usize> {
        let (a, b) = (self.lowest(a), self.lowest(b));
        let (kept, lost) = (a.min(b), a.max(b));
        if kept == lost {
            return None;
        }
        self.0.iter_mut().filter(|(_, lowest)| *lowest == lost).for_each(|(_, lowest)| *lowest = kept);
        self.0.push((lost, kept));
        Some(lost)
    }
}

impl Altered {
    /// A network to which nothing has happened yet.
    fn unchanged(base: &Rc<Solution>, alteration: &Alteration) -> Self {
        Self {
            settling: base.settling(),
            base: Rc::clone(base),
            terms: Vec::new(),
            coupling: Vec::new(),
            cut: None,
            joined: Joined::default(),
            pieces: None,
            overrides: Vec::new(),
            bends: Bends::Tangent,
            alteration: alteration.clone(),
        }
    }

    /// Whether the laws agree with the voltages.
    pub fn settling(&self) -> Settling {
        self.settling
    }

    fn network(&self) -> &Network {
        self.base.network()
    }

    fn law(&self, branch: usize) -> &Law {
        let replaced = self.alteration.replaced.iter().find(|(replaced, _)| *replaced == branch);
        replaced.map_or(&self.network().branches[branch].law, |(_, law)| law)
    }

    fn regime(&self, branch: usize) -> Regime {
        let overridden = self.overrides.iter().find(|(index, _)| *index == branch);
        overridden.map_or(self.base.regimes[branch], |(_, regime)| *regime)
    }

    fn line(&self, branch: usize) -> Linear {
        match self.bends {
            Bends::Flat => self.law(branch).flat(self.regime(branch)),
            Bends::Tangent => self.law(branch).linear(self.regime(branch)),
        }
    }

    /// Voltages at every point, and last at ground, with so much taken away.
    fn level(&self, less: f64) -> Vec<f64> {
        let mut volts = self.base.voltages.to_vec();
        let mut left = less;
        for &Term { from, to, injected, .. } in self.terms.iter().filter(|term| term.injected != 0.0) {
            let push = self.base.pushed(from, to);
            let taken = std::mem::take(&mut left);
            volts.iter_mut().zip(&*push).for_each(|(volts, ohms)| *volts += injected * ohms - taken);
        }
        if left != 0.0 {
            volts.iter_mut().for_each(|volts| *volts -= left);
        }
        volts
    }

    fn shift(&self, from: usize, to: usize) -> f64 {
        if self.terms.iter().all(|term| term.injected == 0.0) {
            return 0.0;
        }
        let (up, down) = (self.base.column(from), self.base.column(to));
        let moved = |term: &Term| term.injected * ((up[term.from] - down[term.from]) - (up[term.to] - down[term.to]));
        self.terms.iter().map(moved).sum()
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

    /// Whether islands are as they were.
    fn is_whole(&self) -> bool {
        self.cut.is_none() && self.pieces.is_none() && self.joined.0.is_empty()
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
        let pushed = |term: &Term| term.injected * self.base.pushed(term.from, term.to)[black];
        let moved: f64 = self.terms.iter().filter(|term| term.injected != 0.0).map(pushed).sum();
        let mut volts = self.level(self.base.voltages[black] + moved);
        volts.pop();
        match self.is_whole() {
            true => self.base.afloat(black).iter().for_each(|&point| volts[point] = f64::NAN),
            false => volts.iter_mut().enumerate().for_each(|(point, volts)| {
                if !self.is_joined(point, black) {
                    *volts = f64::NAN;
                }
            }),
        }
        volts
    }

    /// Voltage across a branch, first end positive.
    pub fn across(&self, branch: usize) -> Volts {
        let Branch { from, to, .. } = self.network().branches[branch];
        let known = self.terms.iter().find(|term| (term.from, term.to) == (from, to)).and_then(|term| term.across);
        Volts(known.unwrap_or_else(|| self.base.across(branch).0 + self.shift(from, to)))
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
        let line = self.line(branch);
        line.conductance * volts + line.offset
    }

    /// ∂(current)/∂(voltage across) of a branch, S.
    pub fn slope(&self, branch: usize) -> f64 {
        if self.cut == Some(branch) { 0.0 } else { self.line(branch).conductance }
    }

    /// Conductance behind which a source holds its voltage; 0 where it holds none.
    pub fn source_conductance(&self, branch: usize) -> f64 {
        match (self.law(branch), self.regime(branch)) {
            (Law::Battery { charging, .. }, Regime::Limited) => 1.0 / charging.0,
            (Law::Battery { ohms, .. }, _) | (Law::Regulated { ohms, .. }, Regime::On) => 1.0 / ohms.0,
            _ => 0.0,
        }
    }

    /// Whether the fuse on a branch has opened.
    pub fn is_blown(&self, branch: usize) -> bool {
        matches!(self.law(branch), Law::Fuse { .. }) && self.regime(branch) == Regime::Off
    }

    /// The fuses that have opened.
    pub fn blown(&self) -> Vec<usize> {
        self.base.fuses.iter().copied().filter(|&branch| self.is_blown(branch)).collect()
    }
}
