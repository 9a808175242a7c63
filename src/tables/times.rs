//! Minutes that what is done at a vehicle takes; places come from its file.

use super::row::{NOT_NEGATIVE, parameters};
use crate::quantity::Minutes;

parameters! {
    /// What a test takes, min.
    Times {
        /// Taking a reading with both probes at hand, and entering it.
        read: Minutes where NOT_NEGATIVE,
        /// Reading an instrument that the vehicle carries, and entering it.
        panel: Minutes where NOT_NEGATIVE,
        /// Getting meter and leads out of their bag, while people can still be
        /// asked.
        meter_out: Minutes where NOT_NEGATIVE,
        /// Moving to a place that is open already.
        step: Minutes where NOT_NEGATIVE,
        /// Taking the black lead off its usual negative and back.
        black_lead: Minutes where NOT_NEGATIVE,
        /// Leading a probe from one place to another.
        long_lead: Minutes where NOT_NEGATIVE,
        /// Looking at a load.
        look: Minutes where NOT_NEGATIVE,
        /// Listening, or glancing at a display or a fuse.
        glance: Minutes where NOT_NEGATIVE,
        /// Making sure that a circuit is dead before it is measured so.
        make_sure: Minutes where NOT_NEGATIVE,
        /// Holding a lamp to the leads, zeroing a clamp.
        set_up: Minutes where NOT_NEGATIVE,
        /// Unplugging or pulling may cure a bad contact for a week.
        disturbs: Minutes where NOT_NEGATIVE,
        /// Each further fuse of one board, pulled or fitted.
        fuse_beside: Minutes where NOT_NEGATIVE,
        /// Leading a fused lead from a battery to a load, and taking it away.
        feed: Minutes where NOT_NEGATIVE,
        /// A second lead, back to the battery.
        feed_back: Minutes where NOT_NEGATIVE,
        /// A lead across a part, and its removal.
        bridge: Minutes where NOT_NEGATIVE,
        /// Taking an end off its post, insulating it, and putting it back.
        take_off: Minutes where NOT_NEGATIVE,
        /// A lamp into the plug of a load, and the load back on it.
        lamp: Minutes where NOT_NEGATIVE,
    }
}
