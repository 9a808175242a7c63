//! A path or a text to a vehicle, or to everything that is wrong with it.

use super::build::build;
use super::outline::{Node, Root, VEHICLE, outline};
use super::reader::{Located, Reader};
use super::schema::VehicleEntry;
use crate::source::{Diagnostic, Severity, SourceFile, Span, render};
use crate::vehicle::Vehicle;
use crate::vehicle::check::check;
use serde::de::DeserializeOwned;
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
    read_vehicle(read_text(path)?)
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
    read_vehicle((file, Vec::new()))
}

fn read_vehicle(text: (SourceFile, Vec<Diagnostic>)) -> Result<Loaded, LoadError> {
    let (vehicle, file, warnings) = read(text, VEHICLE, |reader, root| {
        reader.has_bounds = true;
        let entry: Located<VehicleEntry<'_>> = reader.value("", root)?;
        let built = build(entry.value?, reader)?;
        // What lost its bracket may have ended too early.
        if reader.is_balanced {
            let checked = check(&built.vehicle, &built.drawn).into_iter();
            let spoiled = &reader.spoiled;
            reader.findings.extend(checked.filter(|finding| !is_consequence(finding, spoiled)));
        }
        Some(built.vehicle)
    })?;
    Ok(Loaded { vehicle: vehicle.with_aids(), file, warnings })
}

/// Reads a text that is an entry of some kind, whatever is wrong with its
/// encoding.
///
/// # Errors
/// [`LoadError::Rejected`] with every error found.
pub fn read_entry<E: DeserializeOwned, T>(
    text: (SourceFile, Vec<Diagnostic>),
    kind: Root,
    build: impl FnOnce(E, &mut Vec<Diagnostic>) -> Option<T>,
) -> Result<T, LoadError> {
    let built = read(text, kind, |reader, root| {
        let entry: Located<E> = reader.value("", root)?;
        build(entry.value?, &mut reader.findings)
    });
    built.map(|(built, ..)| built)
}

/// Reads a text by way of its outline; `build` gives nothing only after it has
/// reported why. Gives warnings too.
pub(super) fn read<T>(
    (file, known): (SourceFile, Vec<Diagnostic>),
    kind: Root,
    build: impl for<'a> FnOnce(&mut Reader<'a>, &Node<'a>) -> Option<T>,
) -> Result<(T, SourceFile, Vec<Diagnostic>), LoadError> {
    let (root, slips, is_balanced) = outline(&file.text, kind);
    let mut reader = Reader::new(&file.text, [known, slips].concat(), is_balanced);
    let built = root.and_then(|root| build(&mut reader, &root));
    let mut findings = reader.findings;
    let failed = findings.iter().any(|finding| finding.severity == Severity::Error);
    if failed {
        // Warnings compare figures, which are no use until the errors are mended.
        findings.retain(|finding| finding.severity == Severity::Error);
    }
    findings.sort_by_key(|finding| finding.span.map_or(0, |span| span.start));
    match built {
        Some(built) if !failed => Ok((built, file, findings)),
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
