//! A sparse vector of loadings: a reading hangs on few of all uncertain
//! quantities.

/// Numerical: a loading smaller than this moves no display, V, A or a share of
/// a resistance.
const LEAST: f64 = 1e-9;

/// Loadings that are not nought, each behind the position of its quantity, lowest
/// first; side by side in memory, where products spend their time.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Loadings(Vec<(u32, f64)>);

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
            self.0.push((at as u32, value));
        }
    }

    /// Less those of another.
    pub(super) fn less(mut self, other: &Self) -> Self {
        other.iter().for_each(|(at, value)| self.add(at, -value));
        self
    }

    /// Adds to one, wherever it stands.
    pub(super) fn add(&mut self, at: usize, value: f64) {
        match self.place_of(at) {
            Ok(place) => self.0[place].1 += value,
            Err(place) if value.abs() > LEAST => self.0.insert(place, (at as u32, value)),
            Err(_) => {}
        }
    }

    /// Where a quantity stands, or would.
    fn place_of(&self, at: usize) -> Result<usize, usize> {
        self.0.binary_search_by_key(&(at as u32), |&(at, _)| at)
    }

    /// That of one quantity.
    pub fn of_quantity(&self, at: usize) -> f64 {
        self.place_of(at).map_or(0.0, |place| self.0[place].1)
    }

    /// Each with its position.
    pub fn iter(&self) -> impl Iterator<Item = (usize, f64)> + '_ {
        self.0.iter().map(|&(at, value)| (at as usize, value))
    }

    /// How many there are.
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Those of some quantities alone.
    pub fn retain(&mut self, keeps: impl Fn(usize) -> bool) {
        *self = Self::of(self.iter().filter(|&(at, _)| keeps(at)).collect::<Vec<_>>().into_iter());
    }

    /// The same with its noughts, for many products with it.
    pub(super) fn dense(&self) -> Vec<f64> {
        let mut dense = vec![0.0; self.0.last().map_or(0, |&(last, _)| last as usize + 1)];
        self.iter().for_each(|(at, value)| dense[at] = value);
        dense
    }

    /// The products with another that is dense, as [`Loadings::dot`] has them to
    /// the last bit: a nought adds nothing.
    pub(super) fn dot_dense(&self, dense: &[f64], first: usize) -> (f64, f64) {
        let (mut of_first, mut of_all) = (0.0, 0.0);
        for (at, value) in self.iter() {
            let Some(other) = dense.get(at) else { break };
            let product = value * other;
            of_all += product;
            if at < first {
                of_first += product;
            }
        }
        (of_first, of_all)
    }

    /// The products with another, of the first `first` quantities and of all.
    pub(super) fn dot(&self, other: &Self, first: usize) -> (f64, f64) {
        let (mut of_first, mut of_all) = (0.0, 0.0);
        let (mut here, mut there) = (0, 0);
        while let (Some(&(a, one)), Some(&(b, other))) = (self.0.get(here), other.0.get(there)) {
            if a == b {
                let product = one * other;
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
