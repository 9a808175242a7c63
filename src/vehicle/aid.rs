//! What a hand puts in or takes off for a test, and puts back: the fused lead, the
//! bridge, the end off its post, the lamp in the place of a load.

use super::id::{PartId, PointId};
use thiserror::Error;

/// A temporary change of the circuit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Aid {
    /// A fused lead from the positive post of its battery, or of the
    /// source where it has none, to where current enters a
    /// load; with `both`, another from where it leaves to the negative post.
    Feed { load: PartId, supply: PartId, both: bool },
    /// A lead across a part.
    Bridge { part: PartId },
    /// An end of a part off its post.
    Off { part: PartId, at: PointId },
    /// A test lamp in the place of a load.
    Lamp { load: PartId },
}

/// Why an aid is not used there.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum NoAid {
    #[error(
        "never round a fuse or breaker: the cable would burn in its place; put a lamp there (`lamp FUSE`), or feed the load by a fused lead (`feed LOAD`)"
    )]
    RoundProtection,
    #[error("a bridge across it is a short, or tells nothing: bridge a switch, a relay contact, a joint or a pin")]
    NoBridge,
    #[error("airbags, belt tensioners, mains, gas or traction voltage are near: leave it to licensed practice")]
    Hazard,
    #[error(
        "nothing of it comes off by itself: take off a cable, a load, a switch or a battery's post; fuses are pulled (`pull`), plugs unplugged (`unplug`)"
    )]
    StaysOn,
    #[error("it has no such end")]
    NoSuchEnd,
    #[error("as drawn, no wire leads to it from a battery or source")]
    NoBattery,
}

impl Aid {
    /// The part that it is done to.
    pub fn part(self) -> PartId {
        match self {
            Self::Feed { load: part, .. } | Self::Lamp { load: part } => part,
            Self::Bridge { part } | Self::Off { part, .. } => part,
        }
    }
}
