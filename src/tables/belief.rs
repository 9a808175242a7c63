//! Priors of what is no fault of a part, and the thresholds of the belief.

use super::row::{CHANCE, COUNT, NOT_NEGATIVE, POSITIVE, SHARE, SIGNED, parameters};
use crate::quantity::{Amps, Ohms, Volts};

parameters! {
    /// Priors and thresholds of the belief.
    Weighing {
        /// Share of complaints where the wiring is as drawn and sound.
        nothing_wrong: f64 where 1e-6..=0.5,
        /// Deviations within which what a fixed instrument shows is as it should be.
        as_expected: f64 where POSITIVE,
        /// Deviations beyond which a reading is not one of a sound vehicle, where nobody
        /// complains.
        amiss: f64 where POSITIVE,
        /// Deviations beyond which it is to be read again.
        doubtful: f64 where POSITIVE,
        /// So many readings amiss are more than anybody misreads.
        amiss_together: usize where COUNT,
        /// Share of vehicles that have something wrong when they are looked over and nobody
        /// complains.
        wrong_at_a_look: f64 where 1e-6..=0.999,
        /// Share of complaints where the drawing is not the vehicle.
        not_as_drawn: f64 where 1e-6..=0.5,
        /// Share of the prior of faults that is even over kinds of part and ways to
        /// fail: rates are known so badly.
        even_kinds: f64 where SHARE,
        /// Chance that a reading is misread or taken at a wrong pin.
        misread: f64 where 1e-6..=0.5,
        /// Chance of a reading's being misread from which it is doubted, and belief
        /// in a wrong drawing from which that is.
        doubted: f64 where SHARE,
        /// Supply voltage that a misread may show, as a multiple of nominal.
        misread_supply: f64 where POSITIVE,
        /// Shares of misread voltages that are anything, nought, and that of the
        /// supply.
        misread_volts: [f64; 3] where SHARE,
        /// Width of anything, as a multiple of the supply.
        misread_span: f64 where POSITIVE,
        /// Density of what lies beyond it, 1/V.
        misread_beyond: f64 where CHANCE,
        /// Deviation of nought.
        misread_nought: Volts where POSITIVE,
        /// Deviation of the supply, as a share of it.
        misread_at_supply: f64 where POSITIVE,
        /// Of misreads, the share of slips of the pen: a decimal place, a range, a sign.
        misread_slip: f64 where SHARE,
        /// Of other misread voltages, the shares that are anything, without contact,
        /// and at a neighbouring point.
        misread_kinds: [f64; 3] where SHARE,
        /// Deviations of what shows without contact: lead in the air, and near
        /// something live, V.
        misread_no_contact: [f64; 2] where POSITIVE,
        /// Deviation at a neighbouring point: V, and as a share of the supply.
        misread_pin_deviation: [f64; 2] where POSITIVE,
        /// Chance that an ohmmeter shows an open fuse as whole: a cracked element or
        /// a worn cap makes contact in the hand, with nothing to carry.
        cracked_beeps: f64 where CHANCE,
        /// Current beyond its own that may empty a battery.
        drains: Amps where POSITIVE,
        /// Chance that a misread is repeated when the same is read again.
        misread_repeated: f64 where SHARE,
        /// Share of readings that come of something otherwise than drawn.
        departs: f64 where SHARE,
        /// By how many deviations what departs is off, for one of what is drawn.
        departs_by: f64 where POSITIVE,
        /// Deviation of the resistance of a conductor that departs, as a share.
        departs_share: f64 where POSITIVE,
        /// Share of a value within which a reading taken again is the same, and its
        /// last digits.
        agrees: [f64; 2] where POSITIVE,
        /// Shares of misread resistances that are anything, leads joined, and no
        /// path.
        misread_ohms: [f64; 3] where SHARE,
        /// Deviation of the last two, in ln Ω.
        misread_log_ohms: f64 where POSITIVE,
        /// Shares of misread currents that are anything, and none.
        misread_amps: [f64; 2] where SHARE,
        /// Their deviations, A.
        misread_amps_deviation: [f64; 2] where POSITIVE,
        /// Share of complaints with two faults behind them.
        two_faults: f64 where SHARE,
        /// How much likelier two faults are of which the first is noticed by nobody
        /// and stays.
        unnoticed: f64 where POSITIVE,
        /// Share of circuits that have changed places with one beside them unnoticed.
        changed_places: f64 where CHANCE,
        /// Share of readings entered before a complaint that were taken with the fault
        /// there.
        there_before_said: f64 where SHARE,
        /// Share of wrong drawings that are a path between two drawn points.
        undrawn_paths: f64 where SHARE,
        /// Share of repairs that do not cure what they were made for.
        repair_fails: f64 where CHANCE,
        /// Share of new fuses that fail at once, unless something opens them.
        new_fuse_fails: f64 where CHANCE,
        /// Chance that a reading by phone is of another point or another figure.
        misread_by_phone: f64 where CHANCE,
        /// Share of readings that a fault which no drawing shows leaves as they
        /// should be.
        undrawn_as_sound: f64 where CHANCE,
        /// Times the variance of a reading that is as it should be on a wrong
        /// drawing.
        undrawn_variance: f64 where POSITIVE,
        /// Chance that somebody says several where it is but one.
        several_of_one: f64 where CHANCE,
        /// Chance of whatever else is seen when the drawing is not the vehicle:
        /// dead, weak and right are alike to it.
        undrawn_sign: f64 where CHANCE,
        /// How much likelier than soundness a fault must make a complaint to count
        /// as an explanation of it.
        explains: f64 where POSITIVE,
        /// Share of its voltage that a path to body metal or to a neighbour must take
        /// from a load to be looked at closely.
        could_explain: f64 where SHARE,
        /// Share of its voltage below which a load is not right, whatever it was
        /// called: people take dead for weak.
        not_right: f64 where SHARE,
        /// Share of its usual voltage by which a load must move to be complained
        /// of.
        noticed: f64 where SHARE,
        /// ln of how unlikely a single fault must make what it explains worst.
        unexplained: f64 where SIGNED,
        /// ln of the share of the best one's weight below which a single fault does
        /// not count as an explanation.
        counts: f64 where NOT_NEGATIVE,
        /// ln of the share of the best weight below which nothing that is proposed
        /// beside single faults counts, nor a neighbour of it.
        near: f64 where NOT_NEGATIVE,
        /// Share of belief that a segment holds.
        held: f64 where SHARE,
        /// Belief over which a current is summed up.
        held_of_current: f64 where SHARE,
        /// Drop below which nothing is told of what a resistance does.
        least_drop: Volts where NOT_NEGATIVE,
        /// A part counts as proved good below this probability, if the evidence
        /// also speaks this much against every way in which it could fail: a rare
        /// way to fail that fits is not cleared for being rare, and none by one
        /// reading that may be a misread.
        cleared_below: f64 where SHARE,
        /// The same for the likelihood without the reading that speaks against it
        /// most.
        cleared_without_one: f64 where SHARE,
        /// What is believed of a site rests on one reading if less is believed of it
        /// without that.
        rests_below: f64 where SHARE,
        /// Parts less suspect than this were never in question.
        ever_in_question: f64 where SHARE,
        /// Standard deviations of the meter beyond which a loop does not close.
        gap_limit: f64 where POSITIVE,
        /// Movement of the supply between readings that is no reason to doubt one,
        /// V.
        supply_movement: Volts where NOT_NEGATIVE,
        /// Single faults that pairs are made from on the one side.
        leaders: usize where COUNT,
        /// Followers taken for each thing that a leader may leave unexplained.
        followers: usize where COUNT,
        /// Pairs whose sizes are searched.
        refined: usize where COUNT,
        /// Share of what a load gets by which a fault must change it to have a say
        /// in how it looks.
        least_say: f64 where SHARE,
        /// Share of what spreads a reading alone by which one of two faults must
        /// move it to have a say in it.
        least_move: f64 where SHARE,
        /// Pairs of which each hides the other that are weighed, at most.
        hidden_pairs: usize where COUNT,
        /// Current below which a part is not looked for among those that hide each
        /// other, A.
        carries: f64 where NOT_NEGATIVE,
        /// Deviation of a reading from a sound one that asks for an explanation: V,
        /// and a share of it.
        odd: [f64; 2] where NOT_NEGATIVE,
        /// Share of what both do that one alone may do at most: else it shows
        /// itself.
        alone: f64 where SHARE,
        /// Share of its current that one of two carries more when the other is
        /// open.
        takes_over: f64 where SHARE,
        /// Pairs found by the sum of their effects that are weighed, at most.
        superposed_pairs: usize where COUNT,
        /// Half of a squared deviation beyond which a reading is as good as
        /// misread.
        superposed_misread: f64 where POSITIVE,
        /// ln of the share of the best score below which a pair is not kept.
        superposed_kept: f64 where POSITIVE,
        /// Least deviation that the sum is trusted to, V and a share of the
        /// reading.
        superposed_rough: [f64; 2] where NOT_NEGATIVE,
        /// Points above which only those around the suspects are joined.
        many_points: usize where COUNT,
        /// Points around the suspects that are joined where there are many, at
        /// most.
        points_around: usize where COUNT,
        /// Paths that are looked at more closely, at most.
        paths_looked_at: usize where COUNT,
        /// Kinds of path that are solved.
        paths_solved: usize where COUNT,
        /// Kinds of path solved at a time, likeliest first, until none of them
        /// counts.
        paths_at_a_time: usize where COUNT,
        /// Resistance below which two points are one for a path.
        one_net: Ohms where POSITIVE,
        /// Fuses that a path may have opened, at most.
        opened_fuses: usize where COUNT,
        /// Sources that it may have taken to their limit, at most.
        limited_sources: usize where COUNT,
        /// Relays that it may have worked, at most.
        worked_relays: usize where COUNT,
        /// Hours within which a battery must be flat.
        flat_within: f64 where POSITIVE,
        /// Spread that the first look allows a reading: V, and a share of it.
        allowance: [f64; 2] where NOT_NEGATIVE,
    }
}
