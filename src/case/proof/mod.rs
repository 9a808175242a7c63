//! Proof of repair (set cover): the fewest readings that show that the fault is gone
//! and that nothing else was disturbed, in the state that made it show.
//!
//! For the repaired part and everything disturbed, the smallest fault that anybody
//! would mind is a doubt. A reading settles a doubt if under it the reading would lie
//! outside its three-deviation band. Readings are chosen greedily, by doubts settled,
//! then by minutes. The list depends on the record up to the repair alone.

mod check;
mod choose;
mod display;
mod prove;
mod repair;
mod span;
mod touched;
mod watch;

pub use check::{BeyondProof, Check, CheckOutcome, Found, Proof, ProofVerdict, What};
