//! How likely each fault is, given everything said, seen and read.
//!
//! Under each hypothesis the readings are jointly normal, y ~ N(μ, LLᵀ + D):
//! they share tolerances, supply voltage and meter gain, so they are not
//! independent, and treating them so would rule out true faults. Each reading
//! may be misread: where the rest of the readings make it less likely than a
//! misread, it counts as one. Beside the faults stand two more explanations:
//! nothing is wrong, and the drawing is not the vehicle.

mod answers;
mod collect;
mod doubles;
mod entrants;
mod evidence;
mod gaussian;
mod halves;
mod handover;
mod history;
mod loops;
mod masked;
mod memory;
mod named;
mod phone;
mod segment;
mod signs;
mod superposed;
mod ties;
mod verdict;
mod weigh;

pub use answers::{Asking, is_seen};
pub use evidence::{
    Answered, Appearance, Earlier, Evidence, Observation, Past, Reading, Sign, Symptom, appearance_chances,
};
pub use gaussian::{Forecast, Joint};
pub use handover::Handover;
pub use history::{Because, Raise};
pub use loops::{LoopGap, loop_gap};
pub use phone::as_told;
pub use segment::{Estimate, Segment, Stretch, normal_below};
pub use signs::chance;
pub use verdict::Contradiction;
pub use weigh::{Engine, Weighed};

use crate::predict::{Hypothesis, Theta};
use crate::quantity::Ohms;
use crate::vehicle::{PartId, PointId};

/// Where the trouble sits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Site {
    /// At a part. A short that has blown its fuse sits at the fuse.
    Part(PartId),
    /// At two parts, which fail independently.
    Both(PartId, PartId),
    /// Nothing is wrong with the wiring.
    Nothing,
    /// Somewhere the drawing does not show.
    Undrawn,
}

impl Site {
    /// The parts there.
    pub fn parts(self) -> impl Iterator<Item = PartId> {
        let (first, second) = match self {
            Self::Part(part) => (Some(part), None),
            Self::Both(first, second) => (Some(first), Some(second)),
            Self::Nothing | Self::Undrawn => (None, None),
        };
        first.into_iter().chain(second)
    }
}

/// A site with its probability.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Suspect {
    /// Where.
    pub site: Site,
    /// Probability now.
    pub probability: f64,
    /// Probability before anything was read.
    pub before: f64,
}

/// A part with the probability that its own fault is behind the trouble.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PartBelief {
    /// Which.
    pub part: PartId,
    /// Probability now.
    pub probability: f64,
    /// Probability before anything was read.
    pub before: f64,
    /// ln of how well the evidence fits the best of its ways to fail, against
    /// the best of all: what speaks against it, however rare it is.
    pub support: f64,
}

/// Probabilities after some evidence.
pub struct Belief {
    /// Every explanation with its weight, likeliest first.
    pub weighed: Vec<Weighed>,
    /// Sites, likeliest first.
    pub suspects: Vec<Suspect>,
    /// Every part that was ever suspect, in part order.
    pub parts: Vec<PartBelief>,
    /// For each reading, the probability that it is a misread.
    pub misread: Vec<f64>,
    /// The uncertain quantities that the readings share.
    pub theta: Theta,
}

impl Belief {
    /// Before anything is known: nothing is suspect.
    pub fn unasked(theta: Theta) -> Self {
        Self { weighed: Vec::new(), suspects: Vec::new(), parts: Vec::new(), misread: Vec::new(), theta }
    }

    /// Probability of a site.
    pub fn probability(&self, site: Site) -> f64 {
        self.suspects.iter().find(|suspect| suspect.site == site).map_or(0.0, |suspect| suspect.probability)
    }

    /// The likeliest explanation that is a fault of a part at `site`.
    pub fn best_at(&self, site: Site) -> Option<&Weighed> {
        self.weighed.iter().find(|weighed| weighed.site == site)
    }

    /// The likeliest path that the drawing does not show: its ends and about
    /// how many ohms, once the readings speak for one.
    pub fn tie(&self) -> Option<(PointId, PointId, Ohms)> {
        let ties = self.weighed.iter().filter(|weighed| weighed.site == Site::Undrawn);
        let best = ties.max_by(|a, b| a.probability.total_cmp(&b.probability))?;
        match best.hypothesis {
            Hypothesis::Tied { from, to, size, .. } => {
                let (shift, _) = best.joint.as_deref().map_or((0.0, 1.0), Joint::size_shift);
                Some((from, to, Ohms(size.value * (size.width * shift).exp())))
            }
            _ => None,
        }
    }

    /// The parts whose own fault is behind a site, likeliest first: for a
    /// blown fuse, itself and what may have blown it.
    pub fn causes_at(&self, site: Site) -> Vec<(PartId, f64)> {
        let mut causes: Vec<(PartId, f64)> = Vec::new();
        for weighed in self.weighed.iter().filter(|weighed| weighed.site == site) {
            let Some((fault, _)) = weighed.hypothesis.faults().next() else { continue };
            match causes.iter_mut().find(|(part, _)| *part == fault.part) {
                Some((_, probability)) => *probability += weighed.probability,
                None => causes.push((fault.part, weighed.probability)),
            }
        }
        causes.sort_by(|a, b| b.1.total_cmp(&a.1));
        causes
    }
}
