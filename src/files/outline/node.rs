//! What an outline is made of.

use crate::source::Span;

/// What a token is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TokenKind {
    /// A key, a kind or a choice: letters, digits and what names may hold.
    Word,
    /// Something in quotes.
    Text,
    /// What starts like a number, with whatever sticks to it.
    Number,
    /// `(`, `[` or `{`.
    Open,
    /// `)`, `]` or `}`.
    Close,
    Comma,
    Colon,
    /// Any other character.
    Other,
}

/// A piece of the text.
#[derive(Debug, Clone, Copy)]
pub struct Token<'a> {
    pub kind: TokenKind,
    pub text: &'a str,
    /// First byte in the file.
    pub start: usize,
    pub line: usize,
    /// Characters before the first token of its line, and of the next line.
    pub indent: usize,
    pub next_indent: Option<usize>,
}

impl Token<'_> {
    /// One past its last byte.
    pub fn end(&self) -> usize {
        self.start + self.text.len()
    }

    pub fn span(&self) -> Span {
        Span { start: self.start, end: self.end() }
    }

    /// Whether it can stand after a key.
    pub fn is_value(&self) -> bool {
        matches!(self.kind, TokenKind::Word | TokenKind::Text | TokenKind::Number)
    }
}

/// One value with its key, if it has one.
#[derive(Debug, Clone)]
pub struct Node<'a> {
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

/// Stands for a value that is missing.
pub static NOTHING: Node<'static> =
    Node { key: None, word: None, text: "", start: 0, children: Vec::new(), mended: true, sound: false };

impl<'a> Node<'a> {
    /// Where the value stands.
    pub fn span(&self) -> Span {
        Span { start: self.start, end: self.start + self.text.len() }
    }

    /// The word before its bracket, or the bracket.
    pub fn head(&self) -> Span {
        let first = self.text.chars().next().map_or(0, char::len_utf8);
        Span { start: self.start, end: self.start + self.word.map_or(first, str::len) }
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
}

/// A vehicle file.
pub const VEHICLE: Root = Root { word: "Vehicle", noun: "vehicle" };
