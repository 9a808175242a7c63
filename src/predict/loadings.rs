//! A sparse vector of loadings: a reading hangs on few of all uncertain
//! quantities.

/// Numerical: a loading smaller than this moves no display, V, A or a share of
/// a resistance.
const LEAST: f64 = 1e-9;

/// Loadings that are not nought, with the positions of their quantities, lowest
/// first.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Loadings {
    at: Vec<u32>,
    values: Vec<f64>,
}

impl Loadings {
    /// Of positions that rise.
    pub fn of(loadings: impl Iterator<Item = (usize, f64)>) -> Self {
        let mut all = Self::default();
        loadings.for_each(|(at, value)| all.push(at, value));
        all
    }

    /// One more, beyond all so far.
    pub(super) fn push(&mut self, at: usize, value: f64) {
        if value.abs() > LEAST {
            self.at.push(at as u32);
            self.values.push(value);
        }
    }

    /// Less those of another.
    pub(super) fn less(mut self, other: &Self) -> Self {
        other.iter().for_each(|(at, value)| self.add(at, -value));
        self
    }

    /// Adds to one, wherever it stands.
    pub(super) fn add(&mut self, at: usize, value: f64) {
        match self.at.binary_search(&(at as u32)) {
            Ok(place) => self.values[place] += value,
            Err(place) if value.abs() > LEAST => {
                self.at.insert(place, at as u32);
                self.values.insert(place, value);
            }
            Err(_) => {}
        }
    }

    /// That of one quantity.
    pub fn of_quantity(&self, at: usize) -> f64 {
        self.at.binary_search(&(at as u32)).map_or(0.0, |place| self.values[place])
    }

    /// Each with its position.
    pub fn iter(&self) -> impl Iterator<Item = (usize, f64)> + '_ {
        self.at.iter().zip(&self.values).map(|(&at, &value)| (at as usize, value))
    }

    /// How many there are.
    pub fn len(&self) -> usize {
        self.at.len()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.at.is_empty()
    }

    /// Those of some quantities alone.
    pub fn retain(&mut self, keeps: impl Fn(usize) -> bool) {
        *self = Self::of(self.iter().filter(|&(at, _)| keeps(at)).collect::<Vec<_>>().into_iter());
    }

    /// The same with its noughts, for many products with it.
    pub(super) fn dense(&self) -> Vec<f64> {
        let mut dense = vec![0.0; self.at.last().map_or(0, |&last| last as usize + 1)];
        self.iter().for_each(|(at, value)| dense[at] = value);
        dense
    }

    /// The products with another that is dense, as [`Loadings::dot`] has them to
    /// the last bit: a nought adds nothing.
    pub(super) fn dot_dense(&self, dense: &[f64], first: usize) -> (f64, f64) {
        let (mut of_first, mut of_all) = (0.0, 0.0);
        for (&at, value) in self.at.iter().zip(&self.values) {
            let Some(other) = dense.get(at as usize) else { break };
            let product = value * other;
            of_all += product;
            if (at as usize) < first {
                of_first += product;
            }
        }
        (of_first, of_all)
    }

    /// The products with another, of the first `first` quantities and of all.
    pub(super) fn dot(&self, other: &Self, first: usize) -> (f64, f64) {
        let (mut of_first, mut of_all) = (0.0, 0.0);
        let (mut here, mut there) = (0, 0);
        while here < self.at.len() && there < other.at.len() {
            let (a, b) = (self.at[here], other.at[there]);
            if a == b {
                let product = self.values[here] * other.values[there];
                of_all += product;
                if (a as usize) < first {
                    of_first += product;
                }
            }
            here += usize::from(a <= b);
            there += usize::from(b <= a);
        }
        (of_first, of_all)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn products_meet_where_both_have_something() {
        let one = Loadings::of([(0, 2.0), (3, 1.0), (7, -1.0)].into_iter());
        let other = Loadings::of([(0, 0.5), (2, 9.0), (7, 4.0)].into_iter());
        assert_eq!(one.dot(&other, 1), (1.0, -3.0));
        assert_eq!(other.dot(&one, 8), (-3.0, -3.0));
        assert_eq!(one.dot_dense(&other.dense(), 1), (1.0, -3.0));
        assert_eq!(other.dot_dense(&one.dense(), 8), (-3.0, -3.0));
    }

    #[test]
    fn what_is_added_stands_in_its_place() {
        let mut one = Loadings::of([(1, 2.0), (3, 1.0)].into_iter());
        one.add(2, 5.0);
        one.add(3, 0.5);
        assert_eq!(one.iter().collect::<Vec<_>>(), [(1, 2.0), (2, 5.0), (3, 1.5)]);
        one.retain(|at| at != 2);
        assert_eq!((one.len(), one.of_quantity(3), one.of_quantity(2)), (2, 1.5, 0.0));
    }
}
