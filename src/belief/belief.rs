//! Posterior probabilities of all explanations: what is believed after some
//! evidence.

use super::gaussian::Joint;
use super::site::Site;
use crate::odds::LogWeight;
use crate::predict::{Hypothesis, Phase, Theta};
use crate::quantity::Ohms;
use crate::vehicle::{PartId, PointId};
use std::rc::Rc;

/// One explanation with its weight.
pub struct Weighed {
    /// What.
    pub hypothesis: Hypothesis,
    /// Where it shows.
    pub site: Site,
    /// Probability.
    pub probability: f64,
    /// The readings under it; `None` for a drawing that is wrong somehow.
    pub joint: Option<Rc<Joint>>,
    /// The phase that the readings fit better.
    pub phase: Phase,
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
    /// How well the evidence fits the best of its ways to fail, against the best
    /// of all: what speaks against it, however rare it is.
    pub support: LogWeight,
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
