//! Solving a state: nodal analysis of piecewise-linear laws by Newton's method.
//!
//! Each branch has its companion model i = g·u + i₀. With A the incidence matrix
//! (points by branches), G = diag(g) and v the voltages of the points, u = Aᵀv and
//!
//!   A·G·Aᵀ·v = −A·i₀
//!
//! is one linear solve. Then each law is asked which region holds at u, and
//! whoever has left its own takes the companion of the new one, until none does:
//! for curves that is Newton's method, for laws of straight pieces a linear
//! complementarity problem solved by active sets (Katzenelson, *An algorithm for
//! solving nonlinear resistor networks*, 1965, without its step control). Relays
//! move together once all else agrees, then the most overloaded fuse opens.
//! Where falling tangents leave the matrix indefinite, lines that do not fall
//! take their place. A state whose regions come round again oscillates.
//!
//! Each island has one shunt to ground, which sets its level and carries nothing.

use super::bridges::Bridges;
use super::companion::Companion;
use super::converters::{MOST_ROUNDS, disagreeing};
use super::error::SolveError;
use super::factor::{Factor, Pattern};
use super::graph::Network;
use super::law::{Law, Region};
use super::solution::{Convergence, Derived, Solution};
use std::rc::Rc;

/// Numerical: conductance that ties the first point of a floating island to
/// ground, S. It sets the island's level and carries nothing: strong enough that
/// the island's own milliohms do not drown in it, weak enough that it can be
/// taken away again where a change joins the island to another.
pub(super) const ISLAND_SHUNT: f64 = 1e-3;

/// Numerical: conductance that ties the reference to ground, S. No current can
/// leave there; a strong tie keeps the columns no larger than the resistances in
/// them.
const REFERENCE_SHUNT: f64 = 1e4;

/// Numerical: share by which overloads must differ to tell which fuse opens
/// first.
const ALIKE: f64 = 1e-6;

/// Numerical: most rounds before a circuit counts as oscillating.
pub(super) const MAX_ROUNDS: usize = 40;

/// Solves a network, every law in the region that holds.
///
/// # Errors
/// [`SolveError`] if the matrix cannot be factored or a voltage is no number.
pub fn solve(network: Network) -> Result<Solution, SolveError> {
    let pattern = Rc::new(Pattern::of(network.points, &network.branches));
    solve_in_order(network, pattern)
}

/// The same in the order of elimination of its branches, which is known.
///
/// # Errors
/// As [`solve`].
pub(super) fn solve_in_order(network: Network, pattern: Rc<Pattern>) -> Result<Solution, SolveError> {
    let mut solution = iterate(network, Rc::clone(&pattern), Switching::All)?;
    for _ in 0..MOST_ROUNDS {
        let inputs = disagreeing(&solution.network.converters, &solution);
        if inputs.is_empty() {
            return Ok(solution);
        }
        let mut network = solution.network;
        inputs.into_iter().for_each(|(input, law)| network.branches[input].law = law);
        solution = iterate(network, Rc::clone(&pattern), Switching::All)?;
    }
    solution.convergence = Convergence::Oscillating;
    Ok(solution)
}

/// Which laws may leave the region that they start in.
#[derive(Clone, Copy, PartialEq)]
enum Switching {
    All,
    /// Those that do not wait for others: relays stay at rest, fuses whole.
    Prompt,
}

