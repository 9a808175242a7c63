//! A case on disk: one entry a line, only ever added to, on the disk before
//! it is answered. Undo and redo are lines too.

mod clock;
mod disk;
mod keep;
mod line;
mod replay;
mod shelf;
mod written;

pub use clock::{Clock, Moment, MomentError};
pub use disk::{DiskFile, Keeper};
pub use keep::{Change, Journal, KeepError};
pub use line::{FORMAT, Header, Stamp};
pub use replay::{Kept, Replayed, replay};
pub use shelf::{Access, CASES, Listed, OFF, Opened, Shelf, ShelfError};
