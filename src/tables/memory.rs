//! How much is held of what was worked out. Nothing but time and room hangs on
//! it: with nothing held every answer is the same.

use super::row::{NOT_NEGATIVE, parameters};
use crate::memo::Capacity;

parameters! {
    /// Capacities of memos.
    Memory {
        /// Of one vehicle, states as drawn.
        states: Capacity where NOT_NEGATIVE,
        /// Of one vehicle, circuits under an explanation, in all states.
        circuits: Capacity where NOT_NEGATIVE,
        /// Of one vehicle, loadings of the uncertain quantities where circuits have
        /// them.
        spreads: Capacity where NOT_NEGATIVE,
        /// Loadings in what readings are to show under explanations.
        predictions: Capacity where NOT_NEGATIVE,
        /// Sequences of readings that have a number.
        sequences: Capacity where NOT_NEGATIVE,
        /// Of the last two answers, what sequences of readings come to.
        joints: Capacity where NOT_NEGATIVE,
        /// Readings that have a number.
        readings: Capacity where NOT_NEGATIVE,
        /// Pairs of a reading and a fault that may move it.
        moves: Capacity where NOT_NEGATIVE,
        /// Lists of the faults that explain what was seen.
        explaining_faults: Capacity where NOT_NEGATIVE,
        /// States with what a path that is not drawn has done to them.
        undrawn_states: Capacity where NOT_NEGATIVE,
        /// Pairs of points that such a path may join.
        undrawn_pairs: Capacity where NOT_NEGATIVE,
        /// Walks at handover.
        walks: Capacity where NOT_NEGATIVE,
        /// Of one simulated vehicle, states as it really is.
        real_states: Capacity where NOT_NEGATIVE,
    }
}
