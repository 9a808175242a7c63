//! The solve of a state: laws settled, matrix factored, islands known.

use super::bridges::Bridges;
use super::factor::{Factor, Pattern};
use super::law::{Branch, Law, Linear, Network, Regime};
use super::{Between, SolveError};
use crate::quantity::{Amps, Ohms, Volts};
use std::cell::OnceCell;
use std::rc::Rc;

/// Conductance that ties the first point of a floating island to ground, S. It
/// sets the island's level and carries nothing: strong enough that the island's
/// own milliohms do not drown in it, weak enough that it can be taken away again
/// where a change joins the island to another.
pub(super) const TIE: f64 = 1e-3;

/// Conductance that ties the reference to ground, S. No current can leave there;
/// a strong tie keeps the columns no larger than the resistances in them.
const REFERENCE_TIE: f64 = 1e4;

/// Share by which overloads must differ to tell which fuse opens first.
const ALIKE: f64 = 1e-6;

/// Most rounds of settling before a circuit counts as restless.
pub(super) const MOST_ROUNDS: usize = 40;

/// Whether the laws agree with the voltages.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Settling {
    /// They do.
    Settled,
    /// They chase each other: a relay that drops itself out, a source that
    /// switches off what it needs.
    Restless,
}

/// A solved network.
pub struct Solution {
    pub(super) network: Network,
    pub(super) regimes: Vec<Regime>,
    lines: Vec<Linear>,
    pub(super) voltages: Vec<f64>,
    pub(super) bridges: Bridges,
    pub(super) piecewise: Vec<usize>,
    pub(super) fuses: Vec<usize>,
    factor: Factor,
    pattern: Rc<Pattern>,
    columns: OnceCell<Columns>,
    /// Resistance between the ends of each branch, Ω.
    across: OnceCell<Box<[f64]>>,
    settling: Settling,
}

/// Voltages at every point, and ground, for an ampere into each point asked for.
type Columns = Box<[OnceCell<Box<[f64]>>]>;

/// Solves a network, settling laws that have pieces.
///
/// # Errors
/// [`SolveError`] if the matrix cannot be factored or a voltage is no number.
pub fn solve(network: Network) -> Result<Solution, SolveError> {
    let pattern = Rc::new(Pattern::of(network.points, &network.branches));
    settle(network, pattern)
}

/// The same, in the order of elimination of one that was solved before, where
/// that has the same branches.
///
/// # Errors
/// As [`solve`].
pub fn solve_like(known: Option<&Solution>, network: Network) -> Result<Solution, SolveError> {
    match known.filter(|known| known.pattern.fits(network.points, &network.branches)) {
        Some(known) => settle(network, Rc::clone(&known.pattern)),
        None => solve(network),
    }
}

/// Settles the laws of a network, everything at rest at first.
fn settle(network: Network, pattern: Rc<Pattern>) -> Result<Solution, SolveError> {
    let mut regimes: Vec<Regime> = network.branches.iter().map(|branch| branch.law.at_rest()).collect();
    let piecewise = indices(&network, Law::is_piecewise);
    let fuses = indices(&network, |law| matches!(law, Law::Fuse { .. }));
    let mut rounds = 0;
    let mut assumed = vec![regimes.clone()];
    let mut paths = Paths::none(&network);
    loop {
        let Factored { lines, factor } = factor_of(&network, &regimes, &pattern, &mut paths)?;
        let voltages = voltages(&network, &lines, &factor, &pattern)?;
        let next = next_regimes(&network, &regimes, &piecewise, &voltages)
            .or_else(|| blown(&network, &regimes, &fuses, &voltages));
        rounds += 1;
        match next {
            Some(next) if rounds < MOST_ROUNDS => {
                // What comes round again buzzes: on to where it would be after
                // the most rounds.
                if let Some(first) = assumed.iter().position(|then| *then == next) {
                    let last = first + (MOST_ROUNDS - 1 - first) % (rounds - first);
                    regimes = assumed.swap_remove(last);
                    rounds = MOST_ROUNDS - 1;
                    assumed.clear();
                } else {
                    assumed.push(next.clone());
                    regimes = next;
                }
            }
            unsettled => {
                return Ok(Solution {
                    network,
                    regimes,
                    lines,
                    voltages,
                    bridges: paths.bridges,
                    piecewise,
                    fuses,
                    factor,
                    pattern,
                    columns: OnceCell::new(),
                    across: OnceCell::new(),
                    settling: if unsettled.is_none() { Settling::Settled } else { Settling::Restless },
                });
            }
        }
    }
}

fn indices(network: &Network, wanted: impl Fn(&Law) -> bool) -> Vec<usize> {
    (0..network.branches.len()).filter(|&index| wanted(&network.branches[index].law)).collect()
}

/// What stands for the branches in a round of settling.
struct Factored {
    lines: Vec<Linear>,
    factor: Factor,
}

/// What conducts, and islands and bridges of it: the same from round to round
/// unless something opens or closes.
struct Paths {
    conducting: Vec<(usize, usize, usize)>,
    bridges: Bridges,
}

