//! What follows from the posterior: what is proved good, and which reading sits
//! badly with the rest.
//!
//! Proved good needs a low probability *and* a low likelihood of every way in which
//! the part can fail, so that a rare fault is not cleared for being rare.

use super::posterior::Belief;
use super::site::Site;
use crate::odds::LogWeight;
use crate::tables::belief::Weighing;
use crate::vehicle::PartId;

/// Numerical: where the drawing is wrong for certain, no reading is doubted.
const LEAST_LEFT: f64 = 1e-9;

/// A reading that does not go with the others.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Contradiction {
    /// Number of the reading.
    pub reading: usize,
    /// Probability that it is a misread.
    pub probability: f64,
    /// What it should have shown, by the rest.
    pub expected: f64,
}

impl Belief {
    /// Parts that were in question and no longer are, in part order.
    pub fn proved_good(&self, figures: &Weighing) -> Vec<PartId> {
        if self.misread.is_empty() {
            return Vec::new();
        }
        self.parts
            .iter()
            .filter(|belief| belief.before > figures.ever_in_question)
            .filter(|belief| {
                belief.probability < figures.cleared_below && belief.support < LogWeight::of(figures.cleared_below)
            })
            .map(|belief| belief.part)
            .collect()
    }

    /// The reading most likely to be wrong, if one is more likely wrong than
    /// right. Whether the drawing holds is another matter: before it is doubted
    /// for good, the reading that speaks against it is worth taking again.
    pub fn contradiction(&self, figures: &Weighing) -> Option<Contradiction> {
        let (reading, doubted) = self.misread.iter().enumerate().max_by(|a, b| a.1.total_cmp(b.1))?;
        let probability = doubted / (1.0 - self.probability(Site::Undrawn)).max(LEAST_LEFT);
        if probability < figures.doubted {
            return None;
        }
        let doubting = self
            .explanations
            .iter()
            .filter_map(|explanation| explanation.joint.as_ref())
            .find(|joint| joint.is_outlier(reading))?;
        let expected = doubting.forecast(&doubting.predictions[reading]).mean;
        Some(Contradiction { reading, probability, expected })
    }

    /// Whether the drawing itself is in doubt.
    pub fn doubts_drawing(&self, figures: &Weighing) -> bool {
        self.probability(Site::Undrawn) > figures.doubted
    }
}
