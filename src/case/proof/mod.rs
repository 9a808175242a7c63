//! Proof of repair: the fewest readings that show that the fault is gone and
//! that nothing else was disturbed, in the state that made it show.

mod check;
mod choose;
mod prove;
mod repair;
mod span;
mod touched;
mod watch;

pub use check::{Beyond, Check, Found, Outcome, Proof, Verdict, What};
