//! Multivariate normal density with outliers: correlated readings, which of them
//! sit badly with the rest, and what they say of a further one.
//!
//! ln p(y) = −½ (dᵀ S⁻¹ d + ln det 2πS), d = y − μ. A reading whose density given the
//! others is below that of an outlier (chance times density of a misread) is taken
//! out, the worst first, and counts as one. A further reading has mean μ* + cᵀ S⁻¹ d
//! and variance s* − cᵀ S⁻¹ c (conditioning), c its covariance with the others.

use crate::odds::LogWeight;
use crate::predict::{Prediction, Scale};
use crate::tables::Tables;
use crate::tables::belief::Weighing;
use crate::vehicle::Vehicle;
use std::rc::Rc;

/// Numerical: what readings leave of a size's unit variance, at least.
const LEAST_VARIANCE: f64 = 1e-6;
/// Numerical: a pivot of a covariance that rounding has made nought or less.
const LEAST_PIVOT: f64 = 1e-12;

/// What a misread reading may show: density by value, 1/V.
#[derive(Debug, Clone, Copy)]
pub struct Outlier<'t> {
    figures: &'t Weighing,
    /// Chance of it.
    pub chance: f64,
    /// Supply voltage: half of misreads are the wrong pin, and that is mostly
    /// at supply voltage or at none.
    pub supply: f64,
    /// ln Ω that an ohmmeter shows of leads joined, and of no path.
    pub log_ohms: (f64, f64),
}

impl<'t> Outlier<'t> {
    /// On a vehicle, whose supply stands a little above nominal.
    pub fn on(tables: &'t Tables, vehicle: &Vehicle, chance: f64) -> Self {
        let log_ohms = [0.0, f64::INFINITY].map(|ohms| Scale::of_ohms(&tables.instruments, ohms)).into();
        let figures = &tables.belief;
        Self { figures, chance, supply: vehicle.nominal.0 * figures.misread_supply, log_ohms }
    }

    /// ln of chance times density at a value of a scale.
    pub fn log_density(&self, scale: Scale, value: f64) -> f64 {
        let figures = self.figures;
        let at = |mean: f64, deviation: f64| log_normal(value - mean, deviation * deviation).exp();
        let density = match scale {
            Scale::Volts => {
                let [any, nought, supply] = figures.misread_volts;
                let span = figures.misread_span * self.supply;
                let flat = if value.abs() <= span / 2.0 { 1.0 / span } else { figures.misread_beyond };
                any * flat
                    + nought * at(0.0, figures.misread_nought.0)
                    + supply * at(self.supply, figures.misread_at_supply * self.supply)
            }
            // From leads joined to no path, with both ends common.
            Scale::LogOhms => {
                let (least, most) = self.log_ohms;
                let ([any, joined, none], deviation) = (figures.misread_ohms, figures.misread_log_ohms);
                any / (most - least) + joined * at(least, deviation) + none * at(most, deviation)
            }
            Scale::Amps => {
                let ([any, none], [wide, narrow]) = (figures.misread_amps, figures.misread_amps_deviation);
                any * at(0.0, wide) + none * at(0.0, narrow)
            }
        };
        (self.chance * density).ln()
    }
}

/// Readings under one hypothesis.
#[derive(Debug, Clone)]
pub struct Joint {
    /// What each reading was expected to show.
    pub predictions: Vec<Rc<Prediction>>,
    /// Which readings count; the others are taken as misread.
    pub inliers: Vec<usize>,
    /// Probability density of all readings.
    pub log_likelihood: LogWeight,
    /// Inverse covariance of the kept readings, row by row.
    inverse: Vec<f64>,
    /// Inverse covariance times deviation.
    pull: Vec<f64>,
}

/// Mean and variance of a reading given those already taken.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Forecast {
    /// Expected value.
    pub mean: f64,
    /// Variance.
    pub variance: f64,
}

impl Joint {
    /// Weighs `values` against what was expected.
    pub fn new(shown: Vec<Rc<Prediction>>, values: &[f64], misread: Outlier<'_>) -> Self {
        let mistaken: Vec<f64> =
            shown.iter().zip(values).map(|(shown, &value)| misread.log_density(shown.scale, value)).collect();
        Self::against(shown, values, &mistaken, misread.chance)
    }