impl Paths {
    fn none(network: &Network) -> Self {
        let bridges = Bridges::find(network.points, network.branches.len(), &[], network.reference);
        Self { conducting: Vec::new(), bridges }
    }

    fn find(&mut self, network: &Network, lines: &[Linear]) -> &Bridges {
        let branches = network.branches.iter().enumerate().filter(|&(index, _)| lines[index].conductance != 0.0);
        let conducting: Vec<_> = branches.map(|(index, branch)| (index, branch.from, branch.to)).collect();
        if conducting != self.conducting {
            self.bridges = Bridges::find(network.points, network.branches.len(), &conducting, network.reference);
            self.conducting = conducting;
        }
        &self.bridges
    }
}

/// Tangents where they leave the matrix definite, lines that do not fall
/// where they do not.
fn factor_of(
    network: &Network,
    regimes: &[Regime],
    pattern: &Pattern,
    paths: &mut Paths,
) -> Result<Factored, SolveError> {
    let lines = |line: fn(&Law, Regime) -> Linear| -> Vec<Linear> {
        network.branches.iter().zip(regimes).map(|(branch, &regime)| line(&branch.law, regime)).collect()
    };
    let tangents = lines(Law::linear);
    let falls = tangents.iter().any(|line| line.conductance < 0.0);
    match factored(network, tangents, pattern, paths) {
        Err(SolveError::Factor) if falls => factored(network, lines(Law::flat), pattern, paths),
        done => done,
    }
}

fn factored(
    network: &Network,
    lines: Vec<Linear>,
    pattern: &Pattern,
    paths: &mut Paths,
) -> Result<Factored, SolveError> {
    let tie = |&root: &usize| (root, if root == network.reference { REFERENCE_TIE } else { TIE });
    let ties = paths.find(network, &lines).roots().iter().map(tie);
    let factor = Factor::new(pattern, lines.iter().map(|line| line.conductance), ties)?;
    Ok(Factored { lines, factor })
}

fn voltages(network: &Network, lines: &[Linear], factor: &Factor, pattern: &Pattern) -> Result<Vec<f64>, SolveError> {
    let mut injected = vec![0.0; network.points];
    for (branch, line) in network.branches.iter().zip(lines) {
        injected[branch.from] -= line.offset;
        injected[branch.to] += line.offset;
    }
    let voltages = factor.solve(pattern, &injected);
    match voltages.iter().position(|volts| !volts.is_finite()) {
        Some(point) => Err(SolveError::NotFinite { point }),
        None => Ok(voltages),
    }
}

fn next_regimes(network: &Network, regimes: &[Regime], piecewise: &[usize], voltages: &[f64]) -> Option<Vec<Regime>> {
    let across = |branch: usize| voltages[network.branches[branch].from] - voltages[network.branches[branch].to];
    let felt = |branch: usize| network.branches[branch].law.felt(across(branch));
    let moved = |waiting: bool| {
        let mut next = regimes.to_vec();
        for &index in piecewise.iter().filter(|&&index| network.branches[index].law.waits() == waiting) {
            next[index] = network.branches[index].law.regime(across(index), regimes[index], felt);
        }
        (next != regimes).then_some(next)
    };
    moved(false).or_else(|| moved(true))
}

/// The regimes after the most overloaded fuse has opened, if one is.
fn blown(network: &Network, regimes: &[Regime], fuses: &[usize], voltages: &[f64]) -> Option<Vec<Regime>> {
    let overload = |index: usize| {
        let branch = &network.branches[index];
        let Law::Fuse { conductance, opens_at } = branch.law else { return 0.0 };
        if regimes[index] == Regime::Off {
            0.0
        } else {
            conductance.0 * (voltages[branch.from] - voltages[branch.to]).abs() / opens_at.0
        }
    };
    worst(fuses, overload).map(|fuse| {
        let mut next = regimes.to_vec();
        next[fuse] = Regime::Off;
        next
    })
}

/// The most overloaded fuse, if one is overloaded. Of fuses in series, which
/// are so alike, the first: rounding must not choose.
pub(super) fn worst(fuses: &[usize], overload: impl Fn(usize) -> f64) -> Option<usize> {
    let most = fuses.iter().map(|&fuse| overload(fuse)).fold(0.0, f64::max);
    fuses.iter().copied().find(|&fuse| most > 1.0 && overload(fuse) >= most * (1.0 - ALIKE))
}

impl Solution {
    /// Another network, of the same branches or others, solved from rest.
    ///
    /// # Errors
    /// As [`solve`].
    pub(super) fn solve_another(&self, network: Network) -> Result<Self, SolveError> {
        solve_like(Some(self), network)
    }

    /// The same network with another law on one branch, solved from rest.
    ///
    /// # Errors
    /// As [`solve`].
    pub fn with_law(&self, branch: usize, law: Law) -> Result<Self, SolveError> {
        let mut network = self.network.clone();
        network.branches[branch].law = law;
        self.solve_another(network)
    }

