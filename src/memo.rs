//! Memoisation (D. Michie, Nature 218, 1968): values of pure functions, held
//! for the next time they are asked for.
//!
//! One rule for all of it. Whatever decides a value is in its key, or empties
//! the memo when it changes ([`MemoUnder`]); what is full begins anew. So a
//! memo never changes an answer, only when it comes: with none at all
//! ([`Capacity::NONE`]) every answer is the same. A single value that nothing
//! changes for the life of its owner is a `OnceCell` there.

use rustc_hash::FxHashMap;
use serde::{Deserialize, Serialize};
use std::cell::{Cell, RefCell};
use std::hash::Hash;

/// What a memo may hold, counted in whatever weighs: values, or numbers in them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Capacity(pub usize);

impl Capacity {
    /// Nothing is held.
    pub const NONE: Self = Self(0);
}

/// Values by what decides them.
#[derive(Debug, Clone)]
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
        self.hold(key, weight(&value), &value);
        value
    }

    /// The same where there may be none; why there is none is not held.
    ///
    /// # Errors
    /// That of `work_out`.
    pub fn get_or_try<E>(&self, key: K, work_out: impl FnOnce() -> Result<V, E>) -> Result<V, E> {
        if let Some(known) = self.get(&key) {
            return Ok(known);
        }
        let value = work_out()?;
        self.hold(key, 1, &value);
        Ok(value)
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

    /// Forgets all.
    pub fn clear(&self) {
        self.values.borrow_mut().clear();
        self.held.set(0);
    }

    fn hold(&self, key: K, weight: usize, value: &V) {
        if self.held.get() + weight > self.capacity.0 {
            self.clear();
        }
        if weight <= self.capacity.0 {
            self.held.set(self.held.get() + weight);
            self.values.borrow_mut().insert(key, value.clone());
        }
    }
}

/// A memo of values that one thing more decides, the same for all of them and
/// too large for every key: when it changes, the memo is emptied.
#[derive(Debug)]
pub struct MemoUnder<S, K, V> {
    under: RefCell<Option<S>>,
    memo: Memo<K, V>,
}

impl<S: PartialEq + Clone, K: Eq + Hash, V: Clone> MemoUnder<S, K, V> {
    /// An empty one.
    pub fn new(capacity: Capacity) -> Self {
        Self { under: RefCell::new(None), memo: Memo::new(capacity) }
    }

    /// The memo as it is under this.
    pub fn under(&self, now: &S) -> &Memo<K, V> {
        let mut under = self.under.borrow_mut();
        if under.as_ref() != Some(now) {
            self.memo.clear();
        }
        // What is shared is compared faster with itself than with its like.
        *under = Some(now.clone());
        &self.memo
    }
}

/// A memo of values of which each answer asks for those of the one before, and
/// that are too large to be held longer.
#[derive(Debug)]
pub struct LastAnswer<S, K, V> {
    under: RefCell<Option<S>>,
    before: RefCell<FxHashMap<K, V>>,
    now: RefCell<FxHashMap<K, V>>,
    capacity: Capacity,
}

impl<S: PartialEq + Clone, K: Eq + Hash, V: Clone> LastAnswer<S, K, V> {
    /// An empty one, of so many values.
    pub fn new(capacity: Capacity) -> Self {
        Self { under: RefCell::new(None), before: RefCell::default(), now: RefCell::default(), capacity }
    }

    /// A new answer begins: what the last one did not ask for is forgotten.
    pub fn turn(&self, under: &S) {
        let is_same = self.under.borrow().as_ref() == Some(under);
        *self.under.borrow_mut() = Some(under.clone());
        *self.before.borrow_mut() = if is_same { self.now.take() } else { FxHashMap::default() };
        self.now.borrow_mut().clear();
    }

    /// The value for a key, if this answer or the last one had it.
    pub fn get(&self, key: &K) -> Option<V> {
        self.now.borrow().get(key).or(self.before.borrow().get(key)).cloned()
    }

    /// The same, held for the next answer too.
    pub fn again(&self, key: K) -> Option<V> {
        let known = self.get(&key)?;
        self.hold(key, &known);
        Some(known)
    }

