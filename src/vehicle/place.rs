//! Places, points, and what it takes to reach them.

use super::id::PlaceId;
use crate::quantity::Minutes;
use crate::source::Span;
use serde::Deserialize;

/// Whether reaching a place may change the fault.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Disturbance {
    /// It does not.
    #[default]
    None,
    /// It may.
    Slight,
    /// It often cures a bad contact for a week.
    Strong,
}

/// Where parts live.
#[derive(Debug, Clone)]
pub struct Place {
    /// What people call it.
    pub name: String,
    /// Time to get a probe there.
    pub minutes: Minutes,
    /// What to do to get there.
    pub open: String,
    /// Whether getting there may change the fault.
    pub disturbance: Disturbance,
    /// Whether probes get in there at all; not where it is potted or sealed.
    pub lets_probes_in: bool,
}

impl Place {
    /// Minutes to open it, with a penalty for disturbing the fault: a fault
    /// cured by unplugging costs another visit (common practice, no source).
    pub fn effort(&self) -> Minutes {
        // From: common practice, no source.
        let penalty = match self.disturbance {
            Disturbance::None => 0.0,
            Disturbance::Slight => 1.0,
            Disturbance::Strong => 5.0,
        };
        self.minutes + Minutes(penalty)
    }
}

/// Where a probe can go.
#[derive(Debug, Clone)]
pub struct Point {
    /// Its names, the one to show first.
    pub names: Vec<String>,
    /// What people call it, where that says more.
    pub label: Option<String>,
    /// The places it can be reached from; none means never.
    pub places: Vec<PlaceId>,
    /// What tells it from its neighbours there.
    pub marks: Markings,
}

/// What shows somebody which of many wires and tabs is meant, where the file
/// says it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Markings {
    /// Of a jacket.
    pub colour: Option<String>,
    /// Number on a board.
    pub slot: Option<String>,
    /// Where it is, in words.
    pub note: Option<String>,
    /// File with a picture of that.
    pub picture: Option<String>,
}

impl Point {
    /// The name to show.
    pub fn name(&self) -> &str {
        &self.names[0]
    }
}

/// Whether and where a probe can get at a point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reach {
    /// From this place.
    At(PlaceId),
    /// Not without cutting in.
    Never,
}

/// What can hurt somebody.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize)]
pub enum Hazard {
    /// Short-circuit current and gas at a battery.
    Battery,
    /// Airbag or belt pretensioner wiring.
    Restraint,
    /// Orange cables, traction voltage.
    HighVoltage,
    /// Mains voltage at an inverter or shore inlet.
    Mains,
    /// Fuel or bottled gas.
    Gas,
    /// Hot parts.
    Hot,
    /// Parts that move.
    Moving,
}

/// A hazard at a place.
#[derive(Debug, Clone)]
pub struct Caution {
    pub hazard: Hazard,
    pub place: PlaceId,
    /// What the file says about it.
    pub text: String,
    /// Where it stands in the file.
    pub span: Span,
}
