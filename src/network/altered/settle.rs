//! Settling the laws of an altered network: which changes there are, what
//! currents they amount to, and whether all laws agree with the voltages.

use super::{Alteration, Altered, Bends, Joined, Term};
use crate::network::SolveError;
use crate::network::change::{Change, Effect, Solved, solve_small};
use crate::network::law::{Branch, Law, Regime};
use crate::network::room::Room;
use crate::network::solution::{MOST_ROUNDS, Settling, Solution, TIE, worst};
use petgraph::unionfind::UnionFind;
use std::rc::Rc;

/// Laws off their piece up to which a solve from rest is told as changes.
const MOST_RETOLD: usize = 32;

/// Voltage within which the two then agree across every branch, V.
const SAME_VOLTS: f64 = 1e-6;

impl Solution {
    /// This network after an alteration, with its laws settled again.
    ///
    /// # Errors
    /// As [`crate::network::solve`], where it has to be solved afresh.
    pub fn altered(self: &Rc<Self>, alteration: &Alteration) -> Result<Altered, SolveError> {
        if let ([(branch, Law::Open)], []) = (&alteration.replaced[..], &alteration.added[..])
            && self.bridges.is_bridge(*branch)
        {
            return match self.would_bypass(*branch) {
                true => self.afresh(alteration),
                false => Ok(Altered { cut: Some(*branch), ..Altered::unchanged(self, alteration) }),
            };
        }
        if !self.frees_contact(alteration) {
            match self.settled(alteration, Vec::new(), History::AsItStands) {
                Ok(altered) if altered.settling == Settling::Settled => return Ok(altered),
                Err(Untold::Digits) => return self.afresh(alteration),
                Ok(_) | Err(Untold::History) => {}
            }
        }
        self.from_rest(alteration).map_or_else(|| self.afresh(alteration), Ok)
    }

    /// The changed network as if it had been so all along, told as changes of
    /// this one. Relays move together once all else agrees, and where they move
    /// first is told by the network at rest.
    fn from_rest(self: &Rc<Self>, alteration: &Alteration) -> Option<Altered> {
        let at_rest = self.resting()?.settled(alteration, Vec::new(), History::AtRest).ok()?;
        let volts = at_rest.level(0.0);
        let felt = |branch: usize| {
            let Branch { from, to, .. } = self.network.branches[branch];
            at_rest.law(branch).felt(volts[from] - volts[to])
        };
        let moved = |&branch: &usize| {
            let law = at_rest.law(branch);
            law.waits().then(|| (branch, law.regime(0.0, law.at_rest(), felt)))
        };
        let whole = self.fuses.iter().map(|&fuse| (fuse, Regime::On));
        let first = self.piecewise.iter().filter_map(moved).chain(whole);
        let overrides = first.filter(|&(branch, regime)| regime != self.regimes[branch]).collect();
        self.settled(alteration, overrides, History::AtRest).ok()
    }

