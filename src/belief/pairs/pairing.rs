//! Prior and likelihood of two faults.

use super::super::candidate::Candidate;
use super::super::shortlist::Shortlist;
use super::super::site::Site;
use super::separable::Separable;
use crate::fault::{Fault, Size, concerns, sizes, ways};
use crate::odds::LogWeight;
use crate::predict::{Hypothesis, Sized};
use crate::tables::belief::Weighing;
use crate::tables::faults::Faults;
use crate::vehicle::PartId;
use std::collections::HashSet;

/// Numerical: a fault that a table of rates leaves out has a logarithm all the same.
const LEAST_RATE: f64 = 1e-12;

/// Makes candidates of two faults.
pub(super) struct Pairing<'s, 'a> {
    pub shortlist: &'s Shortlist<'a>,
    /// Parts that hide each other: what they show together is not what they
    /// show one by one.
    hiding: HashSet<[PartId; 2]>,
}

impl<'s, 'a> Pairing<'s, 'a> {
    pub fn new(shortlist: &'s Shortlist<'a>, hiding: &[[Sized; 2]]) -> Self {
        Self { shortlist, hiding: hiding.iter().map(|[a, b]| [a.0.part, b.0.part]).collect() }
    }

    fn figures(&self) -> &Weighing {
        &self.shortlist.likelihood.engine.tables().belief
    }

    /// A pair that is noticed when its second comes.
    pub fn weighed(&self, first: Sized, second: Sized) -> Candidate {
        let [one, other] = [first.0.part, second.0.part];
        match self.hiding.contains(&[one, other]) || self.hiding.contains(&[other, one]) {
            true => self.whole(self.figures().two_faults, first, second),
            false => self.separable(first, second),
        }
    }

    /// A pair of which each hides the other, so that the first may be there for
    /// years before anybody notices.
    pub fn unnoticed(&self, first: Sized, second: Sized) -> Candidate {
        self.whole(self.figures().two_faults * self.figures().unnoticed, first, second)
    }

    /// A pair of which each shows by itself.
    fn separable(&self, first: Sized, second: Sized) -> Candidate {
        let separable = Separable { shortlist: self.shortlist, first, second };
        let likelihood = &self.shortlist.likelihood;
        let seen = likelihood.evidence.all_observations().map(|seen| separable.seen(seen)).sum();
        let (hypothesis, site) = both(first, second);
        let mut candidate =
            Candidate::new(hypothesis, site, self.prior(self.figures().two_faults, first, second), seen);
        candidate.name(self.shortlist.named(&hypothesis));
        candidate.begin(self.shortlist.onset);
        candidate.showing = separable.showing();
        likelihood.weigh_readings(&mut candidate);
        candidate
    }

    /// A pair by what both show together.
    fn whole(&self, share: f64, first: Sized, second: Sized) -> Candidate {
        let (hypothesis, site) = both(first, second);
        self.shortlist.weighed(hypothesis, site, self.prior(share, first, second))
    }

    fn prior(&self, share: f64, first: Sized, second: Sized) -> LogWeight {
        let rate = |(fault, size): Sized| {
            let rate = self.shortlist.likelihood.engine.rate_of(fault) * size.map_or(1.0, |size| size.share);
            LogWeight::of(rate.max(LEAST_RATE))
        };
        let in_vain = |(fault, _): Sized| self.shortlist.likelihood.in_vain(fault);
        let both = |of: &dyn Fn(Sized) -> LogWeight| of(first) + of(second);
        LogWeight::of(share) + both(&rate) + both(&in_vain) - LogWeight::of(self.shortlist.frequency.faults)
    }

    /// Whether two faults have a part in common.
    pub fn overlap(&self, one: Fault, other: Fault) -> bool {
        let vehicle = self.shortlist.likelihood.engine.vehicle();
        ways(vehicle, one).any(|way| concerns(vehicle, other, way))
    }

    /// The same pair with sizes near by, one of them at a time and both.
    pub fn other_sizes(&self, pair: &Hypothesis) -> Vec<Candidate> {
        let Hypothesis::Double { first, second } = *pair else { return Vec::new() };
        let faults = &self.shortlist.likelihood.engine.tables().faults;
        let (around_first, around_second) = (around(faults, first), around(faults, second));
        let mut all = Vec::new();
        for &a in &around_first {
            for &b in &around_second {
                if (a, b) != (first.1, second.1) {
                    all.push(self.weighed((first.0, a), (second.0, b)));
                }
            }
        }
        all
    }
}

/// Two faults in one order, so that each pair is met once.
pub(super) fn in_order(one: Sized, other: Sized) -> [Sized; 2] {
    if one.0 <= other.0 { [one, other] } else { [other, one] }
}

fn both(first: Sized, second: Sized) -> (Hypothesis, Site) {
    (Hypothesis::Double { first, second }, Site::Both(first.0.part, second.0.part))
}

/// A size and its neighbours on the ladder.
fn around(faults: &Faults, (fault, size): Sized) -> Vec<Option<Size>> {
    let ladder = sizes(faults, fault.mode);
    let at = ladder.iter().position(|other| *other == size).unwrap_or(0);
    ladder[at.saturating_sub(2)..(at + 3).min(ladder.len())].to_vec()
}