    /// The same network with branches held on a piece of their law and all
    /// others left on theirs, whatever the voltages then are: where to count
    /// from when something else is known to take them there.
    ///
    /// # Errors
    /// As [`solve`].
    pub fn held(&self, branches: &[(usize, Regime)]) -> Result<Self, SolveError> {
        let mut regimes = self.regimes.clone();
        branches.iter().for_each(|&(branch, regime)| regimes[branch] = regime);
        let mut paths = Paths::none(&self.network);
        let Factored { lines, factor } = factor_of(&self.network, &regimes, &self.pattern, &mut paths)?;
        let voltages = voltages(&self.network, &lines, &factor, &self.pattern)?;
        Ok(Self {
            network: self.network.clone(),
            regimes,
            lines,
            voltages,
            bridges: paths.bridges,
            piecewise: self.piecewise.clone(),
            fuses: self.fuses.clone(),
            factor,
            pattern: Rc::clone(&self.pattern),
            columns: OnceCell::new(),
            across: OnceCell::new(),
            settling: Settling::Restless,
        })
    }

    /// The network that was solved.
    pub fn network(&self) -> &Network {
        &self.network
    }

    /// Whether the laws agree with the voltages.
    pub fn settling(&self) -> Settling {
        self.settling
    }

    /// Which piece of its law a branch is on.
    pub fn regime(&self, branch: usize) -> Regime {
        self.regimes[branch]
    }

    /// Whether the fuse on a branch has opened.
    pub fn is_blown(&self, branch: usize) -> bool {
        matches!(self.network.branches[branch].law, Law::Fuse { .. }) && self.regimes[branch] == Regime::Off
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
        let line = self.line(branch);
        Amps(line.conductance * self.across(branch).0 + line.offset)
    }

    /// Whether a branch has less resistance than this, as it stands.
    pub fn conducts_better_than(&self, branch: usize, ohms: Ohms) -> bool {
        self.line(branch).conductance > 1.0 / ohms.0
    }

    pub(super) fn line(&self, branch: usize) -> Linear {
        self.lines[branch]
    }

    /// How far the voltage between two points would move if a branch were opened
    /// and no law changed its piece: a cheap first look at what can matter.
    pub fn shift_by_opening(&self, branch: usize, red: usize, black: usize) -> Volts {
        let Branch { from, to, .. } = self.network.branches[branch];
        let (up, down) = (self.column(red), self.column(black));
        let transfer = (up[from] - down[from]) - (up[to] - down[to]);
        Volts(self.pushed_by_opening(branch) * transfer).abs()
    }

    /// Which of many branches, each opened alone, would move any of those that
    /// are watched further than its `least`.
    pub fn movers(&self, opened: &[usize], watched: &[(usize, Volts)]) -> Vec<bool> {
        let pushed: Vec<f64> = opened.iter().map(|&branch| self.pushed_by_opening(branch).abs()).collect();
        let mut moves = vec![false; opened.len()];
        let mut look = |opens: usize, (_, least): (usize, Volts), ohms: f64| {
            moves[opens] |= pushed[opens] * ohms.abs() > least.0;
        };
        // An ampere across one moves the other as much as the other way round.
        if opened.len() < watched.len() {
            for (opens, &branch) in opened.iter().enumerate() {
                let volts = self.ampere_across(branch);
                watched.iter().for_each(|&seen| look(opens, seen, self.across_in(&volts, seen.0)));
            }
        } else {
            for &seen in watched {
                let volts = self.ampere_across(seen.0);
                (0..opened.len()).for_each(|opens| look(opens, seen, self.across_in(&volts, opened[opens])));
            }
        }
        moves
    }

    /// Voltages at every point for an ampere fed in at the ends of a branch.
    fn ampere_across(&self, branch: usize) -> Vec<f64> {
        let Branch { from, to, .. } = self.network.branches[branch];
        let mut injected = vec![0.0; self.network.points];
        injected[from] += 1.0;
        injected[to] -= 1.0;
        self.factor.solve(&self.pattern, &injected)
    }

    fn across_in(&self, volts: &[f64], branch: usize) -> f64 {
        let Branch { from, to, .. } = self.network.branches[branch];
        volts[from] - volts[to]
    }

    /// Current across the ends of a branch that opening it amounts to, A.
    fn pushed_by_opening(&self, branch: usize) -> f64 {
        let left = (1.0 - self.line(branch).conductance * self.resistance_across(branch)).max(1e-9);
        self.current(branch).0 / left
    }

    /// Resistance between the ends of a branch, with itself in place, Ω.
    fn resistance_across(&self, branch: usize) -> f64 {
        let all = || self.factor.across_branches(&self.pattern).into_boxed_slice();
        self.across.get_or_init(all)[branch]
    }

    /// Voltages at every point, and last at ground, for one ampere injected at
    /// `point`, Ω.
    pub fn column(&self, point: usize) -> &[f64] {
        let columns = self.columns.get_or_init(|| vec![OnceCell::new(); self.network.points + 1].into_boxed_slice());
        columns[point].get_or_init(|| match point == self.network.points {
            true => vec![0.0; point + 1].into_boxed_slice(),
            false => self.factor.column(&self.pattern, point).into_boxed_slice(),
        })
    }
}
