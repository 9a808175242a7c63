//! What a part costs in a lesson, in money that nobody pays. Invented round
//! figures: enough to make changing parts on suspicion hurt.

use crate::tables::training::Teaching;
use crate::vehicle::PartKind;

/// Price of a part.
pub fn price(figures: &Teaching, kind: &PartKind) -> f64 {
    match kind {
        PartKind::Fuse { .. } => figures.fuse,
        PartKind::HolderContact | PartKind::Joint | PartKind::Pin | PartKind::Diode { .. } => figures.contact,
        PartKind::Cable { .. } | PartKind::Chassis => figures.conductor,
        PartKind::Switch | PartKind::Coil { .. } | PartKind::Contact { .. } | PartKind::Breaker { .. } => {
            figures.switchgear
        }
        PartKind::Isolator | PartKind::Shunt | PartKind::Instrument(_) => figures.isolator,
        PartKind::Load { .. } => figures.load,
        PartKind::Supply(_) => figures.supply,
    }
}
