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

mod transfer;

pub use transfer::{Transfer, Watched};

use super::change::{Change, Effect, solve_small};
use super::law::{Branch, Law, Linear, Network, Regime};
use super::solution::{MOST_ROUNDS, Settling, Solution, TIE, worst};
use super::{Between, SolveError};
use crate::quantity::{Amps, Volts};
use petgraph::unionfind::UnionFind;
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
    alteration: Alteration,
    settling: Settling,
}

impl Solution {
    /// This network after an alteration, with its laws settled again.
    ///
    /// # Errors
    /// As [`super::solve`], where it has to be solved afresh.
    pub fn altered(self: &Rc<Self>, alteration: &Alteration) -> Result<Altered, SolveError> {
        let mut altered = Altered {
            base: Rc::clone(self),
            terms: Vec::new(),
            coupling: Vec::new(),
            cut: None,
            joined: Joined::default(),
            pieces: None,
            overrides: Vec::new(),
            alteration: alteration.clone(),
            settling: self.settling(),
        };
        if let ([(branch, Law::Open)], []) = (&alteration.replaced[..], &alteration.added[..])
            && self.bridges.is_bridge(*branch)
        {
            if self.would_bypass(*branch) {
                return self.afresh(alteration);
            }
            altered.cut = Some(*branch);
            return Ok(altered);
        }
        if self.frees_contact(alteration) {
            return self.afresh(alteration);
        }
        let mut assumed: Vec<Vec<(usize, Regime)>> = Vec::new();
        for _ in 0..MOST_ROUNDS {
            if !altered.update(self) {
                return self.afresh(alteration);
            }
            match altered.next(self) {
                // What comes round again buzzes.
                Next::Assume(overrides) if assumed.contains(&overrides) => break,
                Next::Assume(overrides) => {
                    assumed.push(overrides.clone());
                    altered.overrides = overrides;
                }
                Next::HangsOnHistory => return self.afresh(alteration),
                Next::Settled => return Ok(Altered { settling: Settling::Settled, ..altered }),
            }
        }
        // What buzzes has no answer; give the one that a full solve stops at.
        self.afresh(alteration)
    }

    /// Whether a branch that carries nothing now could take over once the
    /// voltage beyond a bridge is gone: a diode, a charging source that rests.
    fn would_bypass(&self, bridge: usize) -> bool {
        self.piecewise.iter().any(|&branch| {
            let Branch { from, to, law } = &self.network.branches[branch];
            let spans = self.bridges.is_beyond(bridge, *from) != self.bridges.is_beyond(bridge, *to);
            spans && branch != bridge && !matches!(law, Law::Contact { .. })
        })
    }

    /// Whether a relay contact stays closed whatever its coil does, or closes
    /// when it should open: before the coil pulls in, a changeover relay then
    /// has both its contacts closed.
    fn frees_contact(&self, alteration: &Alteration) -> bool {
        let rest = |law: &Law| match law {
            Law::Contact { rest, .. } => Some(*rest),
            _ => None,
        };
        let frees = |(branch, law): &(usize, Law)| {
            let was = rest(&self.network.branches[*branch].law);
            was.is_some() && rest(law) != was && *law != Law::Open
        };
        alteration.replaced.iter().any(frees)
    }

    /// The changed network from rest, as if it had been so all along.
    fn afresh(&self, alteration: &Alteration) -> Result<Altered, SolveError> {
        let solution = self.solve_another(alteration.applied_to(&self.network))?;
        Ok(Altered {
            settling: solution.settling(),
            base: Rc::new(solution),
            terms: Vec::new(),
            coupling: Vec::new(),
            cut: None,
            joined: Joined::default(),
            pieces: None,
            overrides: Vec::new(),
            alteration: Alteration::default(),
        })
    }
}

