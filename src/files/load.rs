//! A path or a text to a vehicle, or to everything that is wrong with it.

use super::build::build;
use super::compose::written_out;
use super::error::{LoadError, read_text};
use super::outline::{Node, Root, VEHICLE, outline};
use super::reader::{Located, Reader};
use super::reference;
use super::samples::SAMPLES;
use super::schema::VehicleEntry;
use crate::source::{Diagnostic, Severity, SourceFile, Span};
use crate::vehicle::Vehicle;
use crate::vehicle::check::check;
use serde::de::DeserializeOwned;

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

/// Reads a vehicle file.
///
/// # Errors
/// [`LoadError::Read`] if there is no such file, otherwise as [`parse`].
pub fn load(path: &str) -> Result<Loaded, LoadError> {
    read_vehicle(read_text(path)?)
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

fn read_vehicle((file, slips): (SourceFile, Vec<Diagnostic>)) -> Result<Loaded, LoadError> {
    let file = if slips.is_empty() { written_out(file)? } else { file };
    let (vehicle, file, warnings) = read((file, slips), VEHICLE, |reader, root| {
        (reader.has_bounds, reader.choices) = (true, reference::choices);
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

/// The built-in vehicle of that name, if there is one.
pub fn sample(name: &str) -> Option<Result<Loaded, LoadError>> {
    let (name, text) = SAMPLES.iter().find(|(known, _)| *known == name)?;
    Some(parse(SourceFile::new(format!("samples/{name}.ron"), (*text).to_string())))
}
