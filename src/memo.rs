//! Memoisation (D. Michie, Nature 218, 1968): values of pure functions, kept
//! for the next time they are asked for.
//!
//! One rule for all of it. Whatever decides a value is in its key, or empties
//! the memo when it changes ([`Memo::clear`]); what is full begins anew. So a
//! memo never changes an answer, only when it comes: with none at all
//! ([`Capacity::NONE`]) every answer is the same.

use rustc_hash::FxHashMap;
use std::cell::{Cell, RefCell};
use std::hash::Hash;

/// What a memo may hold, counted in whatever weighs: values, or numbers in them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Capacity(pub usize);

impl Capacity {
    /// Nothing is kept.
    pub const NONE: Self = Self(0);
}

/// Values by what decides them.
#[derive(Debug)]
pub struct Memo<K, V> {
    capacity: Capacity,
    held: Cell<usize>,
    values: RefCell<FxHashMap<K, V>>,
}

impl<K: Eq + Hash, V: Clone> Memo<K, V> {
    /// An empty one.
    pub fn new(capacity: Capacity) -> Self {
        Self { capacity, held: Cell::new(0), values: RefCell::default() }
    }

    /// The value for a key, worked out if it is not known; each counts as one.
    pub fn get_or(&self, key: K, work_out: impl FnOnce() -> V) -> V {
        self.get_or_weighing(key, |_| 1, work_out)
    }

    /// The same where values weigh differently. `work_out` may ask this memo.
    pub fn get_or_weighing(&self, key: K, weight: impl FnOnce(&V) -> usize, work_out: impl FnOnce() -> V) -> V {
        if let Some(known) = self.get(&key) {
            return known;
        }
        let value = work_out();
        self.keep(key, weight(&value), &value);
        value
    }

    /// The value for a key, if it is known.
    pub fn get(&self, key: &K) -> Option<V> {
        self.values.borrow().get(key).cloned()
    }

    /// How many values are known.
    pub fn len(&self) -> usize {
        self.values.borrow().len()
    }

    /// Whether none is.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// Forgets all: something that decides the values and is in no key is
    /// another now.
    pub fn clear(&self) {
        self.values.borrow_mut().clear();
        self.held.set(0);
    }

    fn keep(&self, key: K, weight: usize, value: &V) {
        if self.held.get() + weight > self.capacity.0 {
            self.clear();
        }
        if weight <= self.capacity.0 {
            self.held.set(self.held.get() + weight);
            self.values.borrow_mut().insert(key, value.clone());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn squares(memo: &Memo<u32, u32>, asked: &[u32]) -> (Vec<u32>, usize) {
        let worked_out = Cell::new(0);
        let square = |of: u32| {
            memo.get_or(of, || {
                worked_out.set(worked_out.get() + 1);
                of * of
            })
        };
        (asked.iter().map(|&of| square(of)).collect(), worked_out.get())
    }

    #[test]
    fn what_is_kept_changes_no_answer() {
        let asked = [3, 4, 3, 5, 4, 3, 6, 3];
        let (plain, each) = squares(&Memo::new(Capacity::NONE), &asked);
        assert_eq!(each, asked.len());
        for (capacity, worked_out) in [(1, 8), (2, 6), (100, 4)] {
            assert_eq!(squares(&Memo::new(Capacity(capacity)), &asked), (plain.clone(), worked_out));
        }
    }

    #[test]
    fn heavy_values_begin_anew_sooner_and_too_heavy_ones_are_never_kept() {
        let memo: Memo<u8, u8> = Memo::new(Capacity(10));
        let weighing = |key: u8, weight: usize| memo.get_or_weighing(key, |_| weight, || key);
        weighing(1, 6);
        weighing(2, 4);
        assert_eq!(memo.len(), 2);
        weighing(3, 1);
        assert_eq!((memo.len(), memo.get(&3)), (1, Some(3)));
        weighing(4, 11);
        assert_eq!(memo.get(&4), None);
    }
}
