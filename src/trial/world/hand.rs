//! Slips of the hand: what people do wrong when they read, and do again.

use crate::predict::Probe;
use crate::tables::world::Workshop;
use crate::trial::conditions::Misreading;
use crate::vehicle::{PartId, PointId};
use rand::seq::IndexedRandom;
use rand::{Rng, RngExt};
use std::cell::{Cell, RefCell};

/// What was done wrong.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Slip {
    /// The red probe on another point of the plug or place.
    NextPin(PointId),
    /// The clamp round another part there.
    NextWire(PartId),
    /// A probe that touches paint.
    NoContact,
    /// So many decades too much.
    Decades(i32),
    /// The sign the other way.
    Sign,
    /// On the AC range; whether it shows anything.
    Alternating(bool),
    /// A digit of the written number is another: so many tenths of its first
    /// decade more.
    Digit(i32),
}

/// Kinds of slip, in the order of the table's shares.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum SlipKind {
    Next,
    NoContact,
    Decades,
    Sign,
    Range,
    Digit,
}

const KINDS: [SlipKind; 6] =
    [SlipKind::Next, SlipKind::NoContact, SlipKind::Decades, SlipKind::Sign, SlipKind::Range, SlipKind::Digit];

/// The hand of a case: what it has read so far, and how.
#[derive(Debug, Clone)]
pub(super) struct Habit {
    misreading: Misreading,
    taken: Cell<usize>,
    made: RefCell<Vec<(Probe, Slip)>>,
}

/// What becomes of the reading that is taken now.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Now {
    /// It is right.
    Right,
    /// It goes wrong in some way.
    Wrong,
    /// It goes wrong as before.
    Again(Slip),
}

impl Habit {
    pub fn new(misreading: Misreading) -> Self {
        Self { misreading, taken: Cell::new(0), made: RefCell::default() }
    }

    /// Takes a reading in hand.
    pub fn takes(&self, of: &Workshop, probe: Probe, random: &mut impl Rng) -> Now {
        let number = self.taken.get();
        self.taken.set(number + 1);
        match self.misreading {
            Misreading::At(at) => return if at == number { Now::Wrong } else { Now::Right },
            Misreading::Share(share) if share <= 0.0 => return Now::Right,
            Misreading::Share(_) | Misreading::OneInEach => {}
        }
        let Misreading::Share(share) = self.misreading else { return Now::Right };
        let before = self.made.borrow().iter().rev().find(|(made, _)| *made == probe).map(|(_, slip)| *slip);
        match before {
            Some(slip) if random.random_bool(of.repeated) => Now::Again(slip),
            _ if random.random_bool(share.clamp(0.0, 1.0)) => Now::Wrong,
            _ => Now::Right,
        }
    }

    /// How many readings have been taken.
    pub fn taken(&self) -> usize {
        self.taken.get()
    }

    /// Remembers what went wrong.
    pub fn remember(&self, probe: Probe, slip: Slip) {
        self.made.borrow_mut().push((probe, slip));
    }
}

/// Kinds of slip in an order drawn by their shares: where the first makes no
/// difference, the next is what happened.
pub(super) fn kinds(of: &Workshop, random: &mut impl Rng) -> Vec<SlipKind> {
    let mut left: Vec<(SlipKind, f64)> = KINDS.into_iter().zip(of.slips).filter(|(_, share)| *share > 0.0).collect();
    let mut order = Vec::new();
    while let Ok(&(kind, _)) = left.choose_weighted(random, |(_, share)| *share) {
        order.push(kind);
        left.retain(|(other, _)| *other != kind);
    }
    order
}

/// A moved decimal point, or millivolts written down as volts.
pub(super) fn decades(random: &mut impl Rng) -> Slip {
    // Format: decimal places; a unit is three of them.
    Slip::Decades([1, -1, -3].choose(random).copied().unwrap_or(1))
}

/// Another first digit, or another second one.
pub(super) fn digit(random: &mut impl Rng) -> Slip {
    let tenths = random.random_range(1..=9);
    Slip::Digit(if random.random_bool(0.5) { tenths } else { 10 * tenths })
}
