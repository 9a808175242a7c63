//! Decision thresholds of what is worth telling.

use super::row::{COUNT, POSITIVE, SHARE, parameters};
use crate::quantity::{Ohms, Volts, Watts};

parameters! {
    /// What is worth telling.
    Telling {
        /// Volts above which a fuse is open or its contacts are bad: then they tell
        /// no current.
        fuse_is_bad: Volts where POSITIVE,
        /// Deviations of its resistance either way that such a current is told with.
        fuse_deviations: f64 where POSITIVE,
        /// Deviations of what a meter shows by itself, within which a reading need
        /// not be of any current.
        shows_by_itself: f64 where POSITIVE,
        /// High over low above which a current is not known well enough to be told.
        vague: f64 where POSITIVE,

        /// Parts beside a repair, above which it was at a bar.
        at_a_bar: usize where COUNT,
        /// Times the odds from which a raise is worth telling.
        raise_told: f64 where POSITIVE,

        /// Change of probability worth telling.
        moved: f64 where SHARE,
        /// Sites named for one step, at most.
        moved_named: usize where COUNT,

        /// Belief that makes a part worth naming.
        named: f64 where SHARE,
        /// Parts beyond which a segment is too long to fence in.
        fenced: usize where COUNT,
        /// Belief from which a list says how suspect a part is.
        listed: f64 where SHARE,
        /// Heat that is to be felt for before anything is touched.
        hot: Watts where POSITIVE,
        /// Share of belief in a segment below which it is not spoken of.
        segment_held: f64 where SHARE,
        /// Likelihood of an outcome that no contact would show too, from which the
        /// contact is proved first.
        contact: f64 where SHARE,
        /// Probability from which another explanation is told beside the parts.
        beside: f64 where SHARE,
        /// Belief in a wrong drawing that makes it worth saying where it may be.
        traced: f64 where SHARE,
        /// Resistance above which a path to body metal may be a load that nobody
        /// drew.
        a_load: Ohms where POSITIVE,
    }
}
