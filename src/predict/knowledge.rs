//! What is known of the parts of this one vehicle, beyond what tables say of
//! such parts: from readings taken while all was well.
//!
//! Conditioning of a normal vector: the deviations θ ~ N(0, I) have mean m and
//! covariance I − G after those readings. Of a deviation the share k stays, the
//! rest drifts so that what was not read is as wide as before: mean k m,
//! covariance I − k² G. With the Cholesky factor C = I − k² G = A Aᵀ a reading of
//! loadings a has mean μ + aᵀ k m and loadings Aᵀ a on quantities that are
//! independent again.

use super::loadings::Loadings;
use super::uncertain::Uncertain;
use crate::tables::spreads::Spreads;

/// Numerical: a pivot of a covariance that rounding has made nought or less.
const LEAST_PIVOT: f64 = 1e-9;

/// Means and covariances of uncertain quantities, in units of their deviation
/// by the tables.
#[derive(Debug, Clone, PartialEq)]
pub struct PartKnowledge {
    quantities: Vec<Uncertain>,
    mean: Vec<f64>,
    /// What is gone of the covariance, which was the identity; row by row.
    gone: Vec<f64>,
}

/// The same for the quantities of one [`Uncertainties`](super::Uncertainties).
#[derive(Debug, Clone, PartialEq)]
pub struct Informed {
    /// Positions of those that something is known of.
    at: Vec<usize>,
    mean: Vec<f64>,
    /// Lower Cholesky factor of what is left of the covariance, row by row.
    factor: Vec<f64>,
}

impl PartKnowledge {
    /// From the means and what is gone of the covariance on the day of the
    /// readings. Supplies and meters are others on another day.
    pub fn of(spreads: &Spreads, quantities: &[Uncertain], mean: &[f64], gone: &[f64]) -> Self {
        let kept = spreads.kept_since_handover;
        let size = quantities.len();
        let lasts = |&at: &usize| quantities[at].lasts();
        let is_known = |&at: &usize| kept * kept * gone[at * size + at] > spreads.known_from;
        let lasting: Vec<usize> = (0..size).filter(lasts).filter(is_known).collect();
        let pairs = lasting.iter().flat_map(|&row| lasting.iter().map(move |&column| row * size + column));
        Self {
            gone: pairs.map(|at| kept * kept * gone[at]).collect(),
            mean: lasting.iter().map(|&at| kept * mean[at]).collect(),
            quantities: lasting.iter().map(|&at| quantities[at]).collect(),
        }
    }

    /// What of it concerns these quantities.
    pub(super) fn among(&self, quantities: impl Iterator<Item = Uncertain>) -> Informed {
        let place = |one: Uncertain| self.quantities.iter().position(|known| *known == one);
        let (at, known): (Vec<usize>, Vec<usize>) =
            quantities.enumerate().filter_map(|(at, one)| Some((at, place(one)?))).unzip();
        let size = self.quantities.len();
        let left = |row: usize, column: usize| {
            f64::from(u8::from(row == column)) - self.gone[known[row] * size + known[column]]
        };
        Informed { factor: cholesky(at.len(), left), mean: known.iter().map(|&at| self.mean[at]).collect(), at }
    }
}

impl Informed {
    /// Moves loadings to quantities that are independent again, and returns
    /// what is known to move the value itself.
    pub fn applied(&self, loadings: &mut Loadings) -> f64 {
        let size = self.at.len();
        let mut mixed = vec![0.0; size];
        let (mut moved, mut reaches) = (0.0, 0);
        let mut others: Vec<(usize, f64)> = Vec::with_capacity(loadings.len());
        for (at, loading) in loadings.iter() {
            let Ok(row) = self.at.binary_search(&at) else {
                others.push((at, loading));
                continue;
            };
            moved += loading * self.mean[row];
            reaches = row + 1;
            let factors = &self.factor[row * size..=row * size + row];
            mixed.iter_mut().zip(factors).for_each(|(sum, factor)| *sum += factor * loading);
        }
        others.extend(self.at.iter().copied().zip(mixed).take(reaches));
        others.sort_unstable_by_key(|&(at, _)| at);
        *loadings = Loadings::of(others.into_iter());
        moved
    }
}

/// Lower factor of a positive definite matrix. What is left of a covariance is
/// at least what drifts, so the pivots are above zero.
fn cholesky(size: usize, matrix: impl Fn(usize, usize) -> f64) -> Vec<f64> {
    let mut lower = vec![0.0; size * size];
    for row in 0..size {
        for column in 0..=row {
            let dot: f64 = (0..column).map(|k| lower[row * size + k] * lower[column * size + k]).sum();
            let rest = matrix(row, column) - dot;
            lower[row * size + column] =
                if row == column { rest.max(LEAST_PIVOT).sqrt() } else { rest / lower[column * size + column] };
        }
    }
    lower
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::built_in_tables;
    use crate::vehicle::PartId;

    /// Of one quantity known to a hundredth of its variance, what is left is
    /// that and what has drifted since.
    #[test]
    fn what_is_known_narrows_and_drift_widens() {
        let spreads = &built_in_tables().expect("tables").spreads;
        let kept = spreads.kept_since_handover;
        let quantity = Uncertain::Resistance(PartId::new(0));
        let known = PartKnowledge::of(spreads, &[quantity], &[1.5], &[0.99]);
        let mut loadings = Loadings::of([(0, 0.2), (1, 7.0)].into_iter());
        let moved = known.among([quantity].into_iter()).applied(&mut loadings);
        assert!((moved - 0.2 * 1.5 * kept).abs() < 1e-12);
        let left = 1.0 - kept * kept * 0.99;
        let narrowed = loadings.of_quantity(0) - 0.2 * left.sqrt();
        assert!(narrowed.abs() < 1e-12 && loadings.of_quantity(1) == 7.0, "{loadings:?}");
    }

    /// Two that are known by their sum alone: the sum is narrow, the difference
    /// as wide as before.
    #[test]
    fn what_is_known_of_a_sum_stays_of_the_sum() {
        let spreads = &built_in_tables().expect("tables").spreads;
        let kept = spreads.kept_since_handover;
        let quantities = [0, 1].map(|part| Uncertain::Resistance(PartId::new(part)));
        let known = PartKnowledge::of(spreads, &quantities, &[0.5, 0.5], &[0.5, 0.5, 0.5, 0.5]);
        let informed = known.among(quantities.into_iter());
        let variance = |loadings: [f64; 2]| {
            let mut loadings = Loadings::of(loadings.into_iter().enumerate());
            informed.applied(&mut loadings);
            loadings.dot(&loadings, 0).1
        };
        assert!((variance([1.0, 1.0]) - (2.0 - 2.0 * kept * kept)).abs() < 1e-9);
        assert!((variance([1.0, -1.0]) - 2.0).abs() < 1e-9);
    }
}
