//! What follows from the posterior: what is proved good, and which reading sits
//! badly with the rest.
//!
//! Proved good needs a low probability *and* a low likelihood of every way in which
//! the part can fail, so that a rare fault is not cleared for being rare; and the
//! latter even without the reading that speaks against it most.

use super::look_over::LookOver;
use super::posterior::{Belief, Explanation};
use super::site::Site;
use crate::odds::LogWeight;
use crate::tables::belief::Weighing;
use crate::vehicle::PartId;

/// A reading that does not go with the others.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Contradiction {
    /// Number of the reading.
    pub reading: usize,
    /// Probability that it is not what was to be expected.
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
                belief.probability < figures.cleared_below
                    && belief.support < LogWeight::of(figures.cleared_below)
                    && belief.support_without_one < LogWeight::of(figures.cleared_without_one)
            })
            .map(|belief| belief.part)
            .collect()
    }

    /// The reading most likely to be wrong, if one is more likely wrong than
    /// right. Whether the drawing holds is another matter: before it is doubted
    /// for good, the reading that speaks against it is worth taking again.
    pub fn contradiction(&self, figures: &Weighing) -> Option<Contradiction> {
        match self.look {
            Some(LookOver::Well) => return None,
            Some(LookOver::ReadAgain { reading, expected }) => {
                let probability = self.misread.get(reading).copied().unwrap_or_default();
                return Some(Contradiction { reading, probability, expected });
            }
            Some(LookOver::Amiss) | None => {}
        }
        let doubted = self.doubted_as_drawn.iter().copied().enumerate();
        let (reading, probability) = doubted.max_by(|a, b| a.1.total_cmp(&b.1))?;
        if probability < figures.doubted {
            return None;
        }
        let doubting = self
            .explanations
            .iter()
            .filter_map(|explanation| explanation.joint.as_ref())
            .find(|joint| joint.is_outlier(reading))?;
        let expected = doubting.by_the_rest(reading, self.taken[reading].value).mean;
        Some(Contradiction { reading, probability, expected })
    }

    /// The reading without which a site would hardly be believed, if what is
    /// believed of it rests on one.
    pub fn rests_on(&self, figures: &Weighing, site: Site) -> Option<usize> {
        let own: Vec<(&Explanation, Vec<f64>)> = (self.explanations.iter())
            .filter_map(|one| Some((one, one.joint.as_ref()?.own_densities(&self.taken)?)))
            .collect();
        let without = |reading: usize| {
            let least = own.iter().map(|(_, own)| own[reading]).fold(f64::INFINITY, f64::min);
            let weight = |(one, own): &(&Explanation, Vec<f64>)| one.probability.value() * (least - own[reading]).exp();
            let here = own.iter().filter(|(one, _)| one.site == site).map(weight).sum::<f64>();
            here / own.iter().map(weight).sum::<f64>()
        };
        (0..self.misread.len()).find(|&reading| without(reading) < figures.rests_below)
    }

    /// Whether the drawing itself is in doubt.
    pub fn doubts_drawing(&self, figures: &Weighing) -> bool {
        self.probability(Site::Undrawn) > figures.doubted
    }
}