/// Finds the regions of the laws of a network, everything at rest at first.
fn iterate(network: Network, pattern: Rc<Pattern>, switching: Switching) -> Result<Solution, SolveError> {
    let mut regions: Vec<Region> = network.branches.iter().map(|branch| branch.law.at_rest()).collect();
    let piecewise = indices(&network, |law| law.is_piecewise() && (switching == Switching::All || !law.waits()));
    let fuses = indices(&network, |law| switching == Switching::All && matches!(law, Law::Fuse { .. }));
    let mut rounds = 0;
    let mut assumed = vec![regions.clone()];
    let mut tangents = companions(&network, &regions, Law::linear);
    loop {
        let (factor, bridges, monotone) = factored(&network, &regions, &tangents, &pattern)?;
        let voltages = voltages(&network, monotone.as_ref().unwrap_or(&tangents), &factor, &pattern)?;
        let next = next_regions(&network, &regions, &piecewise, &voltages)
            .or_else(|| blown(&network, &regions, &fuses, &voltages));
        rounds += 1;
        let before = regions.clone();
        match next {
            Some(next) if rounds < MAX_ROUNDS => {
                // What comes round again buzzes: on to where it would be after
                // the most rounds.
                if let Some(first) = assumed.iter().position(|then| *then == next) {
                    let last = first + (MAX_ROUNDS - 1 - first) % (rounds - first);
                    regions = assumed.swap_remove(last);
                    rounds = MAX_ROUNDS - 1;
                    assumed.clear();
                } else {
                    assumed.push(next.clone());
                    regions = next;
                }
            }
            unsettled => {
                return Ok(Solution {
                    bridges,
                    network,
                    regions,
                    companions: monotone.unwrap_or(tangents),
                    voltages,
                    piecewise,
                    fuses,
                    factor: Rc::new(factor),
                    pattern,
                    convergence: if unsettled.is_none() { Convergence::Converged } else { Convergence::Oscillating },
                    derived: Derived::default(),
                });
            }
        }
        for &index in piecewise.iter().chain(&fuses).filter(|&&index| regions[index] != before[index]) {
            tangents[index] = network.branches[index].law.linear(regions[index]);
        }
    }
}

fn companions(network: &Network, regions: &[Region], companion: fn(&Law, Region) -> Companion) -> Vec<Companion> {
    network.branches.iter().zip(regions).map(|(branch, &region)| companion(&branch.law, region)).collect()
}

fn indices(network: &Network, wanted: impl Fn(&Law) -> bool) -> Vec<usize> {
    (0..network.branches.len()).filter(|&index| wanted(&network.branches[index].law)).collect()
}

/// Factored, with islands and bridges of what conducts: of tangents where they leave
/// the matrix definite; of lines that do not fall, which are given too, where they
/// do not.
fn factored(
    network: &Network,
    regions: &[Region],
    tangents: &[Companion],
    pattern: &Pattern,
) -> Result<(Factor, Bridges, Option<Vec<Companion>>), SolveError> {
    let branches = network.branches.iter().enumerate().filter(|&(index, _)| tangents[index].conductance != 0.0);
    let conducting: Vec<_> = branches.map(|(index, branch)| (index, branch.from, branch.to)).collect();
    let bridges = Bridges::find(network.points, network.branches.len(), &conducting, network.reference);
    let shunt = |&root: &usize| (root, if root == network.reference { REFERENCE_SHUNT } else { ISLAND_SHUNT });
    let factor = |companions: &[Companion]| {
        let conductances = companions.iter().map(|companion| companion.conductance);
        Factor::new(pattern, conductances, bridges.roots().iter().map(shunt))
    };
    let falls = tangents.iter().any(|companion| companion.conductance < 0.0);
    match factor(tangents) {
        Err(SolveError::Factor) if falls => {
            let monotone = companions(network, regions, Law::monotone);
            Ok((factor(&monotone)?, bridges, Some(monotone)))
        }
        done => Ok((done?, bridges, None)),
    }
}

fn voltages(
    network: &Network,
    companions: &[Companion],
    factor: &Factor,
    pattern: &Pattern,
) -> Result<Rc<[f64]>, SolveError> {
    let mut injected = vec![0.0; network.points];
    for (branch, companion) in network.branches.iter().zip(companions) {
        injected[branch.from] -= companion.offset;
        injected[branch.to] += companion.offset;
    }
    let voltages = factor.solve(pattern, &injected);
    match voltages.iter().position(|volts| !volts.is_finite()) {
        Some(point) => Err(SolveError::NotFinite { point }),
        None => Ok(voltages),
    }
}

