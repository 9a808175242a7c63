//! The report of a case on paper.

mod chart;
mod circuit;
mod hunt;
mod paper;
mod phrases;
mod proof;
mod rows;

pub use paper::report;
pub use proof::stands;
