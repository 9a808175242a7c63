//! Text to entries: one bad entry is reported and does not hide the next.

use super::build::build;
use super::locate::{offset_of, position_offset};
use super::schema::VehicleEntry;
use crate::source::{Diagnostic, Severity, SourceFile, Span, nearest, render};
use crate::vehicle::Vehicle;
use crate::vehicle::check::check;
use ron::Options;
use ron::error::SpannedError;
use ron::extensions::Extensions;
use ron::value::RawValue;
use serde::Deserialize;
use std::collections::HashSet;
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
    #[error("cannot read `{path}`: {source}")]
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

fn rejected(file: &SourceFile, findings: &[Diagnostic]) -> String {
    let errors = findings.iter().filter(|finding| finding.severity == Severity::Error).count();
    let mut text: String = findings.iter().map(|finding| render(file, finding) + "\n\n").collect();
    text += &format!("{}: {} to mend before this vehicle can be used", file.path, counted(errors, "error"));
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
    let bytes = std::fs::read(path).map_err(|source| LoadError::Read { path: path.to_string(), source })?;
    let text = String::from_utf8(bytes).map_err(|error| LoadError::Read {
        path: path.to_string(),
        source: std::io::Error::new(std::io::ErrorKind::InvalidData, format!("not UTF-8 text ({error})")),
    })?;
    parse(SourceFile { path: path.to_string(), text })
}

/// Turns the text of a vehicle file into a vehicle.
///
/// # Errors
/// [`LoadError::Rejected`] with every error found.
pub fn parse(mut file: SourceFile) -> Result<Loaded, LoadError> {
    if let Some(rest) = file.text.strip_prefix('\u{feff}') {
        file.text = rest.to_string();
    }
    let text = file.text.clone();
    let mut reader = Reader::new(&text);
    let vehicle = reader.whole().and_then(|entry| build(&entry, &mut reader));
    let mut findings = reader.findings;
    if let Some(vehicle) = &vehicle {
        findings.extend(check(vehicle));
    }
    findings.sort_by_key(|finding| finding.span.map_or(0, |span| span.start));
    let failed = findings.iter().any(|finding| finding.severity == Severity::Error);
    match vehicle {
        Some(vehicle) if !failed => Ok(Loaded { vehicle, file, warnings: findings }),
        _ => Err(LoadError::Rejected { file, findings }),
    }
}

/// Reads entries and keeps what was found on the way.
pub(super) struct Reader<'a> {
    pub text: &'a str,
    pub findings: Vec<Diagnostic>,
    /// Names in entries that could not be read: not to be called unknown.
    pub broken: HashSet<String>,
    options: Options,
}

/// An entry and where it stands.
pub(super) struct Entry<T> {
    pub value: T,
    pub span: Span,
}

impl<'a> Reader<'a> {
    fn new(text: &'a str) -> Self {
        let options = Options::default().with_default_extension(Extensions::IMPLICIT_SOME);
        Self { text, findings: Vec::new(), broken: HashSet::new(), options }
    }

    fn whole(&mut self) -> Option<VehicleEntry<'a>> {
        match self.options.from_str(self.text) {
            Ok(entry) => Some(entry),
            Err(error) => {
                self.reject(&error, self.text);
                None
            }
        }
    }

    /// Every entry of a list that can be read; the others become findings.
    pub fn entries<T: Deserialize<'a>>(&mut self, raws: &[&'a RawValue]) -> Vec<Entry<T>> {
        raws.iter().filter_map(|raw| self.entry(raw)).collect()
    }

    /// One entry, or a finding.
    pub fn entry<T: Deserialize<'a>>(&mut self, raw: &'a RawValue) -> Option<Entry<T>> {
        let text = raw.get_ron();
        match self.options.from_str(text) {
            Ok(value) => {
                let trimmed = without_comments(text);
                let start = offset_of(self.text, trimmed);
                Some(Entry { value, span: Span { start, end: start + trimmed.len() } })
            }
            Err(error) => {
                self.reject(&error, text);
                self.broken.extend(quoted_after(text, "name:"));
                None
            }
        }
    }

    fn reject(&mut self, error: &SpannedError, within: &'a str) {
        let base = offset_of(self.text, within);
        let start = base + position_offset(within, error.span.start);
        let end = base + position_offset(within, error.span.end);
        let span = Span { start, end: end.max((start + 1).min(self.text.len())) };
        let (headline, help) = reword(&error.code);
        self.findings.push(Diagnostic::error(span, headline, "here", help));
    }
}

/// Every quoted word that follows a key.
fn quoted_after(text: &str, key: &str) -> Vec<String> {
    text.split(key)
        .skip(1)
        .filter_map(|rest| rest.trim_start().strip_prefix('"')?.split('"').next())
        .map(str::to_string)
        .collect()
}

/// A syntax error in words for the person who wrote the file.
fn reword(code: &ron::Error) -> (String, String) {
    match code {
        ron::Error::NoSuchEnumVariant { expected, found, .. } => {
            unknown("word", found, expected, "use one of")
        }
        ron::Error::NoSuchStructField { expected, found, .. } => unknown("key", found, expected, "the keys here are"),
        ron::Error::MissingStructField { field, outer } => (
            format!("`{field}` is missing{}", outer.as_ref().map(|name| format!(" from `{name}`")).unwrap_or_default()),
            format!("add `{field}: …` before the closing bracket"),
        ),
        ron::Error::DuplicateStructField { field, .. } => {
            (format!("`{field}` is given twice"), "keep one of them".to_string())
        }
        ron::Error::ExpectedComma | ron::Error::ExpectedStructLikeEnd | ron::Error::ExpectedArrayEnd => (
            format!("{code}"),
            "look for a missing comma or bracket at the end of the line before".to_string(),
        ),
        ron::Error::ExpectedFloat | ron::Error::ExpectedInteger => {
            (format!("{code}, without a unit"), "write the bare number, such as `metres: 4.0`".to_string())
        }
        _ => (format!("{code}"), "see the vehicle file section of the README for what can stand here".to_string()),
    }
}

fn unknown(what: &str, found: &str, expected: &[&'static str], lead: &str) -> (String, String) {
    let list = expected.join("`, `");
    let help = match nearest(found, expected.iter().copied()) {
        Some(near) => format!("did you mean `{near}`? {lead} `{list}`"),
        None => format!("{lead} `{list}`"),
    };
    (format!("unknown {what} `{found}`"), help)
}

/// An entry without the comments that stand before it.
fn without_comments(text: &str) -> &str {
    let mut rest = text.trim();
    while let Some(comment) = rest.strip_prefix("//") {
        rest = comment.split_once('\n').map_or("", |(_, after)| after).trim_start();
    }
    rest
}
