//! Review of a build: what is good practice where no standard says it.

use super::row::{COUNT, POSITIVE, SHARE, parameters};
use crate::quantity::Ohms;

parameters! {
    /// Review of a build.
    Reviewing {
        /// Share of its rating that a fuse carries for hours.
        fuse_loaded: f64 where SHARE,
        /// Terminals on one stud, at most.
        on_one_stud: usize where COUNT,
        /// A short that something has to open at.
        short: Ohms where POSITIVE,
        /// Simulated faults for each circuit.
        cases: usize where COUNT,
        /// Faults drawn for each of them, to have as many of the rarer circuits.
        draws: usize where COUNT,
        /// Circuits that changes are tried for.
        proposed_for: usize where COUNT,
        /// Changes tried for each of them.
        tried: usize where COUNT,
        /// Faults of a vehicle in a year.
        faults_a_year: f64 where POSITIVE,
    }
}
