//! Multivariate normal density with outliers: correlated readings, which of them
//! sit badly with the rest, and what they say of a further one.
//!
//! ln p(y) = −½ (dᵀ S⁻¹ d + ln det 2πS), d = y − μ. A reading whose density given the
//! others is below that of an outlier (chance times density of a misread) is taken
//! out, the worst first, and counts as one; it comes in again once others speak for
//! it. A further reading has mean μ* + cᵀ S⁻¹ d and variance s* − cᵀ S⁻¹ c
//! (conditioning), c its covariance with the others; with it S⁻¹ is bordered (Hager,
//! SIAM Review 31, 1989), so that an answer costs what its last reading costs.

use super::departing::Departing;
use super::normal::{Forecast, log_normal};
use super::outlier::{OutlierDensity, Taken};
use super::symmetric::Symmetric;
use crate::odds::LogWeight;
use crate::predict::Prediction;
use crate::tables::belief::Weighing;
use std::rc::Rc;

/// Numerical: what readings leave of a size's unit variance, at least.
const LEAST_VARIANCE: f64 = 1e-6;
/// Numerical: a pivot of a covariance that rounding has made nought or less.
const LEAST_PIVOT: f64 = 1e-12;
/// Numerical: a gain below which a reading stays where it is, so that none goes
/// to and fro.
const LEAST_GAIN: f64 = 1e-9;
/// Numerical: readings moved out or in at one time, at most.
const MOST_MOVES: usize = 64;
/// Numerical: outliers beyond which nobody asks whether they are any.
const MOST_DOUBTED: usize = 12;

/// Readings under one hypothesis.
#[derive(Debug, Clone, Default)]
pub struct Joint {
    /// What each reading was expected to show.
    pub predictions: Vec<Rc<Prediction>>,
    /// Which readings count, as they were let in; the others are taken as
    /// misread.
    inliers: Vec<usize>,
    /// The others.
    outliers: Vec<Outlier>,
    /// Each reading as if no other had been taken.
    pub alone: Vec<Alone>,
    /// Probability density of all readings.
    pub log_likelihood: LogWeight,
    /// Inverse covariance of the kept readings.
    inverse: Symmetric,
    /// How far each is from what was expected.
    deviations: Vec<f64>,
    /// Inverse covariance times deviation.
    pull: Vec<f64>,
    log_determinant: f64,
    /// Sum of the ln of the chances that readings are no misreads: they change
    /// when something is read again.
    log_right: f64,
    /// Whether further readings are weighed one by one.
    is_given_up: bool,
    /// The part that departs from the drawing, where one is taken to.
    departing: Option<Departing>,
}

/// A reading taken as none of what was expected.
#[derive(Debug, Clone)]
struct Outlier {
    reading: usize,
    density: OutlierDensity,
    /// Its covariances with the kept readings; none where nobody asks any more.
    with: Vec<f64>,
}

/// A reading as if no other had been taken.
#[derive(Debug, Clone, Copy)]
pub struct Alone {
    /// What it was to show.
    pub mean: f64,
    /// With what variance.
    pub variance: f64,
    /// ln of its density.
    pub log_density: f64,
}

impl Joint {
    /// Weighs readings, in the order they were taken, against what was expected.
    pub fn of(predictions: impl Iterator<Item = Rc<Prediction>>, taken: &[Taken]) -> Self {
        let grow = |joint: Self, prediction| joint.with(prediction, taken);
        predictions.fold(Self::default(), grow)
    }

    /// The same where a part departs.
    pub(super) fn where_departs(departing: Departing) -> Self {
        Self { departing: Some(departing), ..Self::default() }
    }

    /// The same readings and one more, which is the next of all taken: what the
    /// older ones come to is not worked out again.
    pub fn with(&self, prediction: Rc<Prediction>, taken: &[Taken]) -> Self {
        let mut all = self.clone();
        let newest = all.predictions.len();
        let alone = Forecast { mean: prediction.mean, variance: self.variance(&prediction) };
        let log_density = log_normal(taken[newest].value - alone.mean, alone.variance);
        all.alone.push(Alone { mean: alone.mean, variance: alone.variance, log_density });
        if all.is_given_up {
            let outlier = taken[newest].misread.density(taken[newest].value, alone);
            all.log_likelihood += LogWeight::from_ln(as_right(&taken[newest], alone).max(outlier.ln));
            all.predictions.push(prediction);
            return all;
        }
        all.predictions.push(prediction);
        let with = all.covariances(&all.predictions[newest]);
        all.let_in(newest, with, taken[newest].value);
        all.settle(taken);
        all
    }

