//! A test sheet: the decision tree that the planner would follow for a load
//! that is dead, folded to what fits on two pages, for somebody without the
//! tool.
//!
//! The tests are the planner's. Where its branches lead is decided by simulated
//! faults that are sent down the tree: a person at the paper tells bands apart,
//! not values. How often it ends in the right part is counted on others.

mod count;
mod cuts;
mod fold;
mod grow;
mod herd;
mod tree;

pub use cuts::{Took, When};
pub use grow::sheet;
pub use tree::{Figures, SheetBranch, SheetStep, TestSheet, Then};
