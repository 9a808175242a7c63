//! Test sheet: how a decision tree is folded to what a person with paper follows.

use super::row::{COUNT, POSITIVE, SHARE, parameters};
use crate::quantity::{Amps, Ohms};

parameters! {
    /// Test sheet.
    Folding {
        /// Simulated faults that the branches are grown from.
        grown_from: usize where COUNT,
        /// Simulated faults that count how well a sheet does.
        counted: usize where COUNT,
        /// Faults drawn for one of them before it is given up.
        draws: usize where COUNT,

        /// Share of faults that come to a branch, below which it is not followed.
        rare: f64 where SHARE,
        /// Share of the faults at a branch for which one part is right that ends it.
        enough: f64 where SHARE,
        /// Share of the faults at an end that the parts named there explain.
        named_hold: f64 where SHARE,
        /// Parts named at an end, at most.
        named: usize where COUNT,
        /// Parts that a person can look at one after the other where paper ends.
        looked_at: usize where COUNT,
        /// Faults that come to a branch, below which they prove nothing.
        telling: usize where COUNT,
        /// Tests of the planner passed over where all outcomes are one to a person.
        passed_over: usize where COUNT,

        /// Share of nominal voltage from which a value can be next to nothing
        /// instead.
        fed_from: f64 where SHARE,
        /// Share of what it should be below which a value is next to nothing.
        next_to_nothing: f64 where SHARE,
        /// Share of nominal voltage that a drop may lie below nought.
        drop_from: f64 where SHARE,
        /// Share of nominal voltage above which a drop is nearly all there is.
        nearly_all: f64 where SHARE,
        /// Deviations between what stands for a band and its edge.
        inside: f64 where POSITIVE,
        /// Finest last digit of a current.
        amps_digit: Amps where POSITIVE,
        /// Resistance above which there is no path to a person.
        no_path: Ohms where POSITIVE,
    }
}