    /// The same readings once some of them are surer than before.
    pub(super) fn as_sure_as(self: Rc<Self>, taken: &[Taken]) -> Rc<Self> {
        if self.is_given_up || self.log_right == log_right(taken) {
            return self;
        }
        let mut all = Self::clone(&self);
        all.settle(taken);
        Rc::new(all)
    }

    /// The same for a hypothesis that is out of the question: what its readings
    /// come to together is let go.
    pub(super) fn given_up(&self) -> Self {
        Self {
            predictions: self.predictions.clone(),
            alone: self.alone.clone(),
            log_likelihood: self.log_likelihood,
            is_given_up: true,
            ..Self::default()
        }
    }

    /// The part that explains best by departing what is far off in it.
    pub(super) fn suspected(
        &self,
        figures: &Weighing,
        taken: &[Taken],
        deviation: impl Fn(usize) -> Option<f64>,
    ) -> Option<Departing> {
        let off = |((alone, shown), taken): ((&Alone, _), &Taken)| (taken.value - alone.mean, alone.variance, shown);
        let shown = self.predictions.iter().map(|prediction| &*prediction.loadings);
        Departing::suspected(figures, self.alone.iter().zip(shown).zip(taken).map(off), deviation)
    }

    /// Whether it is out of the question.
    pub(super) fn is_given_up(&self) -> bool {
        self.is_given_up
    }

    /// Borders the inverse by one more reading, of these covariances with the others.
    fn let_in(&mut self, reading: usize, with: Vec<f64>, value: f64) {
        let next = Rc::clone(&self.predictions[reading]);
        if self.asks_for_outliers() {
            let others = self.outliers.iter().map(|outlier| &*self.predictions[outlier.reading]);
            let with_others = self.with_others(&next, others);
            self.outliers.iter_mut().zip(with_others).for_each(|(outlier, with)| outlier.with.push(with));
        }
        let through = self.inverse.times(&with);
        let known = dot(&through, &with);
        let left = (self.variance(&next) - known).max(LEAST_PIVOT).max(next.own_variance);
        let off = value - next.mean;
        let pull = (off - dot(&with, &self.pull)) / left;
        self.pull.iter_mut().zip(&through).for_each(|(old, through)| *old -= through * pull);
        self.pull.push(pull);
        self.inverse.border(&through, left);
        self.log_determinant += left.ln();
        self.inliers.push(reading);
        self.deviations.push(off);
    }

    /// Takes a row out as an outlier of that density.
    fn put_out(&mut self, row: usize, density: OutlierDensity) {
        self.log_determinant += self.inverse.diagonal(row).ln();
        self.inverse = self.inverse.without(row);
        let reading = self.inliers.remove(row);
        self.deviations.remove(row);
        self.pull = self.inverse.times(&self.deviations);
        self.outliers.iter_mut().filter(|outlier| row < outlier.with.len()).for_each(|outlier| {
            outlier.with.remove(row);
        });
        let with = self.covariances(&self.predictions[reading]);
        self.outliers.push(Outlier { reading, density, with });
        if !self.asks_for_outliers() {
            self.outliers.iter_mut().for_each(|outlier| outlier.with = Vec::new());
        }
    }

    /// Moves readings out and in again, the one that gains most first, until
    /// each is where it is likelier.
    fn settle(&mut self, taken: &[Taken]) {
        for _ in 0..MOST_MOVES {
            if let Some((row, density)) = self.worst(taken) {
                self.put_out(row, density);
            } else if let Some(place) = self.wronged(taken) {
                let Outlier { reading, with, .. } = self.outliers.remove(place);
                self.let_in(reading, with, taken[reading].value);
            } else {
                break;
            }
        }
        self.log_right = log_right(taken);
        let fit = dot(&self.deviations, &self.pull);
        let right: f64 = self.inliers.iter().map(|&index| taken[index].misread.log_right).sum();
        let units = self.inliers.len() as f64 * std::f64::consts::TAU.ln();
        let wrong: f64 = self.outliers.iter().map(|outlier| outlier.density.ln).sum();
        let departs = self.departing.map_or(0.0, |part| part.log_chance);
        self.log_likelihood = LogWeight::from_ln(right - 0.5 * (fit + self.log_determinant + units) + wrong + departs);
    }

    /// The row that is likelier an outlier, by most, with its density as one.
    fn worst(&self, taken: &[Taken]) -> Option<(usize, OutlierDensity)> {
        let gain = |(row, &index): (usize, &usize)| {
            let rest = self.given_the_rest(row, taken[index].value);
            let density = taken[index].misread.density(taken[index].value, rest);
            (row, density, density.ln - as_right(&taken[index], rest))
        };
        let worst = self.inliers.iter().enumerate().map(gain).max_by(|a, b| a.2.total_cmp(&b.2))?;
        (worst.2 > LEAST_GAIN).then_some((worst.0, worst.1))
    }

