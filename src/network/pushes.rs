//! What an ampere does at every point, remembered for what was asked for last.

use rustc_hash::FxHashMap;
use std::cell::RefCell;
use std::rc::Rc;

/// Numbers that one solution remembers of each kind, at most: what is asked for
/// again is asked for soon, and 5,000 points times as many would be 200 MB.
const MOST_KEPT: usize = 1 << 20;

/// Voltages at every point, and last at ground, for an ampere.
pub type Push = Rc<[f64]>;

/// Those of a solution.
#[derive(Default)]
pub struct Pushes {
    /// Into each point, out at ground.
    points: RefCell<Points>,
    /// Between two points.
    pairs: RefCell<FxHashMap<(usize, usize), Push>>,
}

#[derive(Default)]
struct Points {
    known: Vec<Option<Push>>,
    count: usize,
}

impl Pushes {
    /// For an ampere into a point of so many, worked out if it is not known.
    pub fn at_point(&self, points: usize, point: usize, work_out: impl FnOnce() -> Push) -> Push {
        if let Some(Some(known)) = self.points.borrow().known.get(point) {
            return Rc::clone(known);
        }
        let push = work_out();
        let mut kept = self.points.borrow_mut();
        if kept.known.is_empty() || kept.count * push.len() >= MOST_KEPT {
            kept.known.clear();
            kept.known.resize(points, None);
            kept.count = 0;
        }
        kept.known[point] = Some(Rc::clone(&push));
        kept.count += 1;
        push
    }

    /// For an ampere into the first point and out at the second.
    pub fn between(&self, from: usize, to: usize, work_out: impl FnOnce() -> Push) -> Push {
        if let Some(known) = self.pairs.borrow().get(&(from, to)) {
            return Rc::clone(known);
        }
        let push = work_out();
        let mut kept = self.pairs.borrow_mut();
        if kept.len() * push.len() >= MOST_KEPT {
            kept.clear();
        }
        kept.insert((from, to), Rc::clone(&push));
        push
    }
}
