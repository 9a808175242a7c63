//! Vehicle files: RON text to a [`Vehicle`](crate::vehicle::Vehicle), with every error of the file at once.

mod build;
mod load;
mod locate;
mod names;
mod outline;
mod part_kinds;
mod part_schema;
mod parts;
mod reader;
mod relays;
mod runs;
mod schema;
mod shared;
mod supplies;
mod tables;

pub use load::{LoadError, Loaded, load, parse};
pub use outline::Root;
pub use reader::sheet::{Sheet, load_sheet, read_sheet};
pub use tables::{built_in_tables, load_tables, parse_tables};

/// The vehicles built into the program: name and text.
pub const SAMPLES: [(&str, &str); 3] = [
    ("clinic_van", include_str!("../../samples/clinic_van.ron")),
    ("sprayer_truck", include_str!("../../samples/sprayer_truck.ron")),
    ("bench_board", include_str!("../../samples/bench_board.ron")),
];

/// The built-in vehicle of that name, if there is one.
pub fn sample(name: &str) -> Option<Result<Loaded, LoadError>> {
    let (name, text) = SAMPLES.iter().find(|(known, _)| *known == name)?;
    Some(parse(crate::source::SourceFile { path: format!("samples/{name}.ron"), text: (*text).to_string() }))
}
