//! Any file that is one entry of keys and lists of entries, such as a
//! complaint tree: read with every error located, like a vehicle file.

use super::keyed::Keyed;
use super::read::Reader;
use super::wording::{missing_key, shortened};
use crate::files::load::{LoadError, read_text};
use crate::files::outline::{Node, Root, outline_of};
use crate::files::schema::EntryKind;
use crate::source::{Diagnostic, Severity, SourceFile, Span};
use crate::tables::row::{Interval, RowReader, Value};
use serde::de::DeserializeOwned;
use std::marker::PhantomData;

/// An entry that borrows nothing from its text.
struct Owned<T>(PhantomData<T>);

impl<T: DeserializeOwned> EntryKind for Owned<T> {
    type Entry<'t> = T;
}

/// An entry being read: its keys are known, its values are not read yet.
pub struct KeyedFile<'r, 'n, 'a> {
    reader: &'r mut Reader<'a>,
    keyed: Keyed<'n, 'a>,
}

impl<'n, 'a> KeyedFile<'_, 'n, 'a> {
    /// The word at its start.
    pub fn word(&self) -> &'static str {
        self.keyed.what
    }

    /// Where the entry stands.
    pub fn span(&self) -> Span {
        self.keyed.node.span()
    }

    /// Where the value of a key stands, or else the entry's first word.
    pub fn span_of(&self, key: &str) -> Span {
        self.keyed.get(key).map_or(self.keyed.node.head(), Node::span)
    }

    /// A value that has to be there.
    pub fn value<T: DeserializeOwned>(&mut self, key: &'static str) -> Option<T> {
        self.reader.required_value(&self.keyed, key)
    }

    /// A value that may be left out.
    pub fn optional<T: DeserializeOwned>(&mut self, key: &'static str) -> Option<T> {
        self.reader.optional_value(&self.keyed, key)
    }

    /// The entries of a list, each read on its own; one that lacks the list, or
    /// has it empty, is reported if the list has to be there.
    pub fn nodes(&mut self, key: &'static str) -> Vec<&'n Node<'a>> {
        self.reader.look_for_list(&self.keyed, key);
        let nodes = self.keyed.list(key);
        if nodes.is_empty() && !self.keyed.node.mended {
            let span = self.span_of(key);
            match self.keyed.get(key) {
                None => self.reader.say(span, missing_key(self.keyed.what, key)),
                Some(_) => self.reject(Diagnostic::error(
                    span,
                    format!("expected something in `{key}`, but found nothing"),
                    "empty",
                    format!("write at least one into `{key}: [ … ]`"),
                )),
            }
        }
        nodes
    }

    /// The texts of a list that has to be there.
    pub fn texts(&mut self, key: &'static str) -> Vec<String> {
        let nodes = self.nodes(key);
        nodes.into_iter().filter_map(|node| self.reader.value(key, node)).collect()
    }

    /// The plain entries of a list that has to be there, with their places.
    pub fn entries<T: DeserializeOwned>(&mut self, key: &'static str) -> Vec<(T, Span)> {
        let nodes = self.nodes(key);
        let read = self.reader.entries::<Owned<T>>(&nodes);
        read.into_iter().map(|entry| (entry.value, entry.span)).collect()
    }

    /// An entry under a key, which may be left out.
    pub fn entry<'s>(
        &'s mut self,
        key: &'static str,
        word: &'static str,
        keys: &[&'static str],
    ) -> Option<KeyedFile<'s, 'n, 'a>> {
        let node = self.keyed.get(key)?;
        self.inside(node, word, keys)
    }

    /// A value with the text that says where it is from, `key: (value, "source")`,
    /// and the place of the value.
    fn sourced<T: DeserializeOwned>(&mut self, key: &'static str) -> Option<(T, String, Span)> {
        let node = self.reader.required(&self.keyed, key)?;
        if !node.sound {
            return None;
        }
        let ([value, source], true) = (&node.children[..], node.text.starts_with('(')) else {
            self.reject(Diagnostic::error(
                node.span(),
                format!("expected a value and its source for `{key}`, but found `{}`", shortened(node.text)),
                "no value and source",
                format!("write `{key}: (…, \"where the value is from\")`"),
            ));
            return None;
        };
        let text: String = self.reader.value(key, source)?;
        if text.trim().is_empty() {
            self.reject(Diagnostic::error(
                source.span(),
                format!("`{key}` needs a source, but has none"),
                "empty",
                "say where the value is from",
            ));
        }
        Some((self.reader.value(key, value)?, text, value.span()))
    }

    /// An entry of a list that has lists of its own.
    pub fn inside<'s>(
        &'s mut self,
        node: &'n Node<'a>,
        word: &'static str,
        keys: &[&'static str],
    ) -> Option<KeyedFile<'s, 'n, 'a>> {
        if node.word != Some(word) {
            let found = self.reader.text[node.head().range()].to_string();
            self.reader.report_slip(node, None, &ron::Error::ExpectedDifferentStructName { expected: word, found });
            return None;
        }
        let keyed = self.reader.keyed(node, word, keys);
        Some(KeyedFile { reader: self.reader, keyed })
    }

    /// Reports something.
    pub fn reject(&mut self, finding: Diagnostic) {
        self.reader.findings.push(finding);
    }
}

