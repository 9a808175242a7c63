//! Vehicle files: RON text to a [`Vehicle`](crate::vehicle::Vehicle), with every
//! error of the file at once. Text → outline → entries → drafts → vehicle.

mod build;
mod builder;
mod draft;
mod instruments;
mod load;
mod locate;
mod names;
mod outline;
mod part_kinds;
mod part_schema;
mod parts;
mod reader;
mod references;
mod relays;
mod runs;
mod samples;
mod schema;
mod shared;
mod supplies;
mod tables;

pub use load::{LoadError, Loaded, load, parse};
pub use outline::Root;
pub use reader::keyed_file::{KeyedFile, load_keyed, read_keyed};
pub use samples::{SAMPLES, sample};
pub use tables::{built_in_tables, load_tables, parse_tables};
