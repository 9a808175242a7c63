//! A text while it is put together.

use crate::files::outline::{Node, QUOTES};
use crate::source::{Piece, SourceFile, Span};
use std::sync::Arc;

#[derive(Default)]
pub struct Text {
    pub text: String,
    pub pieces: Vec<Piece>,
}

impl Text {
    /// Takes a stretch of a file over.
    pub fn take(&mut self, file: &Arc<SourceFile>, from: Span) {
        self.add(&file.text[from.range()], file, from);
    }

    /// Adds words that were made of a stretch of a file.
    pub fn make(&mut self, words: &str, file: &Arc<SourceFile>, from: Span) {
        self.add(words, file, from);
    }

    fn add(&mut self, words: &str, file: &Arc<SourceFile>, from: Span) {
        let start = self.text.len();
        self.text += words;
        let span = Span { start, end: self.text.len() };
        self.pieces.push(Piece { span, file: Arc::clone(file), from });
    }

    /// A key with its value, and the comma after it.
    pub fn field(&mut self, file: &Arc<SourceFile>, node: &Node<'_>) {
        self.take(file, whole(node));
        self.make(",\n", file, node.head());
    }
}

/// A value with its key.
pub fn whole(node: &Node<'_>) -> Span {
    let span = node.span();
    Span { start: node.key.map_or(span.start, |key| key.start), end: span.end }
}

/// What stands between quotes.
pub fn unquoted(text: &str) -> &str {
    text.trim_matches(QUOTES)
}
