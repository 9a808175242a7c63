//! Review of a build in words: cable and fuse for a load.

mod size;

pub use size::{size, size_machine};