    /// The changed network with its laws settled, some of them on other pieces
    /// at first; restless if what it assumes comes round again.
    fn settled(
        self: &Rc<Self>,
        alteration: &Alteration,
        overrides: Vec<(usize, Regime)>,
        history: History,
    ) -> Result<Altered, Untold> {
        if overrides.is_empty()
            && let Some(nudged) = self.nudged(alteration)
        {
            return Ok(nudged);
        }
        let mut altered = Altered { overrides, ..Altered::unchanged(self, alteration) };
        let mut assumed: Vec<Vec<(usize, Regime)>> = Vec::new();
        for _ in 0..MOST_ROUNDS {
            if !altered.update(self) {
                return Err(Untold::Digits);
            }
            match altered.next(self, history) {
                Next::Assume(overrides) if assumed.contains(&overrides) => break,
                Next::Assume(overrides) => {
                    assumed.push(overrides.clone());
                    altered.overrides = overrides;
                }
                Next::HangsOnHistory => return Err(Untold::History),
                Next::Settled => return Ok(Altered { settling: Settling::Settled, ..altered }),
            }
        }
        Ok(Altered { settling: Settling::Restless, ..altered })
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
    fn afresh(self: &Rc<Self>, alteration: &Alteration) -> Result<Altered, SolveError> {
        let fresh = self.solve_another(alteration.applied_to(&self.network))?;
        Ok(self
            .retold(alteration, &fresh)
            .unwrap_or_else(|| Altered::unchanged(&Rc::new(fresh), &Alteration::default())))
    }

    /// What a solve from rest has settled on, told as changes of this network:
    /// nothing needs to be kept but what differs. None where too much does, or
    /// where telling it so would lose digits.
    fn retold(self: &Rc<Self>, alteration: &Alteration, fresh: &Self) -> Option<Altered> {
        let is_other = |branch: &usize| {
            let (was, is) = (self.regimes[*branch], fresh.regimes[*branch]);
            let (Regime::Along(at), Regime::Along(_)) = (was, is) else { return was != is };
            at.moved_to(fresh.across(*branch).0) != at
        };
        let overrides: Vec<(usize, Regime)> = (0..self.regimes.len())
            .filter(is_other)
            .map(|branch| (branch, fresh.regimes[branch]))
            .take(MOST_RETOLD + 1)
            .collect();
        let are_plain = fresh.regimes[self.regimes.len()..].iter().all(|&regime| regime == Regime::On);
        if overrides.len() > MOST_RETOLD || !are_plain || fresh.settling() == Settling::Restless {
            return None;
        }
        let settling = Settling::Settled;
        let mut altered = Altered { overrides, settling, ..Altered::unchanged(self, alteration) };
        if !altered.update(self) {
            return None;
        }
        let volts = altered.level(0.0);
        let agrees = |(index, branch): (usize, &Branch)| {
            let apart = volts[branch.from] - volts[branch.to] - fresh.across(index).0;
            fresh.line(index).conductance == 0.0 || apart.abs() < SAME_VOLTS
        };
        fresh.network.branches.iter().enumerate().all(agrees).then_some(altered)
    }
}

/// What the laws were like before the change.
#[derive(Clone, Copy, PartialEq)]
enum History {
    /// As they stand: a relay that would hold and not pull in is not told.
    AsItStands,
    /// At rest.
    AtRest,
}

/// Why an alteration cannot be told as changes.
enum Untold {
    /// It would lose digits.
    Digits,
    /// It hangs on what was before.
    History,
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

impl Altered {
    fn changes(&self, solution: &Solution) -> Vec<Change> {
        let replaced = self.alteration.replaced.iter().map(|(branch, _)| *branch);
        let is_replaced = |branch: &usize| self.alteration.replaced.iter().any(|(replaced, _)| replaced == branch);
        let overridden = || self.overrides.iter().map(|(branch, _)| *branch);
        let is_bent = |branch: &usize| {
            let may_fall = matches!(solution.network.branches[*branch].law, Law::Curve(_));
            may_fall && overridden().all(|overridden| overridden != *branch)
        };
        let bent = solution.piecewise.iter().copied().filter(|_| self.bends == Bends::Flat).filter(is_bent);
        let changed = replaced
            .chain(overridden().chain(bent).filter(|branch| !is_replaced(branch)))
            .map(|branch| Change::of(solution, branch, self.line(branch)));
        let mut changes: Vec<Change> = changed.chain(self.alteration.added.iter().map(Change::by_adding)).collect();
        changes.retain(|change| change.conductance != 0.0 || change.offset != 0.0);
        changes
    }

    /// Works out the injected currents, by tangents where those leave the network
    /// definite, as a solve does; false where only a solve from rest tells.
    fn update(&mut self, solution: &Solution) -> bool {
        self.bends = Bends::Tangent;
        match self.told(solution) {
            Solved::Inverted => {
                self.bends = Bends::Flat;
                self.told(solution) == Solved::Upright
            }
            solved => solved == Solved::Upright,
        }
    }

