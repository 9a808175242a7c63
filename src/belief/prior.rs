//! How often each fault is met, as far as that is known: published rates of one
//! kind of part differ by tens, and what is brought to a workshop is another mix
//! than what fails on the road. So a share of the prior knows nothing of rates:
//! every kind of part as often, of each every way to fail, of those every part
//! (Laplace's principle of indifference).

use crate::fault::{Likely, class_of};
use crate::tables::rates::{FailureMode, PartClass};
use crate::vehicle::Vehicle;
use std::collections::BTreeMap;

/// The same faults where a share of their frequency is even over kinds.
pub(super) fn hedged(vehicle: &Vehicle, catalogue: Vec<Likely>, even: f64) -> Vec<Likely> {
    let kind = |likely: &Likely| (class_of(&vehicle.part(likely.fault.part).kind).0, likely.fault.mode);
    let mut kinds: BTreeMap<PartClass, BTreeMap<FailureMode, f64>> = BTreeMap::new();
    for (class, mode) in catalogue.iter().map(kind) {
        *kinds.entry(class).or_default().entry(mode).or_default() += 1.0;
    }
    let total: f64 = catalogue.iter().map(|likely| likely.rate).sum();
    let classes = kinds.len() as f64;
    let share = |likely: &Likely| {
        let (class, mode) = kind(likely);
        let modes = &kinds[&class];
        1.0 / (classes * modes.len() as f64 * modes[&mode])
    };
    let rate = |likely: &Likely| (1.0 - even) * likely.rate + even * total * share(likely);
    catalogue.iter().map(|likely| Likely { rate: rate(likely), ..*likely }).collect()
}