    /// Whether there is no room for another one.
    fn is_full(&self) -> bool {
        self.now.borrow().len() >= self.capacity.0
    }

    /// Holds a value, unless there are too many.
    pub fn hold(&self, key: K, value: &V) {
        if !self.is_full() {
            self.now.borrow_mut().insert(key, value.clone());
        }
    }
}

/// Numbers in place of keys that are long: no two keys ever have the same.
#[derive(Debug)]
pub struct Numbers<K> {
    known: LastAnswer<(), K, usize>,
    next: Cell<usize>,
}

impl<K: Eq + Hash> Numbers<K> {
    /// None given yet. What is forgotten gets another one.
    pub fn new(capacity: Capacity) -> Self {
        Self { known: LastAnswer::new(capacity), next: Cell::new(0) }
    }

    /// A new answer begins.
    pub fn turn(&self) {
        self.known.turn(&());
    }

    /// That of a key.
    pub fn of(&self, key: K) -> usize {
        if self.known.is_full() {
            self.turn();
        }
        let number = self.known.get(&key).unwrap_or_else(|| self.next.replace(self.next.get() + 1));
        self.known.hold(key, &number);
        number
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
    fn what_is_held_changes_no_answer() {
        let asked = [3, 4, 3, 5, 4, 3, 6, 3];
        let (plain, each) = squares(&Memo::new(Capacity::NONE), &asked);
        assert_eq!(each, asked.len());
        for (capacity, worked_out) in [(1, 8), (2, 6), (100, 4)] {
            assert_eq!(squares(&Memo::new(Capacity(capacity)), &asked), (plain.clone(), worked_out));
        }
    }

    #[test]
    fn heavy_values_begin_anew_sooner_and_too_heavy_ones_are_never_held() {
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

    #[test]
    fn nothing_is_held_from_under_something_else() {
        let memo: MemoUnder<u8, u8, u8> = MemoUnder::new(Capacity(10));
        let sum = |under: u8, key: u8| memo.under(&under).get_or(key, || under + key);
        assert_eq!([sum(1, 1), sum(1, 2), sum(2, 1), sum(2, 2), sum(1, 1)], [2, 3, 3, 4, 2]);
        assert_eq!(memo.under(&1).len(), 1);
    }

    #[test]
    fn a_failure_is_not_held() {
        let memo: Memo<u8, u8> = Memo::new(Capacity(10));
        assert_eq!(memo.get_or_try(1, || Err("no")), Err("no"));
        assert_eq!(memo.get_or_try(1, || Ok::<_, &str>(2)), Ok(2));
        assert_eq!(memo.get_or_try(1, || Err("no")), Ok(2));
    }

    /// Answer after answer the same is asked for, and worked out once; what one
    /// answer did not ask for is forgotten.
    #[test]
    fn what_each_answer_asks_for_again_is_worked_out_once() {
        let memo: LastAnswer<(), char, usize> = LastAnswer::new(Capacity(10));
        let worked_out = Cell::new(0);
        let answer = |keys: &str| {
            memo.turn(&());
            for key in keys.chars() {
                if memo.again(key).is_none() {
                    worked_out.set(worked_out.get() + 1);
                    memo.hold(key, &worked_out.get());
                }
            }
            worked_out.get()
        };
        assert_eq!(["ab", "ab", "ab", "a", "abc", "abc"].map(answer), [2, 2, 2, 2, 4, 4]);
        assert_eq!([answer("a"), answer("a"), answer("ab")], [4, 4, 5]);
        let numbers: Numbers<char> = Numbers::new(Capacity(10));
        let given = [0; 4].map(|_| {
            numbers.turn();
            numbers.of('a')
        });
        assert_eq!(given, [0; 4]);
    }

    #[test]
    fn no_two_keys_have_one_number() {
        for capacity in [0, 1, 100] {
            let numbers: Numbers<char> = Numbers::new(Capacity(capacity));
            let mut given: Vec<(usize, char)> = "abacabdabc".chars().map(|key| (numbers.of(key), key)).collect();
            given.sort_unstable();
            given.dedup();
            assert!(given.windows(2).all(|pair| pair[0].0 != pair[1].0), "{given:?}");
            assert_eq!(given.len() == 4, capacity == 100);
        }
    }
}
