//! Typed reading of an outline: nodes to entries, each slip in the words of who
//! wrote the file.

mod broken;
mod field;
mod keyed;
pub mod keyed_file;
mod read;
mod slips;
pub mod wording;

pub use field::{KeyField, Located};
pub use read::Reader;
