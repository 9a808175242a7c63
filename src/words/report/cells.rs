//! Table cells: rows and heads of columns from plain text.

use crate::words::document::Cell;

/// A row of cells as they stand.
pub fn row(cells: impl IntoIterator<Item = impl Into<Cell>>) -> Vec<Cell> {
    cells.into_iter().map(Into::into).collect()
}

/// Heads of columns.
pub fn columns(heads: &[&str]) -> Vec<String> {
    heads.iter().map(|head| head.to_string()).collect()
}
