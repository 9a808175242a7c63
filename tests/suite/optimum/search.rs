//! Dynamic programming over sets of explanations (AO* with a memo): the least
//! mean cost to settle them.

use super::bounds::entropy;
use super::choice::{Choice, Mask, members};
use halfsplit::vehicle::PlaceId;
use rustc_hash::{FxHashMap, FxHashSet};

/// Numerical: positions looked at before the search is given up; a bound of time
/// and memory.
const MOST_POSITIONS: usize = 1_000_000;

/// ShareSums of explanations, summed by the byte.
pub struct ShareSums {
    bytes: Vec<[f64; 256]>,
}

impl ShareSums {
    /// Of explanations in order.
    pub fn new(shares: &[f64]) -> Self {
        let of_byte = |chunk: &[f64]| {
            let mut sums = [0.0; 256];
            for (byte, sum) in sums.iter_mut().enumerate().take(1 << chunk.len()) {
                *sum = members(byte as Mask).map(|bit| chunk[bit]).sum();
            }
            sums
        };
        Self { bytes: shares.chunks(8).map(of_byte).collect() }
    }

    /// What those in a mask have together.
    pub fn of(&self, mask: Mask) -> f64 {
        self.bytes.iter().zip(mask.to_le_bytes()).map(|(sums, byte)| sums[usize::from(byte)]).sum()
    }
}

/// What the search makes small.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Goal {
    Tests,
    Minutes,
}

/// What is still possible, and which places are open, a bit each.
type SearchNode = (Mask, u64);

/// The search for the least mean cost.
pub struct OptimalSearch<'a> {
    choices: &'a [Choice],
    shares: &'a ShareSums,
    /// Explanations of each place.
    places: &'a [Mask],
    /// Explanations that some test tells from each.
    apart: &'a [Mask],
    goal: Goal,
    /// Belief in one place that ends the search.
    enough: f64,
    /// Bit of each place that each choice opens, and what that takes.
    opens: Vec<Vec<(u64, f64)>>,
    /// Least cost from a position times how likely it is, and what to do there.
    known: FxHashMap<SearchNode, (f64, Option<usize>)>,
    settled: FxHashMap<Mask, bool>,
}

impl<'a> OptimalSearch<'a> {
    pub fn new(
        choices: &'a [Choice],
        shares: &'a ShareSums,
        places: &'a [Mask],
        apart: &'a [Mask],
        goal: Goal,
        enough: f64,
    ) -> Self {
        let mut closed: Vec<PlaceId> =
            choices.iter().flat_map(|choice| choice.opens.iter().map(|open| open.0)).collect();
        closed.sort_unstable();
        closed.dedup();
        // What has no bit counts as open.
        closed.truncate(64);
        let bit = |place: &PlaceId| closed.binary_search(place).map_or(0, |bit| 1 << bit);
        let opens = |choice: &Choice| choice.opens.iter().map(|(place, more)| (bit(place), *more)).collect();
        let opens = choices.iter().map(opens).collect();
        let (known, settled) = (FxHashMap::default(), FxHashMap::default());
        Self { choices, shares, places, apart, goal, enough, opens, known, settled }
    }

    /// The least mean cost of all; none where the search was given up.
    pub fn cost(&mut self, all: Mask) -> Option<f64> {
        let every: Vec<usize> = (0..self.choices.len()).collect();
        self.best((all, 0), &every)
    }

    /// What the best way costs where this explanation is true, and its tests, once
    /// [`Self::cost`] is known.
    pub fn way_to(&self, all: Mask, truth: usize) -> (f64, f64) {
        let (mut mask, mut opened) = (all, 0);
        let (mut cost, mut tests) = (0.0, 0.0);
        while let Some(&(_, Some(choice))) = self.known.get(&(mask, opened)) {
            cost += self.price(choice, opened);
            tests += 1.0;
            opened = self.opened_by(choice, opened);
            let group = self.choices[choice].groups.iter().find(|group| *group & (1 << truth) != 0);
            mask &= group.copied().unwrap_or(0);
        }
        (cost, tests)
    }

    fn is_settled(&mut self, mask: Mask) -> bool {
        if let Some(&known) = self.settled.get(&mask) {
            return known;
        }
        let enough = self.enough * self.shares.of(mask);
        let place = |place: &Mask| self.shares.of(mask & place) >= enough;
        let elsewhere = |index: usize| {
            let own = self.places.iter().find(|place| *place & (1 << index) != 0).copied().unwrap_or(0);
            mask & !own & self.apart[index]
        };
        let settled = self.places.iter().any(place) || members(mask).all(|index| elsewhere(index) == 0);
        self.settled.insert(mask, settled);
        settled
    }

