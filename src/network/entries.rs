//! Single entries of the inverse Z = Y⁻¹ of the nodal matrix: of a column only what
//! is asked for. Elimination of one injected ampere touches no place but those that
//! follow its own, and a voltage hangs on no place but those that follow its own, so
//! that an entry costs as much as the way to the last place and not as the network
//! (Tinney, Brandwajn and Chan, *Sparse vector methods*, 1985).

use super::factor::{Factor, Pattern};
use rustc_hash::FxHashMap;
use std::cell::RefCell;
use std::rc::Rc;

/// What an ampere into one point and out at another does, point by point.
pub struct Entries {
    factor: Rc<Factor>,
    pattern: Rc<Pattern>,
    /// What elimination leaves at the places that it touches.
    injected: FxHashMap<usize, f64>,
    /// Voltages by place, as far as they were asked for.
    known: RefCell<FxHashMap<usize, f64>>,
}

impl Entries {
    pub(super) fn between(factor: &Rc<Factor>, pattern: &Rc<Pattern>, from: usize, to: usize) -> Self {
        let injected = factor.eliminated(pattern, from, to);
        Self { factor: Rc::clone(factor), pattern: Rc::clone(pattern), injected, known: RefCell::default() }
    }

    /// Voltage of a point, Ω; that of ground, the last, is 0.
    pub fn at(&self, point: usize) -> f64 {
        let known = &mut *self.known.borrow_mut();
        let asked = self.pattern.place_of(point);
        let is_open = |place: &usize| !known.contains_key(place);
        let way: Vec<usize> =
            std::iter::successors(Some(asked), |&at| self.pattern.next(at)).take_while(is_open).collect();
        for &at in way.iter().rev() {
            let volts = |other: usize| known.get(&other).copied().unwrap_or_default();
            let value = self.injected.get(&at).copied().unwrap_or_default() + self.factor.from_later(&self.pattern, at, volts);
            known.insert(at, value);
        }
        known.get(&asked).copied().unwrap_or_default()
    }

    /// Voltage between two points, Ω.
    pub fn across(&self, from: usize, to: usize) -> f64 {
        self.at(from) - self.at(to)
    }
}