fn next_regions(network: &Network, regions: &[Region], piecewise: &[usize], voltages: &[f64]) -> Option<Vec<Region>> {
    let across = |branch: usize| voltages[network.branches[branch].from] - voltages[network.branches[branch].to];
    let controlling = |branch: usize| network.branches[branch].law.controlling(across(branch));
    let moved = |waiting: bool| {
        let mut next = regions.to_vec();
        for &index in piecewise.iter().filter(|&&index| network.branches[index].law.waits() == waiting) {
            next[index] = network.branches[index].law.region(across(index), regions[index], controlling);
        }
        (next != regions).then_some(next)
    };
    moved(false).or_else(|| moved(true))
}

/// The regions after the most overloaded fuse has opened, if one is.
fn blown(network: &Network, regions: &[Region], fuses: &[usize], voltages: &[f64]) -> Option<Vec<Region>> {
    let overload = |index: usize| {
        let branch = &network.branches[index];
        let Law::Fuse { conductance, opens_at } = branch.law else { return 0.0 };
        if regions[index] == Region::Off {
            0.0
        } else {
            conductance.0 * (voltages[branch.from] - voltages[branch.to]).abs() / opens_at.0
        }
    };
    worst(fuses, overload).map(|fuse| {
        let mut next = regions.to_vec();
        next[fuse] = Region::Off;
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
    /// Another network, of the same branches or others, solved from rest with its
    /// converters drawing what they do.
    ///
    /// # Errors
    /// As [`solve`].
    pub(super) fn solve_another(&self, network: Network) -> Result<Self, SolveError> {
        let pattern = match self.pattern.fits(network.points, &network.branches) {
            true => Rc::clone(&self.pattern),
            false => Rc::new(Pattern::of(network.points, &network.branches)),
        };
        iterate(network, pattern, Switching::All)
    }

    /// The same network before any relay has moved or fuse opened, if it settles.
    pub(super) fn resting(&self) -> Option<&Rc<Self>> {
        let settled = || {
            let resting = iterate(self.network.clone(), Rc::clone(&self.pattern), Switching::Prompt).ok();
            resting.filter(|resting| resting.convergence == Convergence::Converged).map(Rc::new)
        };
        self.derived.resting.get_or_init(settled).as_ref()
    }

    /// The same network with another law on one branch, solved from rest.
    ///
    /// # Errors
    /// As [`solve`].
    pub fn with_law(&self, branch: usize, law: Law) -> Result<Self, SolveError> {
        let mut network = self.network.clone();
        network.branches[branch].law = law;
        solve_in_order(network, Rc::clone(&self.pattern))
    }

    /// The same network with branches held in a region of their law and all
    /// others left in theirs, whatever the voltages then are: where to count
    /// from when something else is known to take them there.
    ///
    /// # Errors
    /// As [`solve`].
    pub fn held(&self, branches: &[(usize, Region)]) -> Result<Self, SolveError> {
        let mut regions = self.regions.clone();
        branches.iter().for_each(|&(branch, region)| regions[branch] = region);
        let tangents = companions(&self.network, &regions, Law::linear);
        let (factor, bridges, monotone) = factored(&self.network, &regions, &tangents, &self.pattern)?;
        let companions = monotone.unwrap_or(tangents);
        let voltages = voltages(&self.network, &companions, &factor, &self.pattern)?;
        Ok(Self {
            network: self.network.clone(),
            regions,
            companions,
            voltages,
            bridges,
            piecewise: self.piecewise.clone(),
            fuses: self.fuses.clone(),
            factor: Rc::new(factor),
            pattern: Rc::clone(&self.pattern),
            convergence: Convergence::Oscillating,
            derived: Derived::default(),
        })
    }
}
