//! A part that departs from the drawing by more than its spread: a cable run round
//! twice as far, a joint worse than new. It moves all that hangs on it together, so
//! that no reading sits badly with the others though all are far off.
//!
//! p(y) = max((1 − d) N(y; μ, S), d N(y; μ, S + (k² − 1) a aᵀ)), a the loadings of the
//! readings on that part, d as of a reading that departs by itself, k the larger of
//! that and what makes a cable of twice its length nothing rare.

use crate::predict::{Loadings, Prediction};
use crate::tables::belief::Weighing;
use std::collections::BTreeMap;

/// Numerical: deviations from which a reading may come of a part that departs.
const OFF_FROM: f64 = 2.5;
/// Numerical: deviations beyond which it does not: what is left of its density as
/// departing is less than a misread's.
const OFF_TO: f64 = 12.0;

/// A part that is taken to depart.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Departing {
    /// Its position among the uncertain quantities.
    quantity: usize,
    /// How many of its deviations go to one.
    stretch: f64,
    /// ln of the chance that it does.
    pub log_chance: f64,
}

impl Departing {
    /// The one that explains best what is far off, if anything is, of readings by how far
    /// each is off, with what variance, and what it hangs on; of the resistances that may
    /// depart, by their usual deviation as a share.
    pub fn suspected<'l>(
        figures: &Weighing,
        readings: impl Iterator<Item = (f64, f64, &'l Loadings)>,
        deviation: impl Fn(usize) -> Option<f64>,
    ) -> Option<Self> {
        let stretch = |usual: f64| figures.departs_by.max(figures.departs_share / usual);
        let mut moved: BTreeMap<usize, Moved> = BTreeMap::new();
        let is_far =
            |&(off, variance, _): &(f64, f64, &Loadings)| (OFF_FROM..OFF_TO).contains(&(off.abs() / variance.sqrt()));
        for (off, variance, loadings) in readings.filter(is_far) {
            for (quantity, loading) in loadings.iter() {
                let Some(usual) = deviation(quantity) else { continue };
                let moved = moved.entry(quantity).or_insert(Moved { stretch: stretch(usual), fits: 0.0, size: 0.0 });
                moved.fits += loading * off / variance;
                moved.size += loading * loading / variance;
            }
        }
        let best = moved.iter().max_by(|a, b| a.1.gain().total_cmp(&b.1.gain()))?;
        Some(Self { quantity: *best.0, stretch: best.1.stretch, log_chance: figures.departs.ln() })
    }

    /// What two readings vary together beside what is drawn.
    pub fn shared(self, one: &Prediction, other: &Prediction) -> f64 {
        let [one, other] = [one, other].map(|shown| shown.loadings.of_quantity(self.quantity));
        more(self.stretch) * one * other
    }
}

/// Variance of what departs beyond its usual one, as a multiple of that.
fn more(stretch: f64) -> f64 {
    stretch * stretch - 1.0
}

/// What is far off, as far as one part moves it.
struct Moved {
    stretch: f64,
    /// Of the deviations what hangs on it, and of the loadings on it their size.
    fits: f64,
    size: f64,
}

impl Moved {
    /// What its departing gains where each reading stands for itself (Sherman and
    /// Morrison 1950).
    fn gain(&self) -> f64 {
        let more = more(self.stretch);
        more * self.fits * self.fits / (1.0 + more * self.size) - (more * self.size).ln_1p()
    }
}
