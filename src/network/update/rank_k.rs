//! The laws of an altered network: which changes there are, what
//! currents they amount to, and whether all laws agree with the voltages.

use super::alteration::Alteration;
use super::altered::{Altered, Injection, Linearisation};
use super::branch_change::{BranchChange, Determinant, Effect, solve_small};
use super::islands::MergedIslands;
use crate::network::converters::{MOST_ROUNDS, disagreeing, is_short, starting};
use crate::network::error::SolveError;
use crate::network::graph::Branch;
use crate::network::law::{Law, Region};
use crate::network::newton::{ISLAND_SHUNT, MAX_ROUNDS, solve, worst};
use crate::network::region::Margin;
use crate::network::solution::{Convergence, Solution};
use petgraph::unionfind::UnionFind;
use std::rc::Rc;

/// Numerical: laws off their region up to which a solve from rest becomes an
/// update.
const LARGEST_RANK: usize = 32;

/// Numerical: voltage within which the two then agree across every branch, V.
const SAME_VOLTS: f64 = 1e-6;

impl Solution {
    /// This network after an alteration, every law in the region that then holds
    /// and every converter drawing what it then gives.
    ///
    /// # Errors
    /// As [`crate::network::solve`], where it has to be solved afresh.
    pub fn altered(self: &Rc<Self>, alteration: &Alteration) -> Result<Altered, SolveError> {
        let converters = &self.network.converters;
        let altered = self.agreeing(alteration.clone())?;
        // What falls short of its needs had to start like that, from nothing.
        let is_doubtful = altered.convergence() == Convergence::Oscillating
            || converters.iter().any(|converter| is_short(converter, &altered) && !is_short(converter, &**self));
        if converters.is_empty() || !is_doubtful {
            return Ok(altered);
        }
        let start = with_inputs(alteration.clone(), starting(converters, &altered));
        let started = self.agreeing(start.clone())?;
        if started.convergence() == Convergence::Converged {
            return Ok(started);
        }
        let fresh = Rc::new(solve(start.applied_to(&self.network))?);
        let law = |&(input, _): &(usize, Law)| (input, fresh.network.branches[input].law.clone());
        let inputs = starting(converters, &altered).iter().map(law).collect();
        let as_update = self.as_update(&with_inputs(alteration.clone(), inputs), &fresh);
        Ok(as_update.unwrap_or_else(|| Altered::unchanged(&fresh, &Alteration::default())))
    }

    /// The changed network, its converters brought to agree from what they are
    /// said to draw.
    fn agreeing(self: &Rc<Self>, mut alteration: Alteration) -> Result<Altered, SolveError> {
        let mut altered = self.altered_once(&alteration)?;
        for _ in 0..MOST_ROUNDS {
            let inputs = disagreeing(&self.network.converters, &altered);
            if inputs.is_empty() {
                return Ok(altered);
            }
            alteration = with_inputs(alteration, inputs);
            altered = self.altered_once(&alteration)?;
        }
        Ok(Altered { convergence: Convergence::Oscillating, ..altered })
    }

    /// The same with converters drawing what they are said to.
    fn altered_once(self: &Rc<Self>, alteration: &Alteration) -> Result<Altered, SolveError> {
        if let ([(branch, Law::Open)], []) = (&alteration.replaced[..], &alteration.added[..])
            && self.bridges.is_bridge(*branch)
        {
            return match self.would_bypass(*branch) {
                true => self.afresh(alteration),
                false => Ok(Altered { cut: Some(*branch), ..Altered::unchanged(self, alteration) }),
            };
        }
        if !self.welds_contact(alteration) {
            match self.converged(alteration, Vec::new(), History::AsItStands) {
                Ok(altered) if altered.convergence == Convergence::Converged => return Ok(altered),
                Err(NotUpdatable::Digits) => return self.afresh(alteration),
                Ok(_) | Err(NotUpdatable::History) => {}
            }
        }
        self.from_rest(alteration).map_or_else(|| self.afresh(alteration), Ok)
    }

