//! What a part costs in a lesson, in money that nobody pays. Invented round
//! figures: enough to make changing parts on suspicion hurt.

use crate::quantity::Minutes;
use crate::vehicle::PartKind;

/// Minutes to renew a part once its place is open; common practice, no source.
pub const RENEWING: Minutes = Minutes(10.0);

/// Price of a part.
pub fn price(kind: &PartKind) -> f64 {
    match kind {
        PartKind::Fuse { .. } => 1.0,
        PartKind::HolderContact | PartKind::Joint | PartKind::Pin | PartKind::Diode { .. } => 5.0,
        PartKind::Cable { .. } | PartKind::Chassis => 10.0,
        PartKind::Switch | PartKind::Coil { .. } | PartKind::Contact { .. } | PartKind::Breaker { .. } => 15.0,
        PartKind::Isolator | PartKind::Shunt => 30.0,
        PartKind::Load { .. } => 80.0,
        PartKind::Supply(_) => 250.0,
    }
}
