//! Plain tables that fit the screen.

use super::{NARROWEST, WIDEST};
use comfy_table::{ContentArrangement, Table, presets};

/// A table of these columns, as text.
pub fn table(header: &[&str], rows: Vec<Vec<String>>, width: usize) -> String {
    let mut table = Table::new();
    table.load_style(presets::ASCII_BORDERS_ONLY_CONDENSED);
    table.set_content_arrangement(ContentArrangement::Dynamic);
    table.set_width(u16::try_from(width.clamp(NARROWEST, WIDEST)).unwrap_or(80));
    table.set_header(header.to_vec());
    rows.into_iter().for_each(|row| {
        table.add_row(row);
    });
    table.to_string().lines().map(str::trim_end).collect::<Vec<_>>().join("\n")
}
