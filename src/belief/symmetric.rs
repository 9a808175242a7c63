//! A symmetric matrix by its lower triangle, row after row: a further row goes
//! to the end.

/// The matrix.
#[derive(Debug, Clone, Default)]
pub(super) struct Symmetric {
    size: usize,
    lower: Vec<f64>,
}

impl Symmetric {
    fn row(&self, row: usize) -> &[f64] {
        let start = row * (row + 1) / 2;
        &self.lower[start..=start + row]
    }

    pub fn diagonal(&self, row: usize) -> f64 {
        self.lower[row * (row + 1) / 2 + row]
    }

    pub fn times(&self, vector: &[f64]) -> Vec<f64> {
        let mut product = vec![0.0; self.size];
        for row in 0..self.size {
            let entries = self.row(row);
            let (before, at) = (&entries[..row], entries[row]);
            let scale = vector[row];
            let mut sum = at * scale;
            for ((entry, value), product) in before.iter().zip(vector).zip(&mut product) {
                sum += entry * value;
                *product += entry * scale;
            }
            product[row] += sum;
        }
        product
    }

    /// The inverse of a matrix with one more row and column, from its own
    /// inverse: `through` is this times the new column, `left` the new diagonal
    /// less what is known of it.
    pub fn border(&mut self, through: &[f64], left: f64) {
        let mut place = 0;
        for row in 0..self.size {
            let share = through[row] / left;
            let entries = &mut self.lower[place..=place + row];
            entries.iter_mut().zip(through).for_each(|(entry, through)| *entry += share * through);
            place += row + 1;
        }
        self.lower.extend(through.iter().map(|through| -through / left));
        self.lower.push(1.0 / left);
        self.size += 1;
    }

    /// The inverse of a matrix less one row and its column, from its own inverse.
    pub fn without(&self, left_out: usize) -> Self {
        let entry = |a: usize, b: usize| self.row(a.max(b))[a.min(b)];
        let column: Vec<f64> = (0..self.size).map(|row| entry(row, left_out)).collect();
        let pivot = column[left_out];
        let mut lower = Vec::with_capacity(self.lower.len() - self.size);
        for row in (0..self.size).filter(|&row| row != left_out) {
            let share = column[row] / pivot;
            let kept = self.row(row).iter().zip(&column).enumerate().filter(|(at, _)| *at != left_out);
            lower.extend(kept.map(|(_, (entry, other))| entry - share * other));
        }
        Self { size: self.size - 1, lower }
    }
}
