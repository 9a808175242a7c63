//! Columns of the inverse Z = Y⁻¹ of the nodal matrix: Z·e is what an ampere
//! injected at a point does to the voltages, Z·(eₐ − e_b) what one between two
//! points does. All of them would be as many numbers as points squared, in every
//! state.

use super::entries::Entries;
use super::factor::Column;
use crate::memo::{Capacity, Memo};
use std::rc::Rc;

/// Numerical: numbers that one solution holds of each kind, at most: what is
/// asked for again is asked for soon, and 5,000 points times as many would be 200
/// MB.
const NUMBERS: usize = 1 << 20;

/// Numerical: numbers that one column holds of which little is asked for, about.
const ENTRIES: usize = 1 << 8;

/// The columns of a solution that are known.
pub struct Columns {
    /// Into each point, out at ground.
    points: Memo<usize, Column>,
    /// Between two points.
    pairs: Memo<(usize, usize), Column>,
    /// Of which little is asked for.
    entries: Memo<(usize, usize), Rc<Entries>>,
    /// Of those into a point and out at ground, what stands at the point.
    own: Memo<usize, f64>,
}

impl Default for Columns {
    fn default() -> Self {
        let numbers = Capacity(NUMBERS);
        Self {
            points: Memo::new(numbers),
            pairs: Memo::new(numbers),
            entries: Memo::new(numbers),
            own: Memo::new(numbers),
        }
    }
}

impl Columns {
    /// For an ampere into a point and out at ground.
    pub fn at_point(&self, point: usize, work_out: impl FnOnce() -> Column) -> Column {
        self.points.get_or_weighing(point, |column| column.len(), work_out)
    }

    /// For an ampere into the first point and out at the second.
    pub fn between(&self, from: usize, to: usize, work_out: impl FnOnce() -> Column) -> Column {
        self.pairs.get_or_weighing((from, to), |column| column.len(), work_out)
    }

    /// The same where little of it is asked for.
    pub fn entries(&self, from: usize, to: usize, work_out: impl FnOnce() -> Rc<Entries>) -> Rc<Entries> {
        self.entries.get_or_weighing((from, to), |_| ENTRIES, work_out)
    }

    /// What stands at the point itself for an ampere into it and out at ground.
    pub fn own(&self, point: usize, work_out: impl FnOnce() -> f64) -> f64 {
        self.own.get_or(point, work_out)
    }
}
