//! The tree that an outline makes of a text.

use super::tokens::Token;
use crate::source::Span;

/// One value with its key, if it has one.
#[derive(Debug, Clone, Default)]
pub struct Node<'a> {
    /// The key before it.
    pub key: Option<Token<'a>>,
    /// The word before its bracket.
    pub word: Option<&'a str>,
    /// The value as written, without key, comments before it or comma.
    pub text: &'a str,
    /// Where that begins in the file.
    pub start: usize,
    /// What stands between its brackets.
    pub children: Vec<Node<'a>>,
    /// Something between its own brackets had to be reported.
    pub mended: bool,
    /// Nothing was reported in it or below.
    pub sound: bool,
}

impl<'a> Node<'a> {
    /// Where the value stands.
    pub fn span(&self) -> Span {
        Span { start: self.start, end: self.start + self.text.len() }
    }

    /// From key to end of value.
    pub fn whole_span(&self) -> Span {
        Span { start: self.key.map_or(self.start, |key| key.start), end: self.span().end }
    }

    /// The word before its bracket, or the bracket.
    pub fn head(&self) -> Span {
        let length = match (self.word, self.text.chars().next()) {
            (Some(word), _) => word.len(),
            (None, Some(c)) => c.len_utf8(),
            (None, None) => 0,
        };
        Span { start: self.start, end: self.start + length }
    }

    /// The value under a key.
    pub fn field(&self, key: &str) -> Option<&Node<'a>> {
        self.children.iter().find(|child| child.key.is_some_and(|found| found.text == key))
    }
}

/// What a file is, for messages.
#[derive(Debug, Clone, Copy)]
pub struct Root {
    /// The word at its start.
    pub word: &'static str,
    /// What people call it.
    pub noun: &'static str,
    /// Whether values without keys may stand in round brackets.
    pub has_tuples: bool,
}

/// A vehicle file.
pub const VEHICLE: Root = Root { word: "Vehicle", noun: "vehicle", has_tuples: false };
