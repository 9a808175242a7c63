//! Acceptance test of a repair: what its checks must catch, and their bands.

use super::row::{POSITIVE, SHARE, parameters};
use crate::quantity::Amps;

parameters! {
    /// Proof of a repair.
    Proving {
        /// Deviations of the pass band either way.
        band: f64 where POSITIVE,
        /// Deviations of a doubt's own reading that must lie outside the band.
        outside: f64 where POSITIVE,
        /// Drop over that of a sound part that stands out from what real parts
        /// spread.
        clear_excess: f64 where POSITIVE,
        /// Change of a load's service, as a share, that somebody would mind.
        minded: f64 where SHARE,
        /// Change of a load's service that a look does not miss.
        seen: f64 where SHARE,
        /// How much likelier than of a sound vehicle a complaint must be to count as
        /// made again.
        again: f64 where POSITIVE,
        /// Current below which it is read in line rather than by a clamp.
        at_rest: Amps where POSITIVE,
        /// Last digit of an ammeter in line.
        in_line_digit: Amps where POSITIVE,
        /// Times the room downwards that a renewed contact has, which may well be
        /// better than most.
        better: f64 where POSITIVE,
    }
}
