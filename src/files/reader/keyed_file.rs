//! A table of parameters: rows under keys that only the table knows.

use super::state::Reader;
use super::value::Keyed;
use crate::files::outline::Node;
use crate::files::wording::shortened;
use crate::source::{Diagnostic, Span};
use crate::tables::row::{Interval, RowReader, Value};
use serde::de::DeserializeOwned;

/// An entry being read: its keys are known, its values are not read yet.
pub struct KeyedFile<'r, 'n, 'a> {
    reader: &'r mut Reader<'a>,
    node: &'n Node<'a>,
    /// The word at its start.
    pub word: &'static str,
    keyed: Keyed<'n, 'a>,
}

impl<'r, 'n, 'a> KeyedFile<'r, 'n, 'a> {
    /// An entry that starts with one of some words, each with its keys.
    pub fn new(
        reader: &'r mut Reader<'a>,
        node: &'n Node<'a>,
        kinds: &[(&'static str, &'static [&'static str])],
    ) -> Option<Self> {
        let Some(&(word, keys)) = kinds.iter().find(|(word, _)| node.word == Some(word)) else {
            let words: Vec<String> = kinds.iter().map(|(word, _)| format!("`{word}(`")).collect();
            let help = format!("write {}", words.join(" or "));
            reader.findings.push(Diagnostic::error(
                node.head(),
                "expected a table, but found another word",
                "here",
                help,
            ));
            return None;
        };
        let keyed = reader.keyed(node, word, keys);
        Some(Self { reader, node, word, keyed })
    }

    fn get(&self, key: &str) -> Option<&'n Node<'a>> {
        self.keyed.iter().find(|(known, _)| *known == key).map(|&(_, node)| node)
    }

    /// A value that has to be there.
    fn needed(&mut self, key: &'static str) -> Option<&'n Node<'a>> {
        let found = self.get(key);
        if found.is_none() {
            self.reader.report_missing(self.node, self.word, key);
        }
        found
    }

    /// A table under a key, which may be left out.
    pub fn inside(
        &mut self,
        key: &str,
        kind: (&'static str, &'static [&'static str]),
    ) -> Option<KeyedFile<'_, 'n, 'a>> {
        let node = self.get(key)?;
        KeyedFile::new(self.reader, node, &[kind])
    }
}

impl RowReader for KeyedFile<'_, '_, '_> {
    fn row<T: Value>(&mut self, key: &'static str, range: Interval, known: Option<(&T, &str)>) -> Option<(T, String)> {
        if let (None, Some((value, source))) = (self.get(key), known) {
            return Some((value.clone(), source.to_string()));
        }
        let node = self.needed(key)?;
        let ([value, source], true) = (&node.children[..], node.text.starts_with('(')) else {
            let headline = format!("expected a value and its source for `{key}`, but found `{}`", shortened(node.text));
            self.reject(node.span(), &headline, &format!("write `{key}: (…, \"where the value is from\")`"));
            return None;
        };
        let text: String = self.reader.value(key, source)?;
        if text.trim().is_empty() {
            let headline = format!("`{key}` needs a source, but has none");
            self.reject(source.span(), &headline, "say where the value is from");
        }
        let span = value.span();
        let value: T = self.reader.value(key, value)?;
        let help = "compare with the table of the program";
        if let Some(number) = value.numbers().into_iter().find(|number| !range.contains(number)) {
            let (least, most) = (range.start(), range.end());
            self.reject(span, &format!("`{key}` must be between {least} and {most}, but is {number}"), help);
        } else if let Some(disorder) = value.disorder() {
            self.reject(span, &format!("`{key}` {disorder}"), help);
        }
        Some((value, text))
    }

    fn list<T: DeserializeOwned>(&mut self, key: &'static str) -> Vec<(T, Span)> {
        let list = self.needed(key).and_then(|node| self.reader.value::<super::List<T>>(key, node));
        list.map(|mut list| list.take().collect()).unwrap_or_default()
    }

    fn reject(&mut self, place: Span, headline: &str, help: &str) {
        self.reader.findings.push(Diagnostic::error(place, headline, "here", help));
    }
}