    /// Whether any of the misreads may be none. Where there are many, the
    /// hypothesis is out of the question, and they stay.
    fn asks_for_outliers(&self) -> bool {
        self.outliers.len() <= MOST_DOUBTED
    }

    /// The misread that is likelier none, by most.
    fn wronged(&mut self, taken: &[Taken]) -> Option<usize> {
        if !self.asks_for_outliers() {
            return None;
        }
        let mut best = None;
        for place in 0..self.outliers.len() {
            let Outlier { reading: index, ref with, .. } = self.outliers[place];
            let expected = self.forecast_by(&self.predictions[index], with);
            let density = taken[index].misread.density(taken[index].value, expected);
            self.outliers[place].density = density;
            let gain = as_right(&taken[index], expected) - density.ln;
            if gain > LEAST_GAIN && best.is_none_or(|(_, most)| gain > most) {
                best = Some((place, gain));
            }
        }
        best.map(|(place, _)| place)
    }

    /// What a row was to show by all other rows.
    fn given_the_rest(&self, row: usize, value: f64) -> Forecast {
        let precision = self.inverse.diagonal(row);
        Forecast { mean: value - self.pull[row] / precision, variance: 1.0 / precision }
    }

    /// What a reading was to show by everything except itself.
    pub fn by_the_rest(&self, reading: usize, value: f64) -> Forecast {
        match self.inliers.iter().position(|&index| index == reading) {
            Some(row) => self.given_the_rest(row, value),
            None => self.forecast(&self.predictions[reading]),
        }
    }

    /// ln of what each reading by itself adds to the density of all: less it, the
    /// others are left. None where the hypothesis is out of the question.
    pub fn own_densities(&self, taken: &[Taken]) -> Option<Vec<f64>> {
        if self.is_given_up {
            return None;
        }
        let mut own = vec![0.0; self.predictions.len()];
        self.outliers.iter().for_each(|outlier| own[outlier.reading] = outlier.density.ln);
        for (row, &reading) in self.inliers.iter().enumerate() {
            own[reading] = as_right(&taken[reading], self.given_the_rest(row, taken[reading].value));
        }
        Some(own)
    }

    fn covariances(&self, next: &Prediction) -> Vec<f64> {
        self.with_others(next, self.inliers.iter().map(|&index| &*self.predictions[index]))
    }

    /// Covariances of a reading with others.
    fn with_others<'p>(&self, next: &Prediction, others: impl Iterator<Item = &'p Prediction> + Clone) -> Vec<f64> {
        let mut all = next.covariances(others.clone());
        if let Some(part) = self.departing {
            all.iter_mut().zip(others).for_each(|(with, other)| *with += part.shared(next, other));
        }
        all
    }

    /// Variance of a reading alone.
    fn variance(&self, shown: &Prediction) -> f64 {
        shown.variance() + self.departing.map_or(0.0, |part| part.shared(shown, shown))
    }

    /// What a further reading will show.
    pub fn forecast(&self, next: &Prediction) -> Forecast {
        self.forecast_by(next, &self.covariances(next))
    }

    /// The same by its covariances with the kept readings.
    fn forecast_by(&self, next: &Prediction, with: &[f64]) -> Forecast {
        let mean = next.mean + dot(with, &self.pull);
        let known = dot(&self.inverse.times(with), with);
        Forecast { mean, variance: (self.variance(next) - known).max(next.own_variance) }
    }

    /// What the readings tell of the first `count` quantities that load them:
    /// their means, and what is gone of their covariance, row by row.
    pub fn told(&self, count: usize) -> (Vec<f64>, Vec<f64>) {
        let column = |quantity: usize| -> Vec<f64> {
            self.inliers.iter().map(|&index| self.predictions[index].loadings.of_quantity(quantity)).collect()
        };
        let columns: Vec<Vec<f64>> = (0..count).map(column).collect();
        let is_told = |column: &[f64]| column.iter().any(|loading| *loading != 0.0);
        let mean = columns.iter().map(|column| dot(column, &self.pull)).collect();
        let told: Vec<usize> = (0..count).filter(|&quantity| is_told(&columns[quantity])).collect();
        let mut gone = vec![0.0; count * count];
        for &row in &told {
            let weighted = self.inverse.times(&columns[row]);
            told.iter().for_each(|&column| gone[row * count + column] = dot(&weighted, &columns[column]));
        }
        (mean, gone)
    }

    /// Mean and standard deviation of the fault's ln(size), in standard
    /// deviations of its stretch.
    pub fn size_shift(&self) -> (f64, f64) {
        self.size_shift_of(0)
    }

    /// The same of one of two faults.
    pub fn size_shift_of(&self, fault: usize) -> (f64, f64) {
        let with: Vec<f64> = self.inliers.iter().map(|&index| self.predictions[index].sizes[fault]).collect();
        let mean = dot(&with, &self.pull);
        let known = dot(&self.inverse.times(&with), &with);
        (mean, (1.0 - known).max(LEAST_VARIANCE).sqrt())
    }

    /// The chance of each reading that may be a misread; of what is out of the
    /// question all are.
    pub fn misreads(&self) -> impl Iterator<Item = (usize, f64)> {
        let all = if self.is_given_up { self.predictions.len() } else { 0 };
        (0..all)
            .map(|reading| (reading, 1.0))
            .chain(self.outliers.iter().map(|outlier| (outlier.reading, outlier.density.misread)))
    }

    /// Whether a reading is none of what was expected.
    pub fn is_outlier(&self, reading: usize) -> bool {
        !self.inliers.contains(&reading)
    }

    /// Whether a reading is more likely misread than not.
    pub fn is_misread(&self, reading: usize) -> bool {
        self.misreads().any(|(other, chance)| other == reading && chance > 0.5)
    }
}

