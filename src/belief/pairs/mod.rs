//! Two faults at once (multiple-fault diagnosis).
//!
//! P(a, b) = P(two faults) P(a) P(b) / Σ P(fault). Of the thousands squared, only
//! pairs are tried in which each fault explains something that the other does not,
//! pairs whose effects add up to what was read (superposition), and pairs that hide
//! each other: of two ways side by side either will do, and nobody notices that one
//! has gone until the other goes too.

mod displays;
mod followers;
mod hidden;
mod pairing;
mod search;
mod separable;
mod superposed;

pub(super) use search::pairs;