    /// The changed network as if it had been so all along, as an update of
    /// this one. Relays move together once all else agrees; where they move first
    /// follows from the network at rest.
    fn from_rest(self: &Rc<Self>, alteration: &Alteration) -> Option<Altered> {
        let at_rest = self.resting()?.converged(alteration, Vec::new(), History::AtRest).ok()?;
        let volts = at_rest.voltages();
        let controlling = |branch: usize| {
            let Branch { from, to, .. } = self.network.branches[branch];
            at_rest.law(branch).controlling(volts(from, to))
        };
        let moved = |&branch: &usize| {
            let law = at_rest.law(branch);
            law.waits().then(|| (branch, law.region(0.0, law.at_rest(), controlling)))
        };
        let whole = self.fuses.iter().map(|&fuse| (fuse, Region::On));
        let first = self.piecewise.iter().filter_map(moved).chain(whole);
        let overrides = first.filter(|&(branch, region)| region != self.regions[branch]).collect();
        self.converged(alteration, overrides, History::AtRest).ok()
    }

    /// The changed network with its laws converged, some of them in other regions
    /// at first; it oscillates if what it assumes comes round again.
    fn converged(
        self: &Rc<Self>,
        alteration: &Alteration,
        overrides: Vec<(usize, Region)>,
        history: History,
    ) -> Result<Altered, NotUpdatable> {
        let mut altered = Altered { overrides, ..Altered::unchanged(self, alteration) };
        let mut assumed: Vec<Vec<(usize, Region)>> = Vec::new();
        for _ in 0..MAX_ROUNDS {
            if !altered.update(self) {
                return Err(NotUpdatable::Digits);
            }
            match altered.next(self, history) {
                Round::Assume(overrides) if assumed.contains(&overrides) => break,
                Round::Assume(overrides) => {
                    assumed.push(overrides.clone());
                    altered.overrides = overrides;
                }
                Round::HangsOnHistory => return Err(NotUpdatable::History),
                Round::Converged if altered.has_lost_a_feed(self) => return Err(NotUpdatable::Digits),
                Round::Converged => return Ok(Altered { convergence: Convergence::Converged, ..altered }),
            }
        }
        Ok(Altered { convergence: Convergence::Oscillating, ..altered })
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
    pub(super) fn welds_contact(&self, alteration: &Alteration) -> bool {
        let rest = |law: &Law| if let Law::Contact { rest, .. } = law { Some(*rest) } else { None };
        let frees = |(branch, law): &(usize, Law)| {
            let was = rest(&self.network.branches[*branch].law);
            was.is_some() && rest(law) != was && *law != Law::Open
        };
        alteration.replaced.iter().any(frees)
    }

    /// The changed network from rest, as if it had been so all along.
    fn afresh(self: &Rc<Self>, alteration: &Alteration) -> Result<Altered, SolveError> {
        let fresh = self.solve_another(alteration.applied_to(&self.network))?;
        Ok(self
            .as_update(alteration, &fresh)
            .unwrap_or_else(|| Altered::unchanged(&Rc::new(fresh), &Alteration::default())))
    }

    /// What a solve from rest has come to, as an update of this network, so that
    /// only what differs needs memory. None where too much does, or where an
    /// update would lose digits.
    fn as_update(self: &Rc<Self>, alteration: &Alteration, fresh: &Self) -> Option<Altered> {
        let is_other = |branch: &usize| {
            let (was, is) = (self.regions[*branch], fresh.regions[*branch]);
            let (Region::Along(at), Region::Along(_)) = (was, is) else { return was != is };
            at.moved_to(fresh.across(*branch).0) != at
        };
        let overrides: Vec<(usize, Region)> = (0..self.regions.len())
            .filter(is_other)
            .map(|branch| (branch, fresh.regions[branch]))
            .take(LARGEST_RANK + 1)
            .collect();
        let are_plain = fresh.regions[self.regions.len()..].iter().all(|&region| region == Region::On);
        if overrides.len() > LARGEST_RANK || !are_plain || fresh.convergence() == Convergence::Oscillating {
            return None;
        }
        let convergence = Convergence::Converged;
        let mut altered = Altered { overrides, convergence, ..Altered::unchanged(self, alteration) };
        (altered.update(self) && altered.agrees_with(fresh)).then_some(altered)
    }
}

/// An alteration with other laws of some inputs.
fn with_inputs(mut alteration: Alteration, inputs: Vec<(usize, Law)>) -> Alteration {
    alteration.replaced.retain(|(branch, _)| inputs.iter().all(|(input, _)| input != branch));
    alteration.replaced.extend(inputs);
    alteration
}

/// What the laws were like before the change.
#[derive(Clone, Copy, PartialEq)]
enum History {
    /// As they stand: a relay that would hold and not pull in is left open.
    AsItStands,
    /// At rest.
    AtRest,
}

/// Why an alteration cannot be answered by an update.
enum NotUpdatable {
    /// It would lose digits, or cannot tell what hangs in the air.
    Digits,
    /// It hangs on what was before.
    History,
}

/// What to do after a round.
enum Round {
    /// Laws and voltages agree.
    Converged,
    /// Try again with these regimes.
    Assume(Vec<(usize, Region)>),
    /// A relay would hold but not pull in: with the fault there all along it
    /// had to pull in from rest, which only a solve from rest shows.
    HangsOnHistory,
}

impl Altered {
    /// Whether all that conducts has the voltages of a solve.
    fn agrees_with(&self, fresh: &Solution) -> bool {
        let volts = self.voltages();
        let agrees = |(index, branch): (usize, &Branch)| {
            let apart = volts(branch.from, branch.to) - fresh.across(index).0;
            fresh.companion(index).conductance == 0.0 || apart.abs() < SAME_VOLTS
        };
        fresh.network.branches.iter().enumerate().all(agrees)
    }