    fn told(&mut self, solution: &Solution) -> Solved {
        self.pieces = None;
        let changes = self.changes(solution);
        if changes.iter().all(|change| change.effect != Effect::Cuts) {
            let solved = self.inject(solution, changes.clone());
            if solved != Solved::Not {
                return solved;
            }
        }
        self.cut_off(solution, changes).map_or(Solved::Not, |left| self.inject(solution, left))
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

    /// Works out the injected currents of these changes; not if they cut
    /// something off.
    fn inject(&mut self, solution: &Solution, mut changes: Vec<Change>) -> Solved {
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
        if solved == Solved::Not {
            return solved;
        }
        self.terms = changes
            .iter()
            .enumerate()
            .map(|(row, change)| {
                let drawn: f64 = (0..size).map(|column| right[row * size + column] * across[column]).sum();
                Term { from: change.from, to: change.to, injected: -change.offset - drawn, across: None }
            })
            .collect();
        self.coupling = right;
        solved
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
    fn next(&self, solution: &Solution, history: History) -> Next {
        let volts = self.level(0.0);
        let across = |branch: usize| {
            let Branch { from, to, .. } = solution.network.branches[branch];
            volts[from] - volts[to]
        };
        let felt = |branch: usize| self.law(branch).felt(across(branch));
        let after = |branch: usize, before: Regime| self.law(branch).regime(across(branch), before, felt);
        let [asked, fuses] = self.asked(solution, &volts);
        let moved = |waiting: bool| -> Vec<(usize, Regime)> {
            let laws = asked.iter().filter(|&&branch| self.law(branch).waits() == waiting);
            let regimes = laws.map(|&branch| (branch, after(branch, self.regime(branch))));
            regimes.filter(|&(branch, regime)| regime != self.regime(branch)).collect()
        };
        let mut moves = moved(false);
        if moves.is_empty() {
            let mut relays = asked.iter().filter(|&&branch| self.law(branch).waits());
            let hangs =
                |&branch: &usize| after(branch, self.law(branch).at_rest()) != after(branch, self.regime(branch));
            if history == History::AsItStands && relays.any(hangs) {
                return Next::HangsOnHistory;
            }
            moves = moved(true);
        }
        if moves.is_empty() {
            let overload = |branch: usize| match self.law(branch) {
                Law::Fuse { opens_at, .. } => {
                    let line = self.line(branch);
                    (line.conductance * across(branch) + line.offset).abs() / opens_at.0
                }
                _ => 0.0,
            };
            moves.extend(worst(&fuses, overload).map(|fuse| (fuse, Regime::Off)));
        }
        if moves.is_empty() {
            return Next::Settled;
        }
        let kept = self.overrides.iter().filter(|(branch, _)| moves.iter().all(|(moved, _)| moved != branch));
        let differing = moves.iter().filter(|&&(branch, regime)| regime != solution.regimes[branch]);
        Next::Assume(kept.chain(differing).copied().collect())
    }

    /// The laws with pieces, and the fuses, that may have to leave theirs at these
    /// voltages: those whose room does not hold or that are not as they were.
    fn asked(&self, solution: &Solution, volts: &[f64]) -> [Vec<usize>; 2] {
        let Some(rooms) = solution.rooms() else { return [solution.piecewise.clone(), solution.fuses.clone()] };
        let is_replaced = |branch: usize| self.alteration.replaced.iter().any(|(replaced, _)| *replaced == branch);
        let is_left = |room: &&Room| {
            let across = volts[room.from] - volts[room.to];
            !(room.least..=room.most).contains(&across) || is_replaced(room.branch)
        };
        let replaced = self.alteration.replaced.iter().map(|(branch, _)| *branch);
        let overridden = self.overrides.iter().map(|(branch, _)| *branch);
        let left = rooms.iter().filter(is_left).map(|room| room.law);
        let mut asked: Vec<usize> = left.chain(replaced).chain(overridden).collect();
        asked.sort_unstable();
        asked.dedup();
        let among = |all: &[usize]| asked.iter().copied().filter(|law| all.binary_search(law).is_ok()).collect();
        [among(&solution.piecewise), among(&solution.fuses)]
    }
}
