//! Is a vehicle built right, and what does it take to test it? Cable and fuse
//! for a load, single parts that many circuits hang on, how long a fault takes
//! to find, and what a changed drawing changes.

mod built;
mod compare;
mod loading;
mod proposals;
mod rehearsal;
mod running;
mod single;
mod size;
mod testability;
mod together;

pub use built::{AsBuilt, LoadFigures, as_built, load_figures};
pub use compare::{ChangedPart, Comparison, PartChange, Revised, RevisedLoad, ServedOtherwise, compare};
pub use loading::{LoadedProtection, LoadedSupply, NothingOpens, Reserve, Use};
pub use proposals::{Proposal, ProposedChange, proposals};
pub use rehearsal::{Faults, Rehearsal};
pub use running::{RunningLoad, running_loads};
pub use single::SingleParts;
pub use size::{CableChoice, Demand, NoCable, Shortfall, TriedSize, Wanted, WayLength, choose_cable};
pub use testability::{Inseparability, InseparableSet, Testability, TestedCircuit, testability};
pub use together::{FeedsTogether, SharedReturn};
