//! Posterior probabilities of all explanations: what is believed after some
//! evidence.

use super::gaussian::Joint;
use super::look_over::LookOver;
use super::outlier::Taken;
use super::site::Site;
use crate::complaint::Began;
use crate::odds::{LogWeight, Probability};
use crate::predict::{Hypothesis, Phase, Uncertainties};
use crate::quantity::Ohms;
use crate::vehicle::{PartId, PointId};
use std::rc::Rc;

/// One explanation with its weight.
#[derive(Clone)]
pub struct Explanation {
    /// What.
    pub hypothesis: Hypothesis,
    /// Where it shows.
    pub site: Site,
    /// Probability.
    pub probability: Probability,
    /// The readings under it; `None` for a drawing that is wrong somehow.
    pub joint: Option<Rc<Joint>>,
    /// The phase that the readings fit better.
    pub phase: Phase,
    /// When it began.
    pub began: Began,
}

/// A site with its probability.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Suspect {
    /// Where.
    pub site: Site,
    /// Probability now.
    pub probability: Probability,
    /// Probability before anything was read.
    pub before: Probability,
}

/// A part with the probability that its own fault is behind the trouble.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PartBelief {
    /// Which.
    pub part: PartId,
    /// Probability now.
    pub probability: Probability,
    /// Probability before anything was read.
    pub before: Probability,
    /// How well the evidence fits the best of its ways to fail, against the best
    /// of all: what speaks against it, however rare it is.
    pub support: LogWeight,
    /// The same less whichever reading speaks against it most, with the complaint
    /// or without: any one may be wrong.
    pub support_without_one: LogWeight,
}

/// Probabilities after some evidence.
pub struct Belief {
    /// Every explanation with its weight, likeliest first.
    pub explanations: Vec<Explanation>,
    /// Sites, likeliest first.
    pub suspects: Vec<Suspect>,
    /// Every part that was ever suspect, in part order.
    pub parts: Vec<PartBelief>,
    /// For each reading, the probability that it is a misread.
    pub misread: Vec<f64>,
    /// If the drawing holds, the probability that it is not what was to be expected; of
    /// one that was found again, that it is a misread.
    pub doubted_as_drawn: Vec<f64>,
    /// Every reading as it was taken.
    pub taken: Vec<Taken>,
    /// The uncertain quantities that the readings share.
    pub theta: Uncertainties,
    /// What a look over shows; none where somebody complains.
    pub look: Option<LookOver>,
}

impl Belief {
    /// Before anything is known: nothing is suspect.
    pub fn unasked(theta: Uncertainties) -> Self {
        Self {
            explanations: Vec::new(),
            suspects: Vec::new(),
            parts: Vec::new(),
            misread: Vec::new(),
            doubted_as_drawn: Vec::new(),
            taken: Vec::new(),
            theta,
            look: None,
        }
    }

    /// Probability of those explanations of which something holds.
    pub fn share(&self, holds: impl Fn(&Explanation) -> bool) -> f64 {
        self.explanations.iter().filter(|one| holds(one)).map(|one| one.probability.value()).sum()
    }

    /// What would be believed if they had this share between them, and all others the rest.
    pub fn supposing(&self, holds: impl Fn(&Explanation) -> bool, share: f64) -> Self {
        let (with, total) = (self.share(&holds), self.share(|_| true));
        let mut explanations = self.explanations.clone();
        for one in &mut explanations {
            let factor = if holds(one) { share / with } else { (1.0 - share) / (total - with) };
            one.probability = Probability::of(one.probability.value() * factor);
        }
        explanations.sort_by(|a, b| b.probability.total_cmp(&a.probability));
        let mut suspects = self.suspects.clone();
        for suspect in &mut suspects {
            let there = explanations.iter().filter(|one| one.site == suspect.site);
            suspect.probability = Probability::of(there.map(|one| one.probability.value()).sum());
        }
        suspects.sort_by(|a, b| b.probability.total_cmp(&a.probability).then(a.site.cmp(&b.site)));
        Self {
            explanations,
            suspects,
            parts: self.parts.clone(),
            misread: self.misread.clone(),
            doubted_as_drawn: self.doubted_as_drawn.clone(),
            taken: self.taken.clone(),
            theta: self.theta.clone(),
            look: self.look,
        }
    }

    /// Probability of a site.
    pub fn probability(&self, site: Site) -> f64 {
        self.suspects.iter().find(|suspect| suspect.site == site).map_or(0.0, |suspect| suspect.probability.value())
    }

    /// The likeliest explanation that is a fault of a part at `site`.
    pub fn best_at(&self, site: Site) -> Option<&Explanation> {
        self.explanations.iter().find(|explanation| explanation.site == site)
    }

    /// The likeliest path that the drawing does not show: its ends and about
    /// how many ohms, once the readings speak for one.
    pub fn undrawn_path(&self) -> Option<(PointId, PointId, Ohms)> {
        let ties = self.explanations.iter().filter(|explanation| explanation.site == Site::Undrawn);
        let best = ties.max_by(|a, b| a.probability.total_cmp(&b.probability))?;
        match best.hypothesis {
            Hypothesis::UndrawnPath { from, to, size, .. } => {
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
        for explanation in self.explanations.iter().filter(|explanation| explanation.site == site) {
            let Some((fault, _)) = explanation.hypothesis.faults().next() else { continue };
            match causes.iter_mut().find(|(part, _)| *part == fault.part) {
                Some((_, probability)) => *probability += explanation.probability,
                None => causes.push((fault.part, explanation.probability.value())),
            }
        }
        causes.sort_by(|a, b| b.1.total_cmp(&a.1));
        causes
    }
}
