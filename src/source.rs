//! Places in files, and messages about them as data. Only [`render`] makes text.

use annotate_snippets::{AnnotationKind, Level, Origin, Renderer, Snippet};
use std::ops::Range;
use std::sync::Arc;

/// A file as it was read: its name for messages, and its whole text.
#[derive(Debug, Clone, PartialEq)]
pub struct SourceFile {
    /// The path as the person gave it.
    pub path: String,
    /// The whole text, without a byte-order mark.
    pub text: String,
    /// Where its stretches were written, if it was put together: in the order of the
    /// text; none of a file as it was read.
    pub pieces: Vec<Piece>,
}

/// A stretch of a text that was put together.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// Where it stands in the text.
    pub span: Span,
    /// The file that it comes from.
    pub file: Arc<SourceFile>,
    /// Where it stands there: as long as here if it was taken over, and otherwise what
    /// it was made from.
    pub from: Span,
}

impl SourceFile {
    /// A file as it was read.
    pub fn new(path: String, text: String) -> Self {
        Self { path, text, pieces: Vec::new() }
    }

    /// The file that all of it was written in, if it is one.
    pub fn sole(&self) -> Option<&SourceFile> {
        let Some(first) = self.pieces.first() else { return Some(self) };
        let file: &SourceFile = &first.file;
        self.pieces.iter().all(|piece| Arc::ptr_eq(&piece.file, &first.file)).then_some(file)
    }

    /// The file that a place was written in, and where there.
    pub fn written(&self, span: Span) -> (&SourceFile, Span) {
        let at = self.pieces.partition_point(|piece| piece.span.end <= span.start);
        let Some(Piece { span: here, file, from }) = self.pieces.get(at).or(self.pieces.last()) else {
            return (self, span);
        };
        if here.end - here.start != from.end - from.start {
            return (file, *from);
        }
        let there = |at: usize| (at.clamp(here.start, here.end) - here.start) + from.start;
        (file, Span { start: there(span.start), end: there(span.end) })
    }
}

/// Byte range in a [`SourceFile`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Span {
    /// First byte.
    pub start: usize,
    /// One past the last byte.
    pub end: usize,
}

impl Span {
    /// The same stretch as a range of bytes.
    pub fn range(self) -> Range<usize> {
        self.start..self.end
    }
}

/// How bad a finding is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// The vehicle works, but this looks wrong.
    Warning,
    /// The file cannot be used until this is mended.
    Error,
}

/// One thing found in a file: what is wrong, where, and what to do.
#[derive(Debug, Clone, PartialEq)]
pub struct Diagnostic {
    /// Error or warning.
    pub severity: Severity,
    /// The fact, in one line.
    pub headline: String,
    /// Where; `None` when it concerns the file as a whole.
    pub span: Option<Span>,
    /// What is said at the marked spot.
    pub label: String,
    /// A second spot, such as where the name was first used.
    pub also: Option<(Span, String)>,
    /// What to do about it.
    pub help: String,
}

impl Diagnostic {
    /// An error at a spot.
    pub fn error(span: Span, headline: impl Into<String>, label: impl Into<String>, help: impl Into<String>) -> Self {
        Self {
            severity: Severity::Error,
            headline: headline.into(),
            span: Some(span),
            label: label.into(),
            also: None,
            help: help.into(),
        }
    }

    /// A warning at a spot.
    pub fn warning(span: Span, headline: impl Into<String>, label: impl Into<String>, help: impl Into<String>) -> Self {
        Self { severity: Severity::Warning, ..Self::error(span, headline, label, help) }
    }

    /// The same finding with a second spot.
    pub fn with_also(mut self, span: Span, label: impl Into<String>) -> Self {
        self.also = Some((span, label.into()));
        self
    }
}

/// A finding as plain text: headline, path, line, column, the line with the
/// spot marked, and the help.
pub fn render(file: &SourceFile, finding: &Diagnostic) -> String {
    let level = match finding.severity {
        Severity::Error => Level::ERROR,
        Severity::Warning => Level::WARNING,
    };
    let mut group = level
        .primary_title(finding.headline.as_str())
        .elements(std::iter::empty::<Snippet<annotate_snippets::Annotation>>());
    if let Some(span) = finding.span {
        let (home, span) = file.written(span);
        let mut snippet = Snippet::source(home.text.as_str())
            .path(home.path.as_str())
            .annotation(AnnotationKind::Primary.span(span.range()).label(finding.label.as_str()));
        let mut other = None;
        if let Some((also, label)) = &finding.also {
            let (place, also) = file.written(*also);
            let spot = AnnotationKind::Context.span(also.range()).label(label.as_str());
            if place == home {
                snippet = snippet.annotation(spot);
            } else {
                other = Some(Snippet::source(place.text.as_str()).path(place.path.as_str()).annotation(spot));
            }
        }
        group = group.element(snippet);
        if let Some(other) = other {
            group = group.element(other);
        }
    } else {
        group = group.element(Origin::path(file.path.as_str()));
    }
    if !finding.help.is_empty() {
        group = group.element(Level::HELP.message(finding.help.as_str()));
    }
    Renderer::plain().render(&[group]).to_string()
}

/// Those of `known` near enough to `word` for a slip, each with its distance.
pub fn near<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> impl Iterator<Item = (usize, &'a str)> {
    let lower = word.to_lowercase();
    let length = word.chars().count();
    let reach = (length / 3).clamp(1, 3);
    known
        .into_iter()
        // Lengths are cheap to compare, and most names differ in theirs.
        .filter(move |candidate| candidate.chars().count().abs_diff(length) <= reach)
        // The word itself is no slip: what it names is of another kind.
        .filter(move |candidate| !candidate.eq_ignore_ascii_case(word))
        .map(move |candidate| (strsim::damerau_levenshtein(&lower, &candidate.to_lowercase()), candidate))
        .filter(move |&(distance, _)| distance <= reach)
}

/// The nearest of `known` to `word`, if it is near enough to be a slip.
pub fn nearest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    near(word, known)
        .min_by_key(|&(distance, candidate)| (distance, candidate.len(), candidate))
        .map(|(_, candidate)| candidate)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nearest_names_a_slip_and_not_a_stranger() {
        let known = ["F4.out", "F4.in", "fridge"];
        assert_eq!(nearest("F4.uot", known), Some("F4.out"));
        assert_eq!(nearest("firdge", known), Some("fridge"));
        assert_eq!(nearest("compressor", known), None);
    }
}