/// What to do after a round.
enum Next {
    /// Laws and voltages agree.
    Settled,
    /// Try again with these regimes.
    Assume(Vec<(usize, Regime)>),
    /// A relay would hold but not pull in: with the fault there all along it
    /// had to pull in from rest, which only a solve from rest tells.
    HangsOnHistory,
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
        self.law(branch).linear(self.regime(branch))
    }

    fn changes(&self, solution: &Solution) -> Vec<Change> {
        let replaced: Vec<usize> = self.alteration.replaced.iter().map(|(branch, _)| *branch).collect();
        let overridden = self.overrides.iter().map(|(branch, _)| *branch).filter(|branch| !replaced.contains(branch));
        let branches = replaced.iter().copied().chain(overridden);
        let of_branch = |branch: usize| {
            let (old, new) = (solution.line(branch), self.line(branch));
            let Branch { from, to, .. } = solution.network.branches[branch];
            Change {
                from,
                to,
                conductance: new.conductance - old.conductance,
                offset: new.offset - old.offset,
                opens: old.conductance != 0.0 && new.conductance == 0.0,
                branch: Some(branch),
                effect: match (old.conductance != 0.0, new.conductance != 0.0) {
                    (false, true) => Effect::Joins,
                    (true, conducts) if solution.bridges.is_bridge(branch) => match conducts {
                        false => Effect::Cuts,
                        true if old.offset != 0.0 || new.offset != 0.0 => Effect::Nothing,
                        true => Effect::Stretches { bridge: branch, was: old.conductance, is: new.conductance },
                    },
                    _ => Effect::Nothing,
                },
            }
        };
        let mut changes: Vec<Change> = branches.map(of_branch).collect();
        for Branch { from, to, law } in &self.alteration.added {
            let line = law.linear(Regime::On);
            changes.push(Change {
                from: *from,
                to: *to,
                conductance: line.conductance,
                offset: line.offset,
                opens: false,
                branch: None,
                effect: Effect::Joins,
            });
        }
        changes.retain(|change| change.conductance != 0.0 || change.offset != 0.0);
        changes
    }

    /// Works out the injected currents; false where only a solve from rest tells.
    fn update(&mut self, solution: &Solution) -> bool {
        self.pieces = None;
        let changes = self.changes(solution);
        if changes.iter().all(|change| change.effect != Effect::Cuts) && self.inject(solution, changes.clone()) {
            return true;
        }
        self.cut_off(solution, changes).is_some_and(|left| self.inject(solution, left))
    }

    /// The changes that are left when those among the opened branches that
    /// would alone hold pieces together are taken for what they are: without
    /// current. None where something may take over that carries nothing now.
    fn cut_off(&mut self, solution: &Solution, mut changes: Vec<Change>) -> Option<Vec<Change>> {
        let network = &solution.network;
        let mut pieces = UnionFind::new(network.points);
        for (index, branch) in network.branches.iter().enumerate() {
            if self.line(index).conductance != 0.0 {
                pieces.union(branch.from, branch.to);
            }
        }
        for branch in &self.alteration.added {
            pieces.union(branch.from, branch.to);
        }
        let labels = pieces.clone().into_labeling();
        // A diode that has lost its feed is what holds the piece beyond it at
        // its level; one that spans pieces otherwise might begin to conduct.
        let takes_over = |index: usize| {
            let Branch { from, to, .. } = network.branches[index];
            let spans = labels[from] != labels[to] && solution.bridges.island(from) == solution.bridges.island(to);
            spans && !matches!(self.law(index), Law::Contact { .. } | Law::Open)
        };
        let spanning: Vec<usize> = solution.piecewise.iter().copied().filter(|&index| takes_over(index)).collect();
        changes.sort_by_key(|change| !change.branch.is_some_and(|branch| spanning.contains(&branch)));
        let (mut left, mut held) = (Vec::new(), 0);
        for change in changes {
            match change.opens && pieces.union(change.from, change.to) {
                true => held += usize::from(change.branch.is_some_and(|branch| spanning.contains(&branch))),
                false => left.push(change),
            }
        }
        self.pieces = Some(labels);
        (held == spanning.len()).then_some(left)
    }

    /// Works out the injected currents of these changes; false if they cut
    /// something off.
    fn inject(&mut self, solution: &Solution, mut changes: Vec<Change>) -> bool {
        changes.extend(self.join(solution, &changes));
        let size = changes.len();
        let mut matrix = Vec::with_capacity(size * size);
        let mut right = vec![0.0; size * size];
        let mut across = Vec::with_capacity(size);
        for (row, change) in changes.iter().enumerate() {
            let mutuals: Vec<f64> = changes.iter().map(|other| change.mutual(other, solution)).collect();
            let moved: f64 = mutuals.iter().zip(&changes).map(|(mutual, other)| mutual * other.offset).sum();
            across.push(change.across(solution) - moved);
            let (entries, diagonal) = change.row(row, &mutuals);
            matrix.extend(entries);
            right[row * size + row] = diagonal;
        }
        if !solve_small(&mut matrix, &mut right, size) {
            return false;
        }
        self.terms = changes
            .iter()
            .enumerate()
            .map(|(row, change)| {
                let drawn: f64 = (0..size).map(|column| right[row * size + column] * across[column]).sum();
                Term { from: change.from, to: change.to, injected: -change.offset - drawn }
            })
            .collect();
        self.coupling = right;
        true
    }

    /// Notes the islands that changes join; gives the removal of the ties that
    /// held those at their level.
    fn join(&mut self, solution: &Solution, changes: &[Change]) -> Vec<Change> {
        let bridges = &solution.bridges;
        self.joined = Joined::default();
        let joining = changes.iter().filter(|change| change.effect == Effect::Joins);
        let lost =
            joining.filter_map(|change| self.joined.join(bridges.island(change.from), bridges.island(change.to)));
        lost.map(|island| Change {
            from: bridges.roots()[island],
            to: solution.network.points,
            conductance: -TIE,
            offset: 0.0,
            opens: false,
            branch: None,
            effect: Effect::Nothing,
        })
        .collect()
    }

    /// What the voltages say of the regimes assumed.
    fn next(&self, solution: &Solution) -> Next {
        let felt = |branch: usize| self.law(branch).felt(self.across(branch).0);
        let after = |branch: usize, before: Regime| self.law(branch).regime(self.across(branch).0, before, felt);
        let moved = |waiting: bool| -> Vec<(usize, Regime)> {
            let laws = solution.piecewise.iter().filter(|&&branch| self.law(branch).waits() == waiting);
            let regimes = laws.map(|&branch| (branch, after(branch, self.regime(branch))));
            regimes.filter(|&(branch, regime)| regime != self.regime(branch)).collect()
        };
        let mut moves = moved(false);
        if moves.is_empty() {
            let mut relays = solution.piecewise.iter().filter(|&&branch| self.law(branch).waits());
            if relays.any(|&branch| after(branch, self.law(branch).at_rest()) != after(branch, self.regime(branch))) {
                return Next::HangsOnHistory;
            }
            moves = moved(true);
        }
        if moves.is_empty() {
            moves.extend(self.most_overloaded(solution).map(|fuse| (fuse, Regime::Off)));
        }
        if moves.is_empty() {
            return Next::Settled;
        }
        let kept = self.overrides.iter().filter(|(branch, _)| moves.iter().all(|(moved, _)| moved != branch));
        let differing = moves.iter().filter(|&&(branch, regime)| regime != solution.regimes[branch]);
        Next::Assume(kept.chain(differing).copied().collect())
    }

    fn most_overloaded(&self, solution: &Solution) -> Option<usize> {
        let overload = |branch: usize| match self.law(branch) {
            Law::Fuse { opens_at, .. } => self.current(branch).0.abs() / opens_at.0,
            _ => 0.0,
        };
        worst(&solution.fuses, overload)
    }

    fn shift(&self, from: usize, to: usize) -> f64 {
        let base = &self.base;
        self.terms
            .iter()
            .map(|term| {
                let (up, down) = (base.column(term.from), base.column(term.to));
                term.injected * ((up[from] - down[from]) - (up[to] - down[to]))
            })
            .sum()
    }

    /// What stands between two points.
    pub fn between(&self, red: usize, black: usize) -> Between {
        if let Some(cut) = self.cut {
            let base = &self.base;
            if base.bridges.is_beyond(cut, red) != base.bridges.is_beyond(cut, black) {
                return Between::Floating;
            }
        }
        if let Some(pieces) = &self.pieces {
            if pieces[red] != pieces[black] {
                return Between::Floating;
            }
            let base = &self.base.voltages;
            return Between::Volts(Volts(base[red] - base[black] + self.shift(red, black)));
        }
        match self.base.between(red, black) {
            Between::Volts(volts) => Between::Volts(volts + Volts(self.shift(red, black))),
            Between::Floating if self.are_joined(red, black) => {
                let base = &self.base.voltages;
                Between::Volts(Volts(base[red] - base[black] + self.shift(red, black)))
            }
            Between::Floating => Between::Floating,
        }
    }

    fn are_joined(&self, red: usize, black: usize) -> bool {
        let island = |point: usize| self.joined.lowest(self.base.bridges.island(point));
        island(red) == island(black)
    }

    /// Voltage across a branch, first end positive.
    pub fn across(&self, branch: usize) -> Volts {
        let Branch { from, to, .. } = self.network().branches[branch];
        Volts(self.base.across(branch).0 + self.shift(from, to))
    }

    /// Current through a branch, first end to second.
    pub fn current(&self, branch: usize) -> Amps {
        if self.cut == Some(branch) {
            return Amps(0.0);
        }
        let line = self.line(branch);
        Amps(line.conductance * self.across(branch).0 + line.offset)
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