    fn price(&self, choice: usize, opened: u64) -> f64 {
        match self.goal {
            Goal::Tests => 1.0,
            Goal::Minutes => {
                let still_closed = self.opens[choice].iter().filter(|(bit, _)| bit & !opened != 0);
                self.choices[choice].minutes + still_closed.map(|(_, more)| more).sum::<f64>()
            }
        }
    }

    /// The places open after a test; they do not matter where tests are counted.
    fn opened_by(&self, choice: usize, opened: u64) -> u64 {
        match self.goal {
            Goal::Tests => 0,
            Goal::Minutes => self.opens[choice].iter().fold(opened, |opened, (bit, _)| opened | bit),
        }
    }

    /// Of these choices, those that part a mask, of several that part it alike
    /// and open the same the cheapest; with the parts and the price.
    fn parting(&self, (mask, opened): SearchNode, choices: &[usize]) -> Vec<(usize, Vec<Mask>, f64)> {
        let mut seen = FxHashSet::default();
        let mut parting = Vec::new();
        // Choices come by their minutes, so the first of several is the cheapest.
        for &choice in choices {
            let of = &self.choices[choice];
            if of.groups.iter().any(|group| mask & group == mask) {
                continue;
            }
            let mut parts: Vec<Mask> = of.groups.iter().map(|group| mask & group).filter(|part| *part != 0).collect();
            parts.sort_unstable();
            if seen.insert((parts.clone(), self.opened_by(choice, opened))) {
                parting.push((choice, parts, self.price(choice, opened)));
            }
        }
        parting
    }

    /// Least cost from here times how likely it is to be here; the choices are
    /// those that part what was possible before.
    fn best(&mut self, here: SearchNode, choices: &[usize]) -> Option<f64> {
        let (mask, opened) = here;
        if self.is_settled(mask) {
            return Some(0.0);
        }
        if let Some(&(known, _)) = self.known.get(&here) {
            return Some(known);
        }
        if self.known.len() >= MOST_POSITIONS {
            return None;
        }
        let total = self.shares.of(mask);
        let parting = self.parting(here, choices);
        let usable: Vec<usize> = parting.iter().map(|(choice, ..)| *choice).collect();
        let cheapest = usable.iter().map(|&choice| self.price(choice, !0)).fold(f64::INFINITY, f64::min);
        let mut order: Vec<(f64, usize)> = Vec::new();
        for (at, (_, parts, price)) in parting.iter().enumerate() {
            let shares: Vec<f64> = parts.iter().map(|part| self.shares.of(*part) / total).collect();
            order.push((entropy(&shares) / price, at));
        }
        order.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        // Each position that is not settled takes one more test at least.
        let shares = self.shares;
        let floor = |part: Mask| shares.of(part) * cheapest;
        let (mut best, mut chosen) = (f64::INFINITY, None);
        for (_, at) in order {
            let (choice, parts, price) = &parting[at];
            let rest: Vec<Mask> = parts.iter().copied().filter(|&part| !self.is_settled(part)).collect();
            let mut cost = total * price + rest.iter().map(|&part| floor(part)).sum::<f64>();
            let then = self.opened_by(*choice, opened);
            for part in rest {
                if cost >= best {
                    break;
                }
                cost += self.best((part, then), &usable)? - floor(part);
            }
            if cost < best {
                (best, chosen) = (cost, Some(*choice));
            }
        }
        // What no single test splits is as settled as it can be.
        let best = if best.is_finite() { best } else { 0.0 };
        self.known.insert(here, (best, chosen));
        Some(best)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn choice(groups: &[Mask], minutes: f64, opens: &[(usize, f64)]) -> Choice {
        let opens = opens.iter().map(|&(place, more)| (PlaceId::new(place), more)).collect();
        Choice { groups: groups.to_vec(), minutes, opens }
    }

    /// Four places as likely, told apart two and two. By hand: in the place that
    /// is open a test of 1 min halves them and another halves each half; behind
    /// the cover, 5 min more, one test tells all.
    #[test]
    fn fewest_tests_and_fewest_minutes_are_different_ways() {
        let choices = [
            choice(&[0b0011, 0b1100], 1.0, &[]),
            choice(&[0b0101, 0b1010], 1.0, &[]),
            choice(&[0b0001, 0b0010, 0b0100, 0b1000], 1.0, &[(0, 5.0)]),
        ];
        let (shares, places, apart) = (ShareSums::new(&[0.25; 4]), [0b0001, 0b0010, 0b0100, 0b1000], [0b1111; 4]);
        let search = |goal| OptimalSearch::new(&choices, &shares, &places, &apart, goal, 0.95);
        let (mut tests, mut minutes) = (search(Goal::Tests), search(Goal::Minutes));
        assert_eq!((tests.cost(0b1111), minutes.cost(0b1111)), (Some(1.0), Some(2.0)));
        assert_eq!((tests.way_to(0b1111, 2), minutes.way_to(0b1111, 2)), ((1.0, 1.0), (2.0, 2.0)));
    }
}