impl RowReader for KeyedFile<'_, '_, '_> {
    fn row<T: Value>(&mut self, key: &'static str, range: Interval, known: Option<(&T, &str)>) -> Option<(T, String)> {
        if let (None, Some((value, source))) = (self.keyed.get(key), known) {
            return Some((value.clone(), source.to_string()));
        }
        let (value, source, span) = self.sourced::<T>(key)?;
        if let Some(number) = value.numbers().into_iter().find(|number| !range.contains(number)) {
            let (least, most) = (range.start(), range.end());
            let headline = format!("`{key}` must be between {least} and {most}, but is {number}");
            self.reject(Diagnostic::error(span, headline, "this value", "compare with the table of the program"));
        } else if let Some(disorder) = value.disorder() {
            let headline = format!("`{key}` {disorder}");
            self.reject(Diagnostic::error(span, headline, "this value", "compare with the table of the program"));
        }
        Some((value, source))
    }

    fn list<T: DeserializeOwned>(&mut self, key: &'static str) -> Vec<(T, Span)> {
        self.entries(key)
    }

    fn reject(&mut self, entry: Span, headline: &str, help: &str) {
        KeyedFile::reject(self, Diagnostic::error(entry, headline, "here", help));
    }
}

/// Reads a file of a kind.
///
/// # Errors
/// [`LoadError::Read`] if it cannot be read, [`LoadError::Rejected`] with every
/// error found.
pub fn load_keyed<T>(
    path: &str,
    kind: Root,
    keys: &[&'static str],
    build: impl FnOnce(&mut KeyedFile<'_, '_, '_>) -> Option<T>,
) -> Result<T, LoadError> {
    let (file, slips) = read_text(path)?;
    read(file, slips, kind, &[(kind.word, keys)], build)
}

/// Reads a text of a kind; `build` gives nothing only after it has reported why.
///
/// # Errors
/// [`LoadError::Rejected`] with every error found.
pub fn read_keyed<T>(
    file: SourceFile,
    kind: Root,
    keys: &[&'static str],
    build: impl FnOnce(&mut KeyedFile<'_, '_, '_>) -> Option<T>,
) -> Result<T, LoadError> {
    read(file, Vec::new(), kind, &[(kind.word, keys)], build)
}

/// Reads a text that is an entry of one of some kinds: its first word, and its
/// keys. What is wrong with its encoding is known already.
///
/// # Errors
/// As [`read_keyed`].
pub fn read<T>(
    file: SourceFile,
    mut known: Vec<Diagnostic>,
    kind: Root,
    kinds: &[(&'static str, &[&'static str])],
    build: impl FnOnce(&mut KeyedFile<'_, '_, '_>) -> Option<T>,
) -> Result<T, LoadError> {
    let (root, slips) = outline_of(&file.text, kind);
    known.extend(slips);
    let mut reader = Reader::new(&file.text, known);
    let built = root.as_ref().and_then(|root| {
        let Some(&(word, keys)) = kinds.iter().find(|(word, _)| root.word == Some(word)) else {
            let headline = format!("expected `{}(` at the start, but found another word", kind.word);
            let words: Vec<String> = kinds.iter().map(|(word, _)| format!("`{word}(`")).collect();
            let help = format!("write {}", words.join(" or "));
            reader.findings.push(Diagnostic::error(root.head(), headline, "here", help));
            return None;
        };
        let keyed = reader.keyed(root, word, keys);
        build(&mut KeyedFile { reader: &mut reader, keyed })
    });
    let mut findings = reader.findings;
    findings.sort_by_key(|finding| finding.span.map_or(0, |span| span.start));
    match built {
        Some(built) if findings.iter().all(|finding| finding.severity != Severity::Error) => Ok(built),
        _ => Err(LoadError::Rejected { file, findings }),
    }
}
