//! The table of failure rates as a file.

use super::load::LoadError;
use super::reader::wording::{Spot, slip};
use crate::source::{Diagnostic, SourceFile, Span};
use crate::tables::rates::Rates;

const BUILT_IN: &str = include_str!("../tables/rates.ron");

/// The table that comes with the program.
///
/// # Errors
/// As [`load_rates`]; a released program's table has none.
pub fn built_in_rates() -> Result<Rates, LoadError> {
    parse("src/tables/rates.ron", BUILT_IN)
}

/// A table of one's own.
///
/// # Errors
/// [`LoadError`] if it cannot be read or makes no sense.
pub fn load_rates(path: &str) -> Result<Rates, LoadError> {
    let text = std::fs::read_to_string(path).map_err(|source| LoadError::Read { path: path.to_string(), source })?;
    parse(path, &text)
}

fn parse(path: &str, text: &str) -> Result<Rates, LoadError> {
    let rejected = |span: Option<Span>, headline: String| LoadError::Rejected {
        file: SourceFile { path: path.to_string(), text: text.to_string() },
        findings: vec![Diagnostic {
            span,
            ..Diagnostic::error(Span::default(), headline, "here", "compare with the table that comes with the program")
        }],
    };
    let rates: Rates = ron::from_str(text).map_err(|error| {
        let start = super::locate::position_offset(text, error.span.start);
        let spot = Spot { entry: "row", key: None, value: text[start..].split([',', ')', '\n']).next().unwrap_or("") };
        rejected(Some(super::locate::character_at(text, start)), slip(&error.code, &spot).headline)
    })?;
    let shares = [rates.nothing_wrong, rates.not_as_drawn, rates.misread];
    let bad_share = shares.iter().any(|share| !(1e-6..=0.5).contains(share));
    let bad_row = rates
        .rows
        .iter()
        .any(|row| !(row.each >= 0.0 && row.per_metre >= 0.0 && (row.each + row.per_metre).is_finite()));
    match (bad_share, bad_row) {
        (true, _) => {
            Err(rejected(None, "`nothing_wrong`, `not_as_drawn` and `misread` must be between 0.000001 and 0.5".into()))
        }
        (_, true) => Err(rejected(None, "`each` and `per_metre` must not be negative".into())),
        _ => Ok(rates),
    }
}
