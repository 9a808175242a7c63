//! Columns of the inverse Z = Y⁻¹ of the nodal matrix: Z·e is what an ampere
//! injected at a point does to the voltages, Z·(eₐ − e_b) what one between two
//! points does. Those asked for last are remembered; all of them would be as
//! many numbers as points squared, in every state.

use rustc_hash::FxHashMap;
use std::cell::RefCell;
use std::rc::Rc;

/// Numerical: numbers that one solution remembers of each kind, at most: what is
/// asked for again is asked for soon, and 5,000 points times as many would be 200
/// MB.
const LARGEST_MEMORY: usize = 1 << 20;

/// Voltages at every point, and last at ground, for an ampere.
pub type Column = Rc<[f64]>;

/// The remembered columns of a solution.
#[derive(Default)]
pub struct Columns {
    /// Into each point, out at ground.
    points: RefCell<Points>,
    /// Between two points.
    pairs: RefCell<FxHashMap<(usize, usize), Column>>,
}

#[derive(Default)]
struct Points {
    columns: Vec<Option<Column>>,
    count: usize,
}

impl Columns {
    /// For an ampere into a point of so many, worked out if it is not known.
    pub fn at_point(&self, points: usize, point: usize, work_out: impl FnOnce() -> Column) -> Column {
        if let Some(Some(known)) = self.points.borrow().columns.get(point) {
            return Rc::clone(known);
        }
        let column = work_out();
        let mut known = self.points.borrow_mut();
        if known.columns.is_empty() || known.count * column.len() >= LARGEST_MEMORY {
            known.columns.clear();
            known.columns.resize(points, None);
            known.count = 0;
        }
        known.columns[point] = Some(Rc::clone(&column));
        known.count += 1;
        column
    }

    /// For an ampere into the first point and out at the second.
    pub fn between(&self, from: usize, to: usize, work_out: impl FnOnce() -> Column) -> Column {
        if let Some(known) = self.pairs.borrow().get(&(from, to)) {
            return Rc::clone(known);
        }
        let column = work_out();
        let mut known = self.pairs.borrow_mut();
        if known.len() * column.len() >= LARGEST_MEMORY {
            known.clear();
        }
        known.insert((from, to), Rc::clone(&column));
        column
    }
}
