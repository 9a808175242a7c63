//! Single entries of the inverse Z = Y⁻¹ of the nodal matrix: of a column only what
//! is asked for. Elimination of one injected ampere touches no place but those that
//! follow its own, and a voltage hangs on no place but those that follow its own, so
//! that an entry costs as much as the way to the last place and not as the network
//! (Tinney, Brandwajn and Chan, *Sparse vector methods*, 1985). Of a small network the
//! whole column costs less than keeping account of what of it is known.

use super::factor::{Column, Factor, Pattern};
use rustc_hash::FxHashMap;
use std::cell::RefCell;
use std::rc::Rc;

/// Numerical: points up to which a network is small.
const SMALL: usize = 1000;

/// What an ampere into one point and out at another does, point by point.
pub enum Entries {
    /// Of a small network all of it.
    Whole(Column),
    /// What was asked for.
    Asked(PartialColumn),
}

/// A column as far as it was asked for.
pub struct PartialColumn {
    factor: Rc<Factor>,
    pattern: Rc<Pattern>,
    /// What elimination leaves at the places that it touches.
    injected: FxHashMap<usize, f64>,
    /// Voltages by place, as far as they were asked for.
    known: RefCell<FxHashMap<usize, f64>>,
}

impl Entries {
    /// Of a network with so many points; `whole` is all of the column.
    pub(super) fn between(
        (factor, pattern, points): (&Rc<Factor>, &Rc<Pattern>, usize),
        (from, to): (usize, usize),
        whole: impl FnOnce() -> Column,
    ) -> Self {
        if points <= SMALL {
            Self::Whole(whole())
        } else {
            Self::Asked(PartialColumn::between(factor, pattern, from, to))
        }
    }

    /// Voltage of a point, Ω; that of ground, the last, is 0.
    pub fn at(&self, point: usize) -> f64 {
        match self {
            Self::Whole(column) => column[point],
            Self::Asked(asked) => asked.at(point),
        }
    }

    /// Voltage between two points, Ω.
    pub fn across(&self, from: usize, to: usize) -> f64 {
        self.at(from) - self.at(to)
    }
}

impl PartialColumn {
    fn between(factor: &Rc<Factor>, pattern: &Rc<Pattern>, from: usize, to: usize) -> Self {
        let injected = factor.eliminated(pattern, from, to);
        Self { factor: Rc::clone(factor), pattern: Rc::clone(pattern), injected, known: RefCell::default() }
    }

    fn at(&self, point: usize) -> f64 {
        let known = &mut *self.known.borrow_mut();
        let asked = self.pattern.place_of(point);
        let is_open = |place: &usize| !known.contains_key(place);
        let way: Vec<usize> =
            std::iter::successors(Some(asked), |&at| self.pattern.next(at)).take_while(is_open).collect();
        for &at in way.iter().rev() {
            let volts = |other: usize| known.get(&other).copied().unwrap_or_default();
            let value =
                self.injected.get(&at).copied().unwrap_or_default() + self.factor.gathered(&self.pattern, at, volts);
            known.insert(at, value);
        }
        known.get(&asked).copied().unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::network::graph::Branch;
    use crate::network::law::Law;
    use crate::quantity::Siemens;

    /// Circuits of three points each, side by side on one bus and one chassis.
    fn side_by_side(circuits: usize) -> (Rc<Factor>, Rc<Pattern>, usize) {
        let law = || Law::Resistor(Siemens(1.0));
        let ends = |circuit: usize| {
            let first = 2 + 3 * circuit;
            [(0, first), (first, first + 1), (first + 1, first + 2), (first + 2, 1)]
        };
        let source = std::iter::once((0, 1));
        let ends = source.chain((0..circuits).flat_map(ends));
        let branches: Vec<Branch> = ends.map(|(from, to)| Branch { from, to, law: law() }).collect();
        let points = 2 + 3 * circuits;
        let pattern = Pattern::of(points, &branches);
        let conductances = branches.iter().enumerate().map(|(at, _)| 1.0 + at as f64);
        let factor = Factor::new(&pattern, conductances, std::iter::once((1, 1e-3)));
        (Rc::new(factor.expect("conducts")), Rc::new(pattern), points)
    }

    /// An entry is that of the whole column, into ground and between two points.
    #[test]
    fn an_entry_is_that_of_its_column() {
        let (factor, pattern, points) = side_by_side(9);
        for from in 0..points {
            for to in [points, 0, points / 2] {
                let (entries, column) =
                    (PartialColumn::between(&factor, &pattern, from, to), factor.column_between(&pattern, from, to));
                (0..=points).for_each(|point| assert!((entries.at(point) - column[point]).abs() < 1e-9));
            }
        }
    }

    /// What an entry costs does not grow with what else hangs on the same bus.
    #[test]
    fn an_entry_costs_no_more_in_a_larger_network() {
        let touched = |circuits: usize| {
            let (factor, pattern, points) = side_by_side(circuits);
            let entries = PartialColumn::between(&factor, &pattern, 3, 4);
            let far = entries.at(points - 1);
            assert!(far.is_finite());
            entries.injected.len() + entries.known.borrow().len()
        };
        assert_eq!(touched(10), touched(1000));
    }
}
