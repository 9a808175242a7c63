//! Conduct of the trial: what is usual, when a person gives up, what counts as a
//! case, and how well anybody could do. What the world is like stands in
//! [`world`](super::world).

use super::row::{COUNT, NOT_NEGATIVE, POSITIVE, SHARE, parameters};
use crate::quantity::Amps;

parameters! {
    /// Conduct of the trial.
    Simulation {
        /// Spread of real parts, as a multiple of the assumed one.
        spread: f64 where 0.0..=10.0,
        /// The same of supplies.
        supplies: f64 where 0.0..=10.0,
        /// Spread that parts gain from handover to the fault, as a share of their
        /// spread.
        aged: f64 where NOT_NEGATIVE,
        /// Degrees of freedom ν of the heavy tails; their variance is ν/(ν − 2).
        tail_freedom: f64 where 2.001..=1e6,

        /// Share of readings that are misread.
        misreads: f64 where SHARE,

        /// Hours of standing within which somebody complains of a flat battery.
        flat_within: f64 where POSITIVE,
        /// Hours that nobody complains of.
        lasts: f64 where POSITIVE,
        /// Current below which opening a part is noticed by nobody.
        least_current: Amps where NOT_NEGATIVE,
        /// Tests after which a person gives up.
        patience: usize where COUNT,
        /// Tests that cannot be made after which a person gives up.
        out_of_reach: usize where COUNT,
        /// Repairs after which a person gives up.
        repairs: usize where COUNT,
        /// Standard deviations beyond which a reading is bad to somebody who goes by
        /// the textbook.
        bad_beyond: f64 where POSITIVE,

        /// Standard deviations by which a fault must move a reading of a look over, where
        /// nobody complains of it.
        moved: f64 where POSITIVE,

        /// Faults drawn for one case before it is given up.
        draws: usize where COUNT,
        /// Share of nominal voltage by which a reading must differ to tell one thing
        /// from another.
        telling: f64 where SHARE,

        /// Belief that the places announced hold together.
        announced: f64 where SHARE,
    }
}
