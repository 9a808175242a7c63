//! The solve of a state: laws settled, matrix factored, islands known.

use super::bridges::Bridges;
use super::factor::{Factor, Pattern};
use super::law::{Law, Linear, Network, Regime};
use super::pushes::{Push, Pushes};
use super::room::{Reach, Room};
use super::{Between, SolveError};
use crate::quantity::{Amps, Ohms, Volts};
use rustc_hash::FxHashMap;
use std::borrow::Cow;
use std::cell::{OnceCell, RefCell};
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
    /// At every point, and last at ground.
    pub(super) voltages: Rc<[f64]>,
    pub(super) bridges: Bridges,
    pub(super) piecewise: Vec<usize>,
    pub(super) fuses: Vec<usize>,
    factor: Factor,
    pattern: Rc<Pattern>,
    settling: Settling,
    pub(super) asked: Asked,
}

/// What was worked out of a solution when it was first asked for.
#[derive(Default)]
pub(super) struct Asked {
    pushes: Pushes,
    /// Resistance between the ends of each branch, Ω.
    across: OnceCell<Box<[f64]>>,
    /// Points that nothing joins to the reference.
    afloat: OnceCell<Vec<usize>>,
    /// The same network before any relay has moved or fuse opened, if it settles.
    resting: OnceCell<Option<Rc<Solution>>>,
    pub rooms: OnceCell<Box<[Room]>>,
    pub reaches: RefCell<FxHashMap<Ends, Reach>>,
}

/// Two points, and the branch between them whose law is replaced, if one is.
type Ends = (usize, usize, Option<usize>);

/// Solves a network, settling laws that have pieces.
///
/// # Errors
/// [`SolveError`] if the matrix cannot be factored or a voltage is no number.
pub fn solve(network: Network) -> Result<Solution, SolveError> {
    let pattern = Rc::new(Pattern::of(network.points, &network.branches));
    settle(network, pattern, Moving::All)
}

/// The same, in the order of elimination of one that was solved before, where
/// that has the same branches.
///
/// # Errors
/// As [`solve`].
pub fn solve_like(known: Option<&Solution>, network: Network) -> Result<Solution, SolveError> {
    match known.filter(|known| known.pattern.fits(network.points, &network.branches)) {
        Some(known) => settle(network, Rc::clone(&known.pattern), Moving::All),
        None => solve(network),
    }
}

/// Which laws may leave the piece that they start on.
#[derive(Clone, Copy, PartialEq)]
enum Moving {
    All,
    /// Those that do not wait for others: relays stay at rest, fuses whole.
    Prompt,
}

/// Settles the laws of a network, everything at rest at first.
fn settle(network: Network, pattern: Rc<Pattern>, moving: Moving) -> Result<Solution, SolveError> {
    let mut regimes: Vec<Regime> = network.branches.iter().map(|branch| branch.law.at_rest()).collect();
    let piecewise = indices(&network, |law| law.is_piecewise() && (moving == Moving::All || !law.waits()));
    let fuses = indices(&network, |law| moving == Moving::All && matches!(law, Law::Fuse { .. }));
    let mut rounds = 0;
    let mut assumed = vec![regimes.clone()];
    let mut paths = Paths::default();
    let mut tangents = lines(&network, &regimes, Law::linear);
    loop {
        let (factor, flat) = factor_of(&network, &regimes, &tangents, &pattern, &mut paths)?;
        let voltages = voltages(&network, flat.as_ref().unwrap_or(&tangents), &factor, &pattern)?;
        let next = next_regimes(&network, &regimes, &piecewise, &voltages)
            .or_else(|| blown(&network, &regimes, &fuses, &voltages));
        rounds += 1;
        let before = regimes.clone();
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
                    bridges: paths.found(&network),
                    network,
                    regimes,
                    lines: flat.unwrap_or(tangents),
                    voltages,
                    piecewise,
                    fuses,
                    factor,
                    pattern,
                    settling: if unsettled.is_none() { Settling::Settled } else { Settling::Restless },
                    asked: Asked::default(),
                });
            }
        }
        for &index in piecewise.iter().chain(&fuses).filter(|&&index| regimes[index] != before[index]) {
            tangents[index] = network.branches[index].law.linear(regimes[index]);
        }
    }
}

fn lines(network: &Network, regimes: &[Regime], line: fn(&Law, Regime) -> Linear) -> Vec<Linear> {
    network.branches.iter().zip(regimes).map(|(branch, &regime)| line(&branch.law, regime)).collect()
}

fn indices(network: &Network, wanted: impl Fn(&Law) -> bool) -> Vec<usize> {
    (0..network.branches.len()).filter(|&index| wanted(&network.branches[index].law)).collect()
}

