//! Review of a build in words: as built, how testable; and cable and fuse
//! for a load.

mod built;
mod size;
mod testability;

pub use built::{built, built_machine};
pub use size::{size, size_machine};
pub use testability::{testability, testability_machine};
