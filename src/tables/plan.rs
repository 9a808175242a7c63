//! Thresholds of the choice of the next test and of the walk at handover.

use super::row::{COUNT, NOT_NEGATIVE, POSITIVE, SHARE, parameters};
use crate::quantity::{Amps, Minutes, Ohms, Volts};

parameters! {
    /// Thresholds of the planner.
    Planning {
        /// By how much an answer moves the belief in the first suspect to be worth asking
        /// for, where it names no other.
        moves: f64 where SHARE,
        /// Belief in one site that ends the search: the proof of the repair tells
        /// the rest for less than further tests.
        enough: f64 where SHARE,
        /// Belief in one site that is not announced on the word of one reading.
        sure: f64 where SHARE,
        /// Of what is uncertain then, what a confirming reading tells at least.
        confirms: f64 where SHARE,
        /// A test that tells less than this many bits is not worth taking.
        least_bits: f64 where NOT_NEGATIVE,
        /// Tests that get an exact valuation.
        short_list: usize where COUNT,
        /// Belief that makes a part worth probing around.
        worth_probing: f64 where SHARE,
        /// Runners-up given.
        advices: usize where COUNT,
        /// A test in the present state this good makes changes of state unneeded,
        /// bits per minute.
        good_rate: f64 where POSITIVE,
        /// What a bit is worth, in minutes that it costs in the test where it is
        /// cheapest: later ones will be dearer.
        worth_of_a_bit: f64 where POSITIVE,
        /// The same in a hunt for what drains a battery.
        worth_in_a_drain: f64 where POSITIVE,
        /// Of the minutes that opening a place takes, the share left out of account
        /// for suspects that are all there: a later test would open it all the
        /// same.
        opened_anyway: f64 where SHARE,
        /// Points beyond which pairs across the vehicle are not tried.
        many_points: usize where COUNT,
        /// Changes of state tried, at most.
        toggles: usize where COUNT,
        /// Paths outside the drawing probed at, at most.
        undrawn_paths: usize where COUNT,
        /// A path of more than this many ohms shows a meter a voltage with nothing
        /// behind it.
        ghostly: Ohms where POSITIVE,
        /// Belief in ghosts or in too much current that makes a lamp or a clamp
        /// worth it.
        doubted: f64 where SHARE,
        /// Belief in an explanation beyond which it must not put volts on an
        /// ohmmeter.
        may_be_live: f64 where SHARE,
        /// Belief from which an explanation is considered.
        weighed_from: f64 where SHARE,
        /// Share of an explanation from which it has a part in the outcomes told.
        shown_from: f64 where SHARE,
        /// Standard deviations from a limit between outcomes within which a value
        /// may fall on either side.
        apart: f64 where POSITIVE,
        /// The same as a share of what lies between the outermost outcomes.
        round: f64 where SHARE,
        /// What may lie so near a limit, as a share of the smaller side.
        unclear: f64 where SHARE,
        /// Bits that a limit between outcomes tells at least.
        worth_a_cut: f64 where NOT_NEGATIVE,
        /// Share of an outcome that a site must have for the outcome to all but prove
        /// it.
        proves: f64 where SHARE,
        /// Share of an outcome from which it points to a site.
        points_to: f64 where SHARE,
        /// Belief in the drawing being wrong, or in nothing being wrong, that keeps
        /// the end open when no test is left.
        stays_open: f64 where SHARE,
        /// Current through a fuse that makes it worth measuring in a hunt for a
        /// drain, A.
        least_drain: Amps where POSITIVE,
        /// Belief that something drains a battery below which the battery may be condemned.
        no_drain: f64 where SHARE,
        /// Currents and resistances tried, at most.
        special: usize where COUNT,
        /// How often a tip makes no contact, before anybody has proved it.
        no_contact: f64 where SHARE,
        /// Deviation of a voltage below which nobody tells outcomes apart where no
        /// current is known to flow: it is nothing, or all of it.
        nothing_or_all: Volts where POSITIVE,
        /// Of what is said to be dead, the share in which a current flows all the same,
        /// and its drops tell something.
        flows: f64 where SHARE,
        /// Deviation that leads and hands add to what outcomes of a voltage differ by.
        hands: Volts where NOT_NEGATIVE,
        /// Deviation of a voltage that the rough valuation allows beside the meter's,
        /// as a share of the largest that any explanation foretells.
        rough_volts: f64 where SHARE,
        /// The same of a resistance, in ln Ω.
        rough_log_ohms: f64 where POSITIVE,
        /// The same of a current: a share, and A.
        rough_amps: [f64; 2] where POSITIVE,
        /// The second of these by a clamp for milliamperes.
        rough_drain: Amps where POSITIVE,
        /// Deviations that one outcome of the rough valuation is wide.
        rough_bin: f64 where POSITIVE,
        /// Loads considered for a look, at most.
        looks: usize where COUNT,
        /// How unequally a look must part the suspects to be considered.
        imbalance: f64 where SHARE,
        /// Loads alike among which the easiest is looked for, at most.
        looks_alike: usize where COUNT,
        /// Settings that a look may need, at most.
        settings_for_a_look: usize where COUNT,
        /// Bits of a test at hand that make leads, bridges and lamps not worth a thought.
        spares_an_aid: f64 where POSITIVE,
        /// Bits that a lead put in for a test must tell to be worth it.
        worth_an_aid: f64 where POSITIVE,
        /// Suspects that a lead may be laid across, at most.
        bridges: usize where COUNT,
        /// Belief that makes a fuse worth looking at.
        worth_a_look: f64 where SHARE,
        /// Minutes beyond which opening a place is taking something apart, and
        /// nobody is asked for it by phone.
        a_lid: Minutes where NOT_NEGATIVE,
        /// Share of what is uncertain that is not worth a walk.
        walk_left: f64 where SHARE,
        /// Time of the short walk at handover, min.
        walk_minutes: Minutes where POSITIVE,
        /// Deviation of what a load loses that hardly matters, as a share of
        /// nominal voltage.
        walk_least: f64 where SHARE,
        /// Share of its deviation to which the loss of a load must be known to
        /// count as covered.
        walk_covered: f64 where SHARE,
        /// Loads that run together at most: more would hide each other's share, and
        /// strain the supply.
        walk_together: usize where COUNT,
        /// Share of its voltage that a load keeps while others run beside it; with
        /// less the supply is at its limit, and drops tell of it rather than of
        /// parts.
        walk_unstrained: f64 where SHARE,
    }
}
