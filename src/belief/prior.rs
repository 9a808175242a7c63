//! How often each fault is met, as far as that is known: published rates of one
//! kind of part differ by tens, and what is brought to a workshop is another mix
//! than what fails on the road. So a share of the prior knows nothing of rates:
//! every kind of part as often, of each every way to fail, of those every part
//! (Laplace's principle of indifference).
//!
//! Whether anything is wrong at all hangs on whether somebody complains. Of vehicles
//! that are complained of, few are well: P(well) : P(fault) = n : 1. Of those that are
//! only looked over a share w has something wrong: P(well) : P(fault) = 1 − w : w, until
//! a reading is confirmed that no sound vehicle shows: that is a complaint as well.

use crate::fault::{Likely, class_of};
use crate::tables::belief::Weighing;
use crate::tables::rates::{FailureMode, PartClass};
use crate::vehicle::Vehicle;
use std::collections::BTreeMap;

/// That nothing is wrong, as a multiple of all faults together.
pub(super) fn well(figures: &Weighing, is_amiss: bool) -> f64 {
    match is_amiss {
        true => figures.nothing_wrong,
        false => (1.0 - figures.wrong_at_a_look) / figures.wrong_at_a_look,
    }
}

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
