//! Brackets that are still open, and the item that is being read in them.

use super::node::{Node, Token};
use crate::source::Span;

#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Bracket {
    /// `( … )` around keys and values.
    Entry,
    /// `( … )` around values.
    Tuple,
    List,
}

pub struct Frame<'a> {
    pub bracket: Bracket,
    /// The bracket and the word before it.
    pub opener: Span,
    pub word: Option<&'a str>,
    pub line: usize,
    /// That of its line; none where it says nothing of what is inside.
    pub indent: Option<usize>,
    pub children: Vec<Node<'a>>,
    pub key: Option<Token<'a>>,
    pub value: Option<Node<'a>>,
    /// As in [`Node`].
    pub mended: bool,
    /// A quote or bracket went astray here: what else is odd may follow from it.
    pub upset: bool,
    /// Its bracket is not in the file.
    pub supposed: bool,
}

impl<'a> Frame<'a> {
    pub fn new(bracket: Bracket, word: Option<&'a str>, start: usize, token: Token<'a>) -> Self {
        let opener = Span { start, end: token.end() };
        let (line, indent) = (token.line, Some(token.indent));
        let (children, key, value, mended, upset, supposed) = (Vec::new(), None, None, false, false, false);
        Self { bracket, opener, word, line, indent, children, key, value, mended, upset, supposed }
    }

    /// Brackets that are not in the file, from a place on.
    pub fn supposed(bracket: Bracket, word: Option<&'a str>, start: usize, place: Token<'a>) -> Self {
        let frame = Self::new(bracket, word, start, Token { text: "", start, ..place });
        Self { mended: true, upset: true, supposed: true, indent: None, ..frame }
    }

    pub fn is_empty(&self) -> bool {
        self.children.is_empty() && self.key.is_none() && self.value.is_none()
    }

    /// The bracket that opens it, and the one that closes it.
    pub fn brackets(&self) -> (&'static str, &'static str) {
        if self.bracket == Bracket::List { ("[", "]") } else { ("(", ")") }
    }

    pub fn finish_item(&mut self) {
        if let Some(value) = self.value.take() {
            self.children.push(Node { key: self.key.take(), ..value });
        }
    }

    /// The value before a bracket that went astray is not what it seems.
    pub fn doubt_value(&mut self) {
        self.value.iter_mut().for_each(|value| value.sound = false);
    }
}