    fn changes(&self, solution: &Solution) -> Vec<BranchChange> {
        let replaced = self.alteration.replaced.iter().map(|(branch, _)| *branch);
        let is_replaced = |branch: &usize| self.alteration.replaced.iter().any(|(replaced, _)| replaced == branch);
        let overridden = || self.overrides.iter().map(|(branch, _)| *branch);
        let is_linearised = |branch: &usize| {
            let may_fall = matches!(solution.network.branches[*branch].law, Law::Curve(_));
            may_fall && overridden().all(|overridden| overridden != *branch)
        };
        let linearised = solution
            .piecewise
            .iter()
            .copied()
            .filter(|_| self.linearisation == Linearisation::Monotone)
            .filter(is_linearised);
        let changed = replaced
            .chain(overridden().chain(linearised).filter(|branch| !is_replaced(branch)))
            .map(|branch| BranchChange::of(solution, branch, self.companion(branch)));
        let mut changes: Vec<BranchChange> =
            changed.chain(self.alteration.added.iter().map(BranchChange::by_adding)).collect();
        changes.retain(|change| change.conductance != 0.0 || change.offset != 0.0);
        changes
    }

    /// Works out the injected currents, by tangents where those leave the network
    /// definite, as a solve does; false where only a solve from rest tells.
    pub(super) fn update(&mut self, solution: &Solution) -> bool {
        self.linearisation = Linearisation::Tangent;
        match self.solve_update(solution) {
            Determinant::Negative => {
                self.linearisation = Linearisation::Monotone;
                self.solve_update(solution) == Determinant::Positive
            }
            solved => solved == Determinant::Positive,
        }
    }

    fn solve_update(&mut self, solution: &Solution) -> Determinant {
        self.pieces = None;
        let changes = self.changes(solution);
        if changes.iter().all(|change| change.effect != Effect::Cuts) {
            let solved = self.inject(solution, changes.clone());
            if solved != Determinant::Not {
                return solved;
            }
        }
        self.cut_off(solution, changes).map_or(Determinant::Not, |left| self.inject(solution, left))
    }

