//! Any file that is one entry of keys and lists of entries, such as a
//! complaint tree: read with every error located, like a vehicle file.

use super::keyed::Keyed;
use super::read::Reader;
use super::wording::missing_key;
use crate::files::load::{LoadError, read_text};
use crate::files::outline::{Node, Root, outline_of};
use crate::files::schema::EntryKind;
use crate::source::{Diagnostic, Severity, SourceFile, Span};
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
    read(file, slips, kind, keys, build)
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
    read(file, Vec::new(), kind, keys, build)
}

fn read<T>(
    file: SourceFile,
    mut known: Vec<Diagnostic>,
    kind: Root,
    keys: &[&'static str],
    build: impl FnOnce(&mut KeyedFile<'_, '_, '_>) -> Option<T>,
) -> Result<T, LoadError> {
    let (root, slips) = outline_of(&file.text, kind);
    known.extend(slips);
    let mut reader = Reader::new(&file.text, known);
    let built = root.as_ref().and_then(|root| {
        if root.word != Some(kind.word) {
            let headline = format!("expected `{}(` at the start, but found another word", kind.word);
            let help = format!("write `{}(`", kind.word);
            reader.findings.push(Diagnostic::error(root.head(), headline, "here", help));
            return None;
        }
        let keyed = reader.keyed(root, kind.word, keys);
        build(&mut KeyedFile { reader: &mut reader, keyed })
    });
    let mut findings = reader.findings;
    findings.sort_by_key(|finding| finding.span.map_or(0, |span| span.start));
    match built {
        Some(built) if findings.iter().all(|finding| finding.severity != Severity::Error) => Ok(built),
        _ => Err(LoadError::Rejected { file, findings }),
    }
}