fn log_right(taken: &[Taken]) -> f64 {
    taken.iter().map(|taken| taken.misread.log_right).sum()
}

/// ln of the chance that a reading is none, times its density.
fn as_right(taken: &Taken, expected: Forecast) -> f64 {
    taken.misread.log_right + log_normal(taken.value - expected.mean, expected.variance)
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::belief::outlier::{Anything, AsMisread};
    use crate::files::built_in_tables;
    use crate::predict::{Loadings, Scale};

    fn shown(mean: f64, shared: f64, own: f64) -> Rc<Prediction> {
        Rc::new(Prediction {
            scale: Scale::Volts,
            mean,
            floating: false,
            loadings: Loadings::of([(0, shared)].into_iter()).into(),
            sizes: [0.0; 2],
            own_variance: own * own,
            supplies: 0,
            moment: 0,
            drift: 0.0,
        })
    }

    fn taken(values: &[f64]) -> Vec<Taken> {
        let tables = built_in_tables().expect("tables");
        let anything = Anything { figures: &tables.belief, supply: 12.7, log_ohms: (-1.6, 17.5) };
        let one = |&value: &f64| Taken {
            value,
            misread: AsMisread::of(&anything, 0.01, Scale::Volts, value, &[]),
            is_found_again: false,
        };
        values.iter().map(one).collect()
    }

    fn joint(shown: Vec<Rc<Prediction>>, values: &[f64]) -> Joint {
        Joint::of(shown.into_iter(), &taken(values))
    }

    /// ln of the chance that a reading is neither misread, which one in a hundred is,
    /// nor of what departs from the drawing.
    fn right() -> f64 {
        (0.99 * (1.0 - built_in_tables().expect("tables").belief.departs)).ln()
    }

    /// Two readings that sag together are no surprise together: the density
    /// equals that of the two-dimensional normal, worked by hand.
    #[test]
    fn correlated_readings_are_weighed_jointly() {
        let joint = joint(vec![shown(12.0, 0.3, 0.05), shown(11.0, 0.3, 0.05)], &[11.6, 10.6]);
        let (variance, covariance) = (0.0925f64, 0.09f64);
        let determinant = variance * variance - covariance * covariance;
        let fit = 2.0 * 0.4 * 0.4 * (variance - covariance) / determinant;
        let expected = -0.5 * (fit + determinant.ln()) - std::f64::consts::TAU.ln() + 2.0 * right();
        assert!((joint.log_likelihood.ln() - expected).abs() < 1e-9, "{:?} {expected}", joint.log_likelihood);
    }

    #[test]
    fn a_reading_far_from_the_rest_counts_as_misread() {
        let joint = joint(vec![shown(12.0, 0.3, 0.02), shown(12.0, 0.3, 0.02)], &[12.1, 3.3]);
        assert!(joint.is_misread(1) && !joint.is_misread(0));
        assert!(joint.log_likelihood.ln() > -20.0, "{:?}", joint.log_likelihood);
    }

    #[test]
    fn a_forecast_follows_what_was_read() {
        let joint = joint(vec![shown(12.0, 0.3, 0.01)], &[12.3]);
        let forecast = joint.forecast(&shown(11.0, 0.3, 0.01));
        assert!((forecast.mean - 11.3).abs() < 0.002, "{}", forecast.mean);
        assert!(forecast.variance.sqrt() < 0.02, "{}", forecast.variance.sqrt());
    }

    /// Density of many readings, against the covariance matrix factored by hand
    /// (Cholesky), which the bordered inverse never sees.
    #[test]
    fn bordering_comes_to_the_same_as_factoring_all_at_once() {
        let count = 40;
        let shared = |index: usize, quantity: usize| 0.2 * ((index * 7 + quantity * 13) % 11) as f64 / 11.0;
        let shown: Vec<Rc<Prediction>> = (0..count)
            .map(|index| {
                let mut shown = (*shown(12.0, 0.0, 0.02)).clone();
                shown.loadings = Loadings::of((0..6).map(|quantity| (quantity, shared(index, quantity)))).into();
                Rc::new(shown)
            })
            .collect();
        let values: Vec<f64> = (0..count).map(|index| 12.0 + 0.3 * shared(index, 2) - 0.1 * shared(index, 5)).collect();
        let joint = joint(shown.clone(), &values);
        let mut lower = vec![0.0; count * count];
        let (mut log_density, mut solved) = (0.0, vec![0.0; count]);
        for row in 0..count {
            for column in 0..=row {
                let dot: f64 = (0..column).map(|k| lower[row * count + k] * lower[column * count + k]).sum();
                let own = if row == column { shown[row].own_variance } else { 0.0 };
                let rest = shown[row].covariance(&shown[column]) + own - dot;
                lower[row * count + column] =
                    if row == column { rest.sqrt() } else { rest / lower[column * count + column] };
            }
            let dot: f64 = (0..row).map(|k| lower[row * count + k] * solved[k]).sum();
            solved[row] = (values[row] - shown[row].mean - dot) / lower[row * count + row];
            log_density += log_normal(solved[row], 1.0) - lower[row * count + row].ln() + right();
        }
        assert!((joint.log_likelihood.ln() - log_density).abs() < 1e-6, "{:?} {log_density}", joint.log_likelihood);
    }

    /// A misread that comes first is known for one once others speak against it.
    #[test]
    fn what_was_right_comes_in_again() {
        let all = vec![shown(12.0, 0.3, 0.02); 4];
        let joint = joint(all, &[9.0, 12.1, 12.1, 12.12]);
        let doubted: Vec<usize> = (0..4).filter(|&reading| joint.is_misread(reading)).collect();
        assert_eq!(doubted, [0]);
    }

    /// Of two readings that one conductor moves together, the density where it departs:
    /// its deviation is three times as large; by the determinant worked by hand.
    #[test]
    fn what_readings_share_may_depart() {
        let figures = &built_in_tables().expect("tables").belief;
        let (shown, taken) = (vec![shown(0.020, 0.003, 0.0005); 2], taken(&[0.036, 0.036]));
        let as_drawn = Joint::of(shown.iter().cloned(), &taken);
        let conductor = |quantity: usize| (quantity == 0).then_some(0.35);
        let departing = as_drawn.suspected(figures, &taken, conductor).expect("far off");
        let grow = |joint: Joint, shown: &Rc<Prediction>| joint.with(Rc::clone(shown), &taken);
        let departing = shown.iter().fold(Joint::where_departs(departing), grow);
        let (shared, own) = (0.009f64.powi(2), 0.0005f64.powi(2));
        let rest = shared + own - shared * shared / (shared + own);
        let density = log_normal(0.016, shared + own) + log_normal(0.016 - shared / (shared + own) * 0.016, rest);
        let expected = density + 2.0 * right() + figures.departs.ln();
        assert!((departing.log_likelihood.ln() - expected).abs() < 1e-9, "{:?}", departing.log_likelihood);
        assert!(departing.log_likelihood > as_drawn.log_likelihood);
        let forecast = departing.forecast(&self::shown(0.020, 0.003, 0.0005));
        assert!((forecast.mean - 0.036).abs() < 0.0002, "{}", forecast.mean);
    }

    /// What is as drawn, or nowhere near, is no sign of it.
    #[test]
    fn nothing_departs_where_all_fits_or_nothing_does() {
        let figures = &built_in_tables().expect("tables").belief;
        for value in [0.023, 12.5] {
            let taken = taken(&[value, value]);
            let as_drawn = Joint::of(vec![shown(0.020, 0.003, 0.0005); 2].into_iter(), &taken);
            assert_eq!(as_drawn.suspected(figures, &taken, |_| Some(0.35)), None, "{value}");
        }
    }
}
