//! The record: a list of entries. Everything shown is a function of the
//! vehicle and this list, so undo drops an entry and nothing is lost.

mod account;
mod admit;
mod assess;
mod drain;
mod entry;
mod error;
mod fold;
mod hazards;
pub mod journal;
mod leads;
pub mod past;
pub mod proof;
mod record;
mod steps;
mod take_up;
mod verdict;
pub mod walk;

pub use account::{Account, AccountPoint, Hunt, Judged, SeenSign, Way};
pub use assess::Assessment;
pub use drain::{Drain, FuseAmps, MayEmpty};
pub use entry::Entry;
pub use error::CaseError;
pub use fold::{Bearing, Numbered, Standing};
pub use record::Case;
pub use steps::HuntStep;
pub use take_up::SetAside;
pub use verdict::ReadingVerdict;
