//! A path to a text, and why there is none of use.

use crate::source::{Diagnostic, Severity, SourceFile, Span, render};
use std::io::ErrorKind;
use thiserror::Error;

/// Why there is no vehicle.
#[derive(Debug, Error)]
pub enum LoadError {
    /// The file could not be read.
    #[error("{}", unreadable(.path, .source))]
    Read {
        /// The path as given.
        path: String,
        /// What the system says.
        source: std::io::Error,
    },
    /// The file has errors.
    #[error("{}", rejected(.file, .findings))]
    Rejected {
        /// The file.
        file: SourceFile,
        /// Every finding, in file order.
        findings: Vec<Diagnostic>,
    },
}

fn unreadable(path: &str, source: &std::io::Error) -> String {
    match source.kind() {
        ErrorKind::NotFound => {
            format!("expected a file at `{path}`, but there is none: check the name and the folder")
        }
        ErrorKind::IsADirectory => {
            format!("expected a file, but `{path}` is a folder: name the file in it")
        }
        ErrorKind::PermissionDenied => {
            format!("`{path}` may not be read: ask its owner, or copy it")
        }
        _ => format!("`{path}` cannot be read: {source}"),
    }
}

fn rejected(file: &SourceFile, findings: &[Diagnostic]) -> String {
    let errors = findings.iter().filter(|finding| finding.severity == Severity::Error).count();
    let mut text: String = findings.iter().map(|finding| render(file, finding) + "\n\n").collect();
    text += &format!("{}: {} to mend before this file can be used", file.path, counted(errors, "error"));
    text
}

fn counted(count: usize, noun: &str) -> String {
    if count == 1 { format!("{count} {noun}") } else { format!("{count} {noun}s") }
}

/// The text of a file without a byte-order mark, and what is wrong with its
/// encoding.
///
/// # Errors
/// [`LoadError::Read`] if it cannot be read.
pub fn read_text(path: &str) -> Result<(SourceFile, Vec<Diagnostic>), LoadError> {
    let bytes = std::fs::read(path).map_err(|source| LoadError::Read { path: path.to_string(), source })?;
    let (text, slips) = match String::from_utf8(bytes) {
        Ok(text) => (text, Vec::new()),
        Err(error) => {
            let slip = not_utf8(error.utf8_error().valid_up_to());
            (String::from_utf8_lossy(error.as_bytes()).into_owned(), vec![slip])
        }
    };
    let text = text.strip_prefix('\u{feff}').map(str::to_string).unwrap_or(text);
    Ok((SourceFile::new(path.to_string(), text), slips))
}

/// The spot is the first character that stands in for what could not be read.
fn not_utf8(start: usize) -> Diagnostic {
    Diagnostic::error(
        Span { start, end: start + char::REPLACEMENT_CHARACTER.len_utf8() },
        "expected UTF-8 text, but this character is in another encoding",
        "the first one",
        "save the file as UTF-8 (the choice is under \"Save as\" in most editors)",
    )
}
