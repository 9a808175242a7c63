//! The vehicles built into the program.

use super::load::{LoadError, Loaded, parse};
use crate::source::SourceFile;

/// Name and text.
pub const SAMPLES: [(&str, &str); 3] = [
    ("clinic_van", include_str!("../../samples/clinic_van.ron")),
    ("sprayer_truck", include_str!("../../samples/sprayer_truck.ron")),
    ("bench_board", include_str!("../../samples/bench_board.ron")),
];

/// The built-in vehicle of that name, if there is one.
pub fn sample(name: &str) -> Option<Result<Loaded, LoadError>> {
    let (name, text) = SAMPLES.iter().find(|(known, _)| *known == name)?;
    Some(parse(SourceFile { path: format!("samples/{name}.ron"), text: (*text).to_string() }))
}
