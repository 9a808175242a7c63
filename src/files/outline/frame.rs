//! What is being read: brackets that are still open, and the value in them.

use super::node::Node;
use super::tokens::Token;
use crate::source::Span;

/// Stands for the opening bracket of a tuple, whose values have no keys.
pub const TUPLE: char = '<';

/// Brackets that are still open.
pub struct Frame<'a> {
    /// The opening bracket; a curly one counts as round.
    pub bracket: char,
    /// The bracket and the word before it.
    pub opener: Span,
    /// That word.
    pub word: Option<&'a str>,
    /// What has been read between them.
    pub children: Vec<Node<'a>>,
    pub item: PendingValue<'a>,
    /// Something was reported here.
    pub mended: bool,
}

impl<'a> Frame<'a> {
    /// Freshly opened.
    pub fn new(word: Option<Token<'a>>, bracket: Token<'a>) -> Self {
        Self {
            bracket: if bracket.text == "[" { '[' } else { '(' },
            opener: Span { start: word.map_or(bracket.start, |word| word.start), end: bracket.end() },
            word: word.map(|word| word.text),
            children: Vec::new(),
            item: PendingValue::default(),
            mended: false,
        }
    }
}

/// A value that is being read.
#[derive(Default)]
pub struct PendingValue<'a> {
    pub key: Option<Token<'a>>,
    /// First byte of the value.
    pub start: usize,
    /// One past its last byte.
    pub end: usize,
    /// How many values stand where one should.
    pub values: usize,
    /// Its last token, if that is a plain one.
    pub last: Option<Token<'a>>,
    /// As in [`Node`].
    pub word: Option<&'a str>,
    /// As in [`Node`].
    pub children: Vec<Node<'a>>,
    /// As in [`Node`].
    pub mended: bool,
    /// As in [`Node`].
    pub sound: bool,
}

impl<'a> PendingValue<'a> {
    /// Whether a key or a value has been read.
    pub fn is_started(&self) -> bool {
        self.key.is_some() || self.values > 0
    }

    /// Takes a plain value.
    pub fn take_token(&mut self, token: Token<'a>, is_trusted: bool) {
        self.take_stretch(token.start, token.end());
        self.last = Some(token);
        self.sound = is_trusted;
    }

    /// Takes a stretch of text as a value.
    pub fn take_stretch(&mut self, start: usize, end: usize) {
        if self.values == 0 {
            self.start = start;
        }
        self.end = end;
        self.values += 1;
    }
}

/// The bracket that closes another.
pub fn closing(bracket: char) -> &'static str {
    if bracket == '[' { "]" } else { ")" }
}
