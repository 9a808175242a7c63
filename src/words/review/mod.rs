//! Review of a build in words: as built, how testable, what a revision changes; and
//! cable and fuse for a load.

mod built;
mod compare;
mod proposals;
mod size;
mod testability;

pub use built::{built, built_machine};
pub use compare::{comparison, comparison_machine};
pub use proposals::{proposals, proposals_machine};
pub use size::{size, size_machine};
pub use testability::{testability, testability_machine};