    /// The changes that are left when those among the opened branches that
    /// would alone hold pieces together are taken for what they are: without
    /// current. None where something may take over that carries nothing now.
    fn cut_off(&mut self, solution: &Solution, mut changes: Vec<BranchChange>) -> Option<Vec<BranchChange>> {
        let network = &solution.network;
        let mut pieces = UnionFind::new(network.points);
        for (index, branch) in network.branches.iter().enumerate() {
            if self.companion(index).conductance != 0.0 {
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

    /// Works out the injected currents of these changes; not if they cut
    /// something off.
    fn inject(&mut self, solution: &Solution, mut changes: Vec<BranchChange>) -> Determinant {
        changes.extend(self.join(solution, &changes));
        let size = changes.len();
        let mut matrix = Vec::with_capacity(size * size);
        let mut right = vec![0.0; size * size];
        let mut across = Vec::with_capacity(size);
        for (row, change) in changes.iter().enumerate() {
            let mutuals = change.mutuals(&changes, solution);
            let moved: f64 = mutuals.iter().zip(&changes).map(|(mutual, other)| mutual * other.offset).sum();
            across.push(change.across(solution) - moved);
            let (entries, diagonal) = change.row(row, &mutuals);
            matrix.extend(entries);
            right[row * size + row] = diagonal;
        }
        let solved = solve_small(&mut matrix, &mut right, size);
        if solved == Determinant::Not {
            return solved;
        }
        self.injections = changes
            .iter()
            .enumerate()
            .map(|(row, change)| {
                let drawn: f64 = (0..size).map(|column| right[row * size + column] * across[column]).sum();
                Injection { from: change.from, to: change.to, injected: -change.offset - drawn }
            })
            .collect();
        self.coupling = right;
        solved
    }

    /// Notes the islands that changes join; gives the removal of the ties that
    /// held those at their level.
    fn join(&mut self, solution: &Solution, changes: &[BranchChange]) -> Vec<BranchChange> {
        let bridges = &solution.bridges;
        self.joined = MergedIslands::default();
        let joining = changes.iter().filter(|change| change.effect == Effect::Joins);
        let lost =
            joining.filter_map(|change| self.joined.join(bridges.island(change.from), bridges.island(change.to)));
        lost.map(|island| BranchChange {
            from: bridges.roots()[island],
            to: solution.network.points,
            conductance: -ISLAND_SHUNT,
            offset: 0.0,
            opens: false,
            branch: None,
            effect: Effect::Nothing,
        })
        .collect()
    }

    /// What the voltages say of the regimes assumed.
    fn next(&self, solution: &Solution, history: History) -> Round {
        let volts = self.voltages();
        let across = |branch: usize| {
            let Branch { from, to, .. } = solution.network.branches[branch];
            volts(from, to)
        };
        let controlling = |branch: usize| self.law(branch).controlling(across(branch));
        let after = |branch: usize, before: Region| self.law(branch).region(across(branch), before, controlling);
        let [derived, fuses] = self.derived(solution, &volts);
        let moved = |waiting: bool| -> Vec<(usize, Region)> {
            let laws = derived.iter().filter(|&&branch| self.law(branch).waits() == waiting);
            let regions = laws.map(|&branch| (branch, after(branch, self.region(branch))));
            regions.filter(|&(branch, region)| region != self.region(branch)).collect()
        };
        let mut moves = moved(false);
        if moves.is_empty() {
            let mut relays = derived.iter().filter(|&&branch| self.law(branch).waits());
            let hangs =
                |&branch: &usize| after(branch, self.law(branch).at_rest()) != after(branch, self.region(branch));
            if history == History::AsItStands && relays.any(hangs) {
                return Round::HangsOnHistory;
            }
            moves = moved(true);
        }
        if moves.is_empty() {
            let overload = |branch: usize| match self.law(branch) {
                Law::Fuse { opens_at, .. } => {
                    let companion = self.companion(branch);
                    (companion.conductance * across(branch) + companion.offset).abs() / opens_at.0
                }
                _ => 0.0,
            };
            moves.extend(worst(&fuses, overload).map(|fuse| (fuse, Region::Off)));
        }
        if moves.is_empty() {
            return Round::Converged;
        }
        let memory = self.overrides.iter().filter(|(branch, _)| moves.iter().all(|(moved, _)| moved != branch));
        let differing = moves.iter().filter(|&&(branch, region)| region != solution.regions[branch]);
        Round::Assume(memory.chain(differing).copied().collect())
    }

    /// The piecewise laws, and the fuses, that may have to leave their region at
    /// these voltages: those whose margin does not hold or that are not as they were.
    fn derived(&self, solution: &Solution, volts: impl Fn(usize, usize) -> f64) -> [Vec<usize>; 2] {
        let Some(margins) = solution.margins() else { return [solution.piecewise.clone(), solution.fuses.clone()] };
        let is_replaced = |branch: usize| self.alteration.replaced.iter().any(|(replaced, _)| *replaced == branch);
        let is_left = |margin: &&Margin| {
            let across = volts(margin.from, margin.to);
            !(margin.least..=margin.most).contains(&across) || is_replaced(margin.branch)
        };
        let replaced = self.alteration.replaced.iter().map(|(branch, _)| *branch);
        let overridden = self.overrides.iter().map(|(branch, _)| *branch);
        let left = margins.iter().filter(is_left).map(|margin| margin.law);
        let mut derived: Vec<usize> = left.chain(replaced).chain(overridden).collect();
        derived.sort_unstable();
        derived.dedup();
        let among = |all: &[usize]| derived.iter().copied().filter(|law| all.binary_search(law).is_ok()).collect();
        [among(&solution.piecewise), among(&solution.fuses)]
    }
}
