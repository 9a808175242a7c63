//! Which test next: the one that tells most about *where* for the minutes that
//! it takes, and what each outcome of it would mean.
//!
//! The value of a test is the mutual information, in bits, between the site of
//! the fault and the outcome, given everything known. Information per cost is
//! within a few per cent of the best order on chains (Johnson 1960; Pattipati
//! and Alexandridis 1990).

mod advice;
mod announce;
mod bands;
mod drain;
mod effort;
mod ladder;
mod outcome;
mod phone;
mod planner;
mod questions;
mod ranking;
mod senses;
mod special;
mod valuation;
mod value;
mod views;
mod voltages;
pub mod walk;

pub use advice::{Advice, Next, Sense, Test};
pub use announce::are_terminals_read;
pub use bands::OutcomeBand;
pub use drain::Drains;
pub use effort::Situation;
pub use outcome::{Outcome, OutcomeSeen, Range};
pub use phone::{NEVER, Never};
pub use planner::{plan, worth};
