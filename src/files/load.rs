//! A path or a text to a vehicle, or to everything that is wrong with it.

use super::build::build;
use super::outline::outline;
use super::reader::Reader;
use crate::source::{Diagnostic, Severity, SourceFile, Span, render};
use crate::vehicle::Vehicle;
use crate::vehicle::check::check;
use std::io::ErrorKind;
use thiserror::Error;

/// A vehicle, and what looks wrong though it works.
#[derive(Debug, Clone)]
pub struct Loaded {
    /// The vehicle.
    pub vehicle: Vehicle,
    /// Its file.
    pub file: SourceFile,
    /// Findings that do not stop anybody.
    pub warnings: Vec<Diagnostic>,
}

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

/// Reads a vehicle file.
///
/// # Errors
/// [`LoadError::Read`] if there is no such file, otherwise as [`parse`].
pub fn load(path: &str) -> Result<Loaded, LoadError> {
    let (file, slips) = read_text(path)?;
    read(file, slips)
}

/// The text of a file without a byte-order mark, and what is wrong with its
/// encoding.
///
/// # Errors
/// [`LoadError::Read`] if it cannot be read.
pub(super) fn read_text(path: &str) -> Result<(SourceFile, Vec<Diagnostic>), LoadError> {
    let bytes = std::fs::read(path).map_err(|source| LoadError::Read { path: path.to_string(), source })?;
    let (text, slips) = match String::from_utf8(bytes) {
        Ok(text) => (text, Vec::new()),
        Err(error) => {
            let slip = not_utf8(error.utf8_error().valid_up_to());
            (String::from_utf8_lossy(error.as_bytes()).into_owned(), vec![slip])
        }
    };
    let text = text.strip_prefix('\u{feff}').map(str::to_string).unwrap_or(text);
    Ok((SourceFile { path: path.to_string(), text }, slips))
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

/// Turns the text of a vehicle file into a vehicle.
///
/// # Errors
/// [`LoadError::Rejected`] with every error found.
pub fn parse(mut file: SourceFile) -> Result<Loaded, LoadError> {
    if let Some(rest) = file.text.strip_prefix('\u{feff}') {
        file.text = rest.to_string();
    }
    read(file, Vec::new())
}

fn read(file: SourceFile, mut known: Vec<Diagnostic>) -> Result<Loaded, LoadError> {
    let (root, slips) = outline(&file.text);
    known.extend(slips);
    let mut reader = Reader::new(&file.text, known);
    let built = root.and_then(|root| {
        let entry = reader.vehicle(&root);
        build(&entry, &mut reader)
    });
    let Reader { mut findings, spoiled, .. } = reader;
    if let Some(built) = &built {
        let checked = check(&built.vehicle, &built.drawn);
        findings.extend(checked.into_iter().filter(|finding| !is_consequence(finding, &spoiled)));
    }
    let failed = findings.iter().any(|finding| finding.severity == Severity::Error);
    if failed {
        // Warnings compare figures, which are no use until the errors are mended.
        findings.retain(|finding| finding.severity == Severity::Error);
    }
    findings.sort_by_key(|finding| finding.span.map_or(0, |span| span.start));
    match built {
        Some(built) if !failed => Ok(Loaded { vehicle: built.vehicle.with_aids(), file, warnings: findings }),
        _ => Err(LoadError::Rejected { file, findings }),
    }
}

/// Whether a finding about the circuit is about an entry that has something
/// wrong in it anyway, or about the whole of a vehicle that has.
fn is_consequence(finding: &Diagnostic, spoiled: &[Span]) -> bool {
    let within = |span: Span| spoiled.iter().any(|entry| entry.start <= span.start && span.end <= entry.end);
    match finding.span {
        Some(span) => within(span) || finding.also.as_ref().is_some_and(|(also, _)| within(*also)),
        None => !spoiled.is_empty(),
    }
}