/// Islands and bridges of what conducts: the same from round to round unless
/// something opens or closes.
#[derive(Default)]
struct Paths {
    conducts: Vec<bool>,
    bridges: Option<Bridges>,
}

impl Paths {
    fn find(&mut self, network: &Network, lines: &[Linear]) -> &Bridges {
        let conducts = |line: &Linear| line.conductance != 0.0;
        if !lines.iter().map(conducts).eq(self.conducts.iter().copied()) {
            self.conducts = lines.iter().map(conducts).collect();
            self.bridges = None;
        }
        self.bridges.get_or_insert_with(|| bridges(network, &self.conducts))
    }

    fn found(self, network: &Network) -> Bridges {
        self.bridges.unwrap_or_else(|| bridges(network, &self.conducts))
    }
}

fn bridges(network: &Network, conducts: &[bool]) -> Bridges {
    let branches = network.branches.iter().enumerate().filter(|&(index, _)| conducts[index]);
    let conducting: Vec<_> = branches.map(|(index, branch)| (index, branch.from, branch.to)).collect();
    Bridges::find(network.points, network.branches.len(), &conducting, network.reference)
}

/// Of tangents where they leave the matrix definite; of lines that do not fall,
/// which are given too, where they do not.
fn factor_of(
    network: &Network,
    regimes: &[Regime],
    tangents: &[Linear],
    pattern: &Pattern,
    paths: &mut Paths,
) -> Result<(Factor, Option<Vec<Linear>>), SolveError> {
    let falls = tangents.iter().any(|line| line.conductance < 0.0);
    match factored(network, tangents, pattern, paths) {
        Err(SolveError::Factor) if falls => {
            let flat = lines(network, regimes, Law::flat);
            Ok((factored(network, &flat, pattern, paths)?, Some(flat)))
        }
        done => Ok((done?, None)),
    }
}

fn factored(network: &Network, lines: &[Linear], pattern: &Pattern, paths: &mut Paths) -> Result<Factor, SolveError> {
    let tie = |&root: &usize| (root, if root == network.reference { REFERENCE_TIE } else { TIE });
    let ties = paths.find(network, lines).roots().iter().map(tie);
    Factor::new(pattern, lines.iter().map(|line| line.conductance), ties)
}

fn voltages(network: &Network, lines: &[Linear], factor: &Factor, pattern: &Pattern) -> Result<Rc<[f64]>, SolveError> {
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

    /// The same network before any relay has moved or fuse opened, if it settles.
    pub(super) fn resting(&self) -> Option<&Rc<Self>> {
        let settled = || {
            let resting = settle(self.network.clone(), Rc::clone(&self.pattern), Moving::Prompt).ok();
            resting.filter(|resting| resting.settling == Settling::Settled).map(Rc::new)
        };
        self.asked.resting.get_or_init(settled).as_ref()
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
        let mut paths = Paths::default();
        let tangents = lines(&self.network, &regimes, Law::linear);
        let (factor, flat) = factor_of(&self.network, &regimes, &tangents, &self.pattern, &mut paths)?;
        let lines = flat.unwrap_or(tangents);
        let voltages = voltages(&self.network, &lines, &factor, &self.pattern)?;
        Ok(Self {
            network: self.network.clone(),
            regimes,
            lines,
            voltages,
            bridges: paths.found(&self.network),
            piecewise: self.piecewise.clone(),
            fuses: self.fuses.clone(),
            factor,
            pattern: Rc::clone(&self.pattern),
            settling: Settling::Restless,
            asked: Asked::default(),
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

    /// The points that no path joins to another one.
    pub(super) fn afloat(&self, from: usize) -> Cow<'_, [usize]> {
        let others =
            |home: usize| (0..self.network.points).filter(|&point| self.bridges.island(point) != home).collect();
        match self.bridges.island(from) {
            0 => Cow::Borrowed(self.asked.afloat.get_or_init(|| others(0))),
            home => Cow::Owned(others(home)),
        }
    }

    /// Voltages at every point, and last at ground, for one ampere injected at
    /// `point`, Ω.
    pub fn column(&self, point: usize) -> Push {
        let ground = self.network.points;
        self.asked.pushes.at_point(ground + 1, point, || self.factor.pushed(&self.pattern, point, ground))
    }

    /// The same for one ampere injected at a point and drawn at another.
    pub(super) fn pushed(&self, from: usize, to: usize) -> Push {
        self.asked.pushes.between(from, to, || self.factor.pushed(&self.pattern, from, to))
    }

    /// Resistance between the ends of a branch, with itself in place, Ω.
    pub(super) fn resistance_across(&self, branch: usize) -> f64 {
        let all = || self.factor.across_branches(&self.pattern).into_boxed_slice();
        self.asked.across.get_or_init(all)[branch]
    }
}
