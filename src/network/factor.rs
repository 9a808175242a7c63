//! The sparse Cholesky factorisation of a nodal matrix.

use super::SolveError;
use faer::prelude::Solve;
use faer::sparse::linalg::solvers::{Llt, SymbolicLlt};
use faer::sparse::{SparseColMat, SymbolicSparseColMat, Triplet};
use faer::{Col, Side};
use std::cell::RefCell;

/// Orderings of the matrices met so far: half the work of a factorisation, and
/// the same whenever only values have changed.
#[derive(Default)]
pub struct Patterns {
    known: RefCell<Vec<(SymbolicSparseColMat<usize>, SymbolicLlt<usize>)>>,
}

impl Patterns {
    fn of(&self, matrix: &SparseColMat<usize, f64>) -> Result<SymbolicLlt<usize>, SolveError> {
        let wanted = matrix.symbolic();
        let same = |known: &SymbolicSparseColMat<usize>| {
            known.col_ptr() == wanted.col_ptr() && known.row_idx() == wanted.row_idx()
        };
        if let Some((_, symbolic)) = self.known.borrow().iter().find(|(known, _)| same(known)) {
            return Ok(symbolic.clone());
        }
        let symbolic = SymbolicLlt::try_new(wanted, Side::Lower).map_err(|_| SolveError::Factor)?;
        let owned = wanted.to_owned().map_err(|_| SolveError::Factor)?;
        self.known.borrow_mut().push((owned, symbolic.clone()));
        Ok(symbolic)
    }
}

/// A factored nodal matrix.
pub struct Factor {
    llt: Llt<usize, f64>,
    size: usize,
}

impl Factor {
    /// Factors the matrix of conductances between points, one point tied to ground.
    ///
    /// # Errors
    /// [`SolveError::Factor`] if it is not positive definite.
    pub fn new(
        patterns: &Patterns,
        size: usize,
        between: impl Iterator<Item = (usize, usize, f64)>,
        to_ground: (usize, f64),
    ) -> Result<Self, SolveError> {
        let mut diagonal = vec![0.0; size];
        let mut entries = Vec::new();
        for (a, b, conductance) in between.filter(|&(a, b, _)| a != b) {
            diagonal[a] += conductance;
            diagonal[b] += conductance;
            entries.push(Triplet::new(a.max(b), a.min(b), -conductance));
        }
        diagonal[to_ground.0] += to_ground.1;
        entries.extend(diagonal.iter().enumerate().map(|(point, &sum)| Triplet::new(point, point, sum)));
        let matrix =
            SparseColMat::<usize, f64>::try_new_from_triplets(size, size, &entries).map_err(|_| SolveError::Factor)?;
        let llt = Llt::try_new_with_symbolic(patterns.of(&matrix)?, matrix.as_ref(), Side::Lower)
            .map_err(|_| SolveError::Factor)?;
        Ok(Self { llt, size })
    }

    /// Voltages for currents injected at the points.
    pub fn solve(&self, injected: &[f64]) -> Vec<f64> {
        let right = Col::from_fn(self.size, |point| injected[point]);
        let solution = self.llt.solve(&right);
        (0..self.size).map(|point| solution[point]).collect()
    }

    /// Voltages for one ampere injected at one point.
    pub fn column(&self, point: usize) -> Vec<f64> {
        let mut injected = vec![0.0; self.size];
        injected[point] = 1.0;
        self.solve(&injected)
    }
}
