//! Assessment of a lesson: marks, prices, minutes of acts, the instrument in the
//! learner's hand, and the patience of learners.

use super::row::{COUNT, NOT_NEGATIVE, POSITIVE, SHARE, parameters};
use crate::quantity::{Amps, Minutes, Ohms, Volts};

parameters! {
    /// Training room.
    Teaching {
        /// A reading that tells less than this was known before, bits.
        known_below: f64 where NOT_NEGATIVE,
        /// Share of what a reading would tell with the complaint showing, below which
        /// the state has made it meaningless.
        void_share: f64 where SHARE,
        /// Belief that justifies a conclusion.
        justified: f64 where SHARE,
        /// Share of what the best test tells that is as good.
        as_good: f64 where SHARE,
        /// Belief below which a place is no longer possible.
        possible: f64 where SHARE,

        /// A wire laid across two points.
        wire: Ohms where POSITIVE,
        /// Current through a part that makes it live to the hand that renews it.
        live_current: Amps where NOT_NEGATIVE,
        /// Chance that a fault that comes and goes is there at a moment.
        is_there: f64 where SHARE,
        /// Turning the dial.
        turn: Minutes where NOT_NEGATIVE,
        /// Moving a loom.
        shake: Minutes where NOT_NEGATIVE,
        /// Putting a new fuse into the instrument.
        change_meter_fuse: Minutes where NOT_NEGATIVE,
        /// Renewing a part once its place is open.
        renewing: Minutes where NOT_NEGATIVE,

        /// Counts of its display on a fixed range.
        counts: f64 where POSITIVE,
        /// Resistance of the ammeter's shunt with its leads.
        shunt: Ohms where POSITIVE,
        /// Current that opens the ammeter's own fuse.
        meter_fuse: Amps where POSITIVE,
        /// Last digit of the ammeter.
        ammeter_digit: Amps where POSITIVE,
        /// Share that the meter takes off a voltage above which its display creeps.
        creeps_above: f64 where SHARE,
        /// Voltage from which anybody sees it creep.
        creeps_from: Volts where NOT_NEGATIVE,
        /// Share of the final voltage on the display at first.
        at_first: f64 where SHARE,

        /// For working safely.
        full_safety: f64 where NOT_NEGATIVE,
        /// For seeing what is complained of.
        full_complaint: f64 where NOT_NEGATIVE,
        /// For the first test.
        full_first_test: f64 where NOT_NEGATIVE,
        /// For the states that were tested in.
        full_states: f64 where NOT_NEGATIVE,
        /// For the conclusion.
        full_conclusion: f64 where NOT_NEGATIVE,
        /// For economy.
        full_economy: f64 where NOT_NEGATIVE,
        /// For the repair.
        full_repair: f64 where NOT_NEGATIVE,
        /// For the proof.
        full_proof: f64 where NOT_NEGATIVE,
        /// Marks needed to pass.
        pass: f64 where NOT_NEGATIVE,
        /// Most marks without a conclusion that is right and justified.
        most_if_lucky: f64 where NOT_NEGATIVE,

        /// Tests above the planner's own play that cost nothing.
        spare_tests: usize where NOT_NEGATIVE,
        /// Times the planner's minutes that cost nothing.
        spare_share: f64 where POSITIVE,
        /// Minutes beyond them that cost nothing.
        spare_minutes: f64 where NOT_NEGATIVE,
        /// Something unsafe.
        per_unsafe: f64 where NOT_NEGATIVE,
        /// A reading in a state that makes it meaningless.
        per_void: f64 where NOT_NEGATIVE,
        /// A reading of what was known.
        per_known: f64 where NOT_NEGATIVE,
        /// A test too many.
        per_test_over: f64 where NOT_NEGATIVE,
        /// A sound part renewed.
        per_swap: f64 where NOT_NEGATIVE,
        /// A wrong conclusion.
        per_wrong: f64 where NOT_NEGATIVE,
        /// Help.
        per_hint: f64 where NOT_NEGATIVE,
        /// A reading that was amiss and was not taken again.
        per_unread: f64 where NOT_NEGATIVE,
        /// Marks of a conclusion that is right and not justified.
        unjustified: f64 where NOT_NEGATIVE,

        /// A fuse.
        fuse: f64 where NOT_NEGATIVE,
        /// A holder contact, joint, pin or diode.
        contact: f64 where NOT_NEGATIVE,
        /// A cable, or body metal.
        conductor: f64 where NOT_NEGATIVE,
        /// A switch, relay or breaker.
        switchgear: f64 where NOT_NEGATIVE,
        /// An isolator or shunt.
        isolator: f64 where NOT_NEGATIVE,
        /// A load.
        load: f64 where NOT_NEGATIVE,
        /// A battery or other source.
        supply: f64 where NOT_NEGATIVE,

        /// Tests after which a learner gives up.
        patience: usize where COUNT,
        /// Parts that a swapper buys.
        swaps: usize where COUNT,
        /// Draws tried until a lesson is as hard as wanted.
        draws: usize where COUNT,
    }
}
