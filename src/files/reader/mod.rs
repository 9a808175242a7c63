//! Typed reading of an outline through serde, each slip in the words of who
//! wrote the file: kinds of entries, their keys and their choices are those of
//! the structures that are read.

mod access;
mod keyed_file;
mod located;
mod state;
mod value;
mod values;

pub use keyed_file::KeyedFile;
pub use located::{AnyEntry, LOCATED, List, Located, Name};
pub use state::Reader;
