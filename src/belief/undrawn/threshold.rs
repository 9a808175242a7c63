//! How far a voltage may go before it makes a difference, and which paths take
//! it there. Asked of every two points, so it never divides: all volts are
//! taken times the ohms that a path makes a loop of.

use super::field::PathPort;
use super::look::VoltageTransfer;
use crate::vehicle::PointId;

/// How far, V.
#[derive(Clone, Copy)]
pub(super) enum Beyond {
    Above(f64),
    Below(f64),
}

/// A voltage beyond which things are otherwise.
pub(super) struct Threshold {
    look: VoltageTransfer,
    /// The voltage without a path, and what it counts together with, V.
    level: f64,
    beyond: Beyond,
}

impl Threshold {
    pub fn new(look: VoltageTransfer, emf: f64, beyond: Beyond) -> Self {
        Self { level: look.sound + emf, look, beyond }
    }

    /// The same for two points, which paths of any size may join.
    #[inline]
    pub fn between(&self, from: PointId, to: PointId, span: PathPort) -> Pull {
        Pull { level: self.level, pull: span.drive * self.look.transfer(from, to), own: span.own, beyond: self.beyond }
    }
}

/// How a path between two points pulls at a voltage.
pub(super) struct Pull {
    level: f64,
    /// What it takes away, times the ohms of its loop, VΩ.
    pull: f64,
    own: f64,
    beyond: Beyond,
}

impl Pull {
    /// Whether a path of so many ohms takes it beyond.
    #[inline]
    pub fn is_beyond(&self, ohms: f64) -> bool {
        let ohms = self.own + ohms;
        let volts = (self.level * ohms - self.pull).abs();
        match self.beyond {
            Beyond::Above(least) => volts > least * ohms,
            Beyond::Below(most) => volts < most * ohms,
        }
    }

    /// Whether one of so many ohms or any more might: the more ohms, the
    /// nearer the voltage is to where it stands without a path.
    #[inline]
    pub fn could_be_beyond(&self, ohms: f64) -> bool {
        let stands = match self.beyond {
            Beyond::Above(least) => self.level.abs() > least,
            Beyond::Below(most) => {
                let passes_zero = (self.level * (self.own + ohms) - self.pull) * self.level < 0.0;
                passes_zero || self.level.abs() < most
            }
        };
        stands || self.is_beyond(ohms)
    }
}
