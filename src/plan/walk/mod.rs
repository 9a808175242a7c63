//! The walk at handover: what to read of every circuit while all is well, in an
//! order that takes little time.
//!
//! A few loads run together, so that little is switched. What is read is volts
//! lost, from point to point at one place, and since the supply from place to
//! place: a drop shows on a range of millivolts, which tells more of a part than
//! the difference of two readings of twelve volts.

mod circuits;
mod leg;
mod route;
mod walks;
mod worth;

pub use circuits::all;
pub use leg::{Leg, Scope, Under};
pub use route::{left, wanted};
pub use walks::{WalkReadings, Walks};
pub use worth::{Yield, told_of};
