//! A part that departs from the drawing by more than its spread: a cable run round
//! twice as far, a joint worse than new. It moves all that hangs on it together, so
//! that no reading sits badly with the others though all are far off.
//!
//! p(y) = max((1 − d) N(y; μ, S), d N(y; μ, S + (k² − 1) a aᵀ)), a the loadings of the
//! readings on that part, d as of a reading that departs by itself, k the larger of
//! that and what makes a cable of twice its length nothing rare.

use super::gaussian::Joint;
use super::outlier::Taken;
use crate::predict::Prediction;
use crate::tables::belief::Weighing;
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::rc::Rc;

/// Numerical: deviations from which a reading may come of a part that departs.
const OFF_FROM: f64 = 2.5;
/// Numerical: deviations beyond which it does not: what is left of its density as
/// departing is less than a misread's.
const OFF_TO: f64 = 12.0;

/// A part that is taken to depart.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Departure {
    /// Its position among the uncertain quantities.
    quantity: usize,
    /// How many of its deviations go to one.
    stretch: f64,
    /// ln of the chance that it does.
    pub log_chance: f64,
}

impl Departure {
    /// The one that explains best what is far off in readings as drawn, if anything
    /// is; of the resistances that may depart, by their usual deviation as a share.
    pub fn suspected(
        figures: &Weighing,
        as_drawn: &Joint,
        taken: &[Taken],
        deviation: impl Fn(usize) -> Option<f64>,
    ) -> Option<Self> {
        let stretch = |usual: f64| figures.departs_by.max(figures.departs_share / usual);
        let mut moved: BTreeMap<usize, Moved> = BTreeMap::new();
        for ((alone, prediction), taken) in as_drawn.alone.iter().zip(&as_drawn.predictions).zip(taken) {
            let off = taken.value - alone.mean;
            let far = off.abs() / alone.variance.sqrt();
            if !(OFF_FROM..OFF_TO).contains(&far) {
                continue;
            }
            for (quantity, loading) in prediction.loadings.iter() {
                let Some(usual) = deviation(quantity) else { continue };
                let moved = moved.entry(quantity).or_insert(Moved { stretch: stretch(usual), fits: 0.0, size: 0.0 });
                moved.fits += loading * off / alone.variance;
                moved.size += loading * loading / alone.variance;
            }
        }
        let best = moved.iter().max_by(|a, b| a.1.gain().total_cmp(&b.1.gain()))?;
        Some(Self { quantity: *best.0, stretch: best.1.stretch, log_chance: figures.departs.ln() })
    }

    /// A reading before it is taken, where the part departs.
    pub fn of(self, as_drawn: &Rc<Prediction>) -> Rc<Prediction> {
        match self.in_sight_of(as_drawn) {
            Cow::Borrowed(_) => Rc::clone(as_drawn),
            Cow::Owned(departing) => Rc::new(departing),
        }
    }

    /// The same, where it hangs on the part.
    pub fn in_sight_of(self, as_drawn: &Prediction) -> Cow<'_, Prediction> {
        match as_drawn.loadings.of_quantity(self.quantity) {
            0.0 => Cow::Borrowed(as_drawn),
            _ => Cow::Owned(as_drawn.stretched(self.quantity, self.stretch)),
        }
    }
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
        let more = self.stretch * self.stretch - 1.0;
        more * self.fits * self.fits / (1.0 + more * self.size) - (more * self.size).ln_1p()
    }
}

/// The readings of a sequence where a part departs.
#[derive(Debug, Clone)]
pub(super) struct Departing {
    pub departure: Departure,
    pub joint: Rc<Joint>,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::belief::normal::log_normal;
    use crate::belief::outlier::{Anything, AsMisread};
    use crate::files::built_in_tables;
    use crate::predict::{Loadings, Scale};

    /// Hangs on a return by so many volts a deviation, and on a coil by so many.
    fn shown(on_return: f64, on_coil: f64) -> Rc<Prediction> {
        Rc::new(Prediction {
            scale: Scale::Volts,
            mean: 0.020,
            floating: false,
            loadings: Loadings::of([(0, on_return), (1, on_coil)].into_iter()).into(),
            sizes: [0.0; 2],
            own_variance: 0.0005f64.powi(2),
            supplies: 0,
            moment: 0,
            drift: 0.0,
        })
    }

    fn taken(values: &[f64]) -> Vec<Taken> {
        let tables = built_in_tables().expect("tables");
        let anything = Anything { figures: &tables.belief, supply: 12.7, log_ohms: (-1.6, 17.5) };
        let misread = |value| AsMisread::of(&anything, 0.01, Scale::Volts, value, &[]);
        values.iter().map(|&value| Taken { value, misread: misread(value), is_found_again: false }).collect()
    }

    /// What moves all readings as they are is suspected, and their density is that of
    /// the normal distribution with its deviation three times as large, as a contact's is: of two readings
    /// by the determinant worked by hand.
    #[test]
    fn what_two_readings_share_departs() {
        let figures = &built_in_tables().expect("tables").belief;
        let (shown, taken) = ([shown(0.003, 0.0002), shown(0.003, 0.0)], taken(&[0.036, 0.036]));
        let as_drawn = Joint::of(shown.iter().cloned(), &taken);
        let departure = Departure::suspected(figures, &as_drawn, &taken, |_| Some(0.35)).expect("far off");
        assert_eq!(departure.quantity, 0);
        let grow = |joint: Joint, shown: &Rc<Prediction>| joint.with(Rc::clone(shown), &taken);
        let departing = shown.iter().fold(Joint::where_departs(departure), grow);
        let (shared, own) = (0.009f64.powi(2), 0.0005f64.powi(2));
        let (first, second) = (shared + 0.0002f64.powi(2) + own, shared + own);
        let rest = second - shared * shared / first;
        let density = log_normal(0.016, first) + log_normal(0.016 - shared / first * 0.016, rest);
        let right = 2.0 * (0.99 * (1.0 - figures.departs)).ln() + figures.departs.ln();
        assert!((departing.log_likelihood.ln() - density - right).abs() < 1e-9, "{:?}", departing.log_likelihood);
        assert!(departing.log_likelihood > as_drawn.log_likelihood);
    }

    /// Readings that are as drawn, or nowhere near, are no sign of it.
    #[test]
    fn nothing_departs_where_all_fits_or_nothing_does() {
        let figures = &built_in_tables().expect("tables").belief;
        for value in [0.023, 12.5] {
            let (shown, taken) = ([shown(0.003, 0.0), shown(0.003, 0.0)], taken(&[value, value]));
            let as_drawn = Joint::of(shown.into_iter(), &taken);
            assert_eq!(Departure::suspected(figures, &as_drawn, &taken, |_| Some(0.35)), None, "{value}");
        }
    }
}
