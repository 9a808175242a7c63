//! Is a vehicle built right? Cable and fuse for a load.

mod size;

pub use size::{CableChoice, Demand, NoCable, Shortfall, TriedSize, Wanted, WayLength, choose_cable};