    /// The same where ln of chance times density of each reading as a misread is
    /// known.
    pub fn against(predictions: Vec<Rc<Prediction>>, values: &[f64], mistaken: &[f64], chance: f64) -> Self {
        let mut inliers: Vec<usize> = (0..values.len()).collect();
        let mut deviations: Vec<f64> =
            values.iter().zip(&predictions).map(|(value, shown)| value - shown.mean).collect();
        let (mut inverse, mut log_determinant) = invert(&covariance_of(&predictions), inliers.len());
        let mut penalty = 0.0;
        loop {
            let pull = times(&inverse, &deviations);
            // Density of each given the others, from the inverse alone.
            let worst = inliers
                .iter()
                .enumerate()
                .map(|(row, &index)| {
                    let precision = inverse[row * inliers.len() + row];
                    let given_rest = log_normal(pull[row] / precision, 1.0 / precision);
                    (row, mistaken[index] - given_rest)
                })
                .max_by(|a, b| a.1.total_cmp(&b.1));
            match worst {
                Some((row, gain)) if gain > 0.0 => {
                    penalty += mistaken[inliers[row]];
                    log_determinant += inverse[row * inliers.len() + row].ln();
                    inverse = without(&inverse, inliers.len(), row);
                    inliers.remove(row);
                    deviations.remove(row);
                }
                _ => {
                    let fit: f64 = deviations.iter().zip(&pull).map(|(a, b)| a * b).sum();
                    let count = inliers.len() as f64;
                    let sound = count * ((1.0 - chance).ln() - 0.5 * std::f64::consts::TAU.ln());
                    let log_likelihood = LogWeight::from_ln(sound - 0.5 * (fit + log_determinant) + penalty);
                    return Self { predictions, inliers, log_likelihood, inverse, pull };
                }
            }
        }
    }

    /// What a further reading will show.
    pub fn forecast(&self, next: &Prediction) -> Forecast {
        let with: Vec<f64> = self.inliers.iter().map(|&index| self.predictions[index].covariance(next)).collect();
        let mean = next.mean + with.iter().zip(&self.pull).map(|(a, b)| a * b).sum::<f64>();
        let known: f64 = times(&self.inverse, &with).iter().zip(&with).map(|(a, b)| a * b).sum();
        Forecast { mean, variance: (next.variance() - known).max(next.own_variance) }
    }

    /// What the readings tell of the first `count` quantities that load them:
    /// their means, and what is gone of their covariance, row by row.
    pub fn told(&self, count: usize) -> (Vec<f64>, Vec<f64>) {
        let column = |quantity: usize| -> Vec<f64> {
            self.inliers.iter().map(|&index| self.predictions[index].loadings[quantity]).collect()
        };
        let columns: Vec<Vec<f64>> = (0..count).map(column).collect();
        let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
        let mean = columns.iter().map(|column| dot(column, &self.pull)).collect();
        let weighted: Vec<Vec<f64>> = columns.iter().map(|column| times(&self.inverse, column)).collect();
        let gone = weighted.iter().flat_map(|row| columns.iter().map(|column| dot(row, column)));
        (mean, gone.collect())
    }

    /// Mean and standard deviation of the fault's ln(size), in standard
    /// deviations of its stretch.
    pub fn size_shift(&self) -> (f64, f64) {
        let with: Vec<f64> = self.inliers.iter().map(|&index| self.predictions[index].size_loading()).collect();
        let mean = with.iter().zip(&self.pull).map(|(a, b)| a * b).sum::<f64>();
        let known: f64 = times(&self.inverse, &with).iter().zip(&with).map(|(a, b)| a * b).sum();
        (mean, (1.0 - known).max(LEAST_VARIANCE).sqrt())
    }

    /// Whether a reading is taken as misread.
    pub fn is_outlier(&self, reading: usize) -> bool {
        !self.inliers.contains(&reading)
    }
}

fn covariance_of(shown: &[Rc<Prediction>]) -> Vec<f64> {
    let size = shown.len();
    let mut covariance = vec![0.0; size * size];
    for row in 0..size {
        for column in 0..=row {
            let value = shown[row].covariance(&shown[column]);
            covariance[row * size + column] = value;
            covariance[column * size + row] = value;
        }
        covariance[row * size + row] += shown[row].own_variance;
    }
    covariance
}

/// The inverse of a matrix less one row and its column, from its own inverse.
fn without(inverse: &[f64], size: usize, left_out: usize) -> Vec<f64> {
    let entry = |row: usize, column: usize| inverse[row * size + column];
    let others = || (0..size).filter(|&other| other != left_out);
    let through =
        |row: usize, column: usize| entry(row, left_out) * entry(left_out, column) / entry(left_out, left_out);
    others().flat_map(|row| others().map(move |column| entry(row, column) - through(row, column))).collect()
}

