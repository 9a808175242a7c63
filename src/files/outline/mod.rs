//! Error-recovering parse: text to a tree of entries, lists and values, whatever
//! is wrong with its brackets and commas. Each slip is one finding, and what
//! stands beside it is still read. What the values mean is not looked at here.

mod brackets;
mod frame;
pub mod lists;
mod node;
mod outliner;
mod tokens;
mod values;

pub use node::{Node, Root};
pub use outliner::{outline, outline_of};
