//! Vehicle files: RON text to a [`Vehicle`](crate::vehicle::Vehicle), with every
//! error of the file at once. Text → outline → entries → drafts → vehicle.

mod build;
mod builder;
mod compose;
mod draft;
mod error;
mod instruments;
mod layout;
mod load;
mod names;
mod outline;
mod part_kinds;
mod part_schema;
mod parts;
mod reader;
pub mod reference;
mod references;
mod relays;
mod runs;
mod samples;
mod schema;
mod shared;
mod supplies;
mod tables;
mod wording;

pub use error::{LoadError, read_text};
pub use layout::laid_out;
pub use load::{Loaded, load, parse, read_entry, sample};
pub use outline::Root;
pub use reader::{List, Located};
pub use samples::SAMPLES;
pub use tables::{built_in_tables, load_tables, parse_tables};