/// ln of the normal density at a deviation.
pub fn log_normal(deviation: f64, variance: f64) -> f64 {
    -0.5 * (deviation * deviation / variance + (std::f64::consts::TAU * variance).ln())
}

fn times(matrix: &[f64], vector: &[f64]) -> Vec<f64> {
    let size = vector.len();
    (0..size).map(|row| (0..size).map(|column| matrix[row * size + column] * vector[column]).sum()).collect()
}

/// Inverse and ln(determinant) of a positive definite matrix, by Cholesky.
/// Every own variance is above zero, so the pivots are too.
fn invert(matrix: &[f64], size: usize) -> (Vec<f64>, f64) {
    let mut lower = matrix.to_vec();
    let mut log_determinant = 0.0;
    for column in 0..size {
        for row in column..size {
            let dot: f64 = (0..column).map(|k| lower[row * size + k] * lower[column * size + k]).sum();
            let rest = lower[row * size + column] - dot;
            lower[row * size + column] =
                if row == column { rest.max(LEAST_PIVOT).sqrt() } else { rest / lower[column * size + column] };
        }
        log_determinant += 2.0 * lower[column * size + column].ln();
    }
    let mut inverse = vec![0.0; size * size];
    for unit in 0..size {
        let mut x = vec![0.0; size];
        for row in unit..size {
            let dot: f64 = (unit..row).map(|k| lower[row * size + k] * x[k]).sum();
            x[row] = (f64::from(u8::from(row == unit)) - dot) / lower[row * size + row];
        }
        for row in (0..size).rev() {
            let dot: f64 = (row + 1..size).map(|k| lower[k * size + row] * x[k]).sum();
            x[row] = (x[row] - dot) / lower[row * size + row];
        }
        (0..size).for_each(|row| inverse[row * size + unit] = x[row]);
    }
    (inverse, log_determinant)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::built_in_tables;

    fn shown(mean: f64, shared: f64, own: f64) -> Rc<Prediction> {
        Rc::new(Prediction {
            scale: Scale::Volts,
            mean,
            floating: false,
            loadings: vec![shared, 0.0, 0.0],
            own_variance: own * own,
            supplies: 0,
            moment: 0,
            drift: 0.0,
        })
    }

    fn joint(shown: Vec<Rc<Prediction>>, values: &[f64]) -> Joint {
        let tables = built_in_tables().expect("tables");
        let misread = Outlier { figures: &tables.belief, chance: 0.01, supply: 12.7, log_ohms: (-1.6, 17.5) };
        Joint::new(shown, values, misread)
    }

    /// Two readings that sag together are no surprise together: the density
    /// equals that of the two-dimensional normal, worked by hand.
    #[test]
    fn correlated_readings_are_weighed_jointly() {
        let joint = joint(vec![shown(12.0, 0.3, 0.05), shown(11.0, 0.3, 0.05)], &[11.6, 10.6]);
        let (variance, covariance) = (0.0925f64, 0.09f64);
        let determinant = variance * variance - covariance * covariance;
        let fit = 2.0 * 0.4 * 0.4 * (variance - covariance) / determinant;
        let expected = -0.5 * (fit + determinant.ln()) - std::f64::consts::TAU.ln() + 2.0 * 0.99f64.ln();
        assert!((joint.log_likelihood.ln() - expected).abs() < 1e-9, "{:?} {expected}", joint.log_likelihood);
    }

    #[test]
    fn a_reading_far_from_the_rest_counts_as_misread() {
        let joint = joint(vec![shown(12.0, 0.3, 0.02), shown(12.0, 0.3, 0.02)], &[12.1, 3.3]);
        assert!(joint.is_outlier(1) && !joint.is_outlier(0));
        assert!(joint.log_likelihood.ln() > -20.0, "{:?}", joint.log_likelihood);
    }

    #[test]
    fn a_forecast_follows_what_was_read() {
        let joint = joint(vec![shown(12.0, 0.3, 0.01)], &[12.3]);
        let forecast = joint.forecast(&shown(11.0, 0.3, 0.01));
        assert!((forecast.mean - 11.3).abs() < 0.002, "{}", forecast.mean);
        assert!(forecast.variance.sqrt() < 0.02, "{}", forecast.variance.sqrt());
    }
}
