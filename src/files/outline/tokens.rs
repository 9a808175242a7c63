//! Text to words, quoted texts, numbers and punctuation. Never fails: slips
//! with quotes and odd characters are reported, and the rest is still read.

use crate::source::{Diagnostic, Span};

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
    /// `,`
    Comma,
    /// `:`
    Colon,
    /// Any other character.
    Other,
}

/// A piece of the text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Token<'a> {
    pub kind: TokenKind,
    pub text: &'a str,
    /// First byte in the file.
    pub start: usize,
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

/// Every token of `text`, and what was wrong with quotes and characters.
pub fn tokenise(text: &str) -> Scanner<'_> {
    let mut scanner = Scanner { text, at: 0, tokens: Vec::new(), findings: Vec::new(), lost_quotes: Vec::new() };
    while let Some(c) = scanner.rest().chars().next() {
        scanner.step(c);
    }
    scanner
}

/// Takes a text apart.
pub struct Scanner<'a> {
    text: &'a str,
    at: usize,
    /// The tokens so far.
    pub tokens: Vec<Token<'a>>,
    /// What was wrong with quotes and characters.
    pub findings: Vec<Diagnostic>,
    /// Ends of the lines on which a quote is missing: text and code may have
    /// changed places there.
    pub lost_quotes: Vec<usize>,
}

impl<'a> Scanner<'a> {
    fn rest(&self) -> &'a str {
        &self.text[self.at..]
    }

    fn step(&mut self, c: char) {
        let rest = self.rest();
        match c {
            _ if c.is_whitespace() => self.space(c),
            '/' if rest.starts_with("//") => self.at += rest.find('\n').unwrap_or(rest.len()),
            '/' if rest.starts_with("/*") => self.block_comment(),
            '"' => self.quoted(),
            '“' | '”' | '„' | '‘' | '’' | '\'' if !self.follows_word() => self.oddly_quoted(c),
            '(' | '[' | '{' => self.push(TokenKind::Open, 1),
            ')' | ']' | '}' => self.push(TokenKind::Close, 1),
            ',' => self.push(TokenKind::Comma, 1),
            ':' => self.push(TokenKind::Colon, 1),
            _ if c.is_alphabetic() || c == '_' => self.push(TokenKind::Word, name_length(rest)),
            _ if starts_number(rest) => self.push(TokenKind::Number, number_length(rest)),
            _ => self.push(TokenKind::Other, c.len_utf8()),
        }
    }

    fn push(&mut self, kind: TokenKind, length: usize) {
        let text = &self.rest()[..length];
        self.tokens.push(Token { kind, text, start: self.at });
        self.at += length;
    }

    fn report(&mut self, span: Span, headline: &str, label: &str, help: &str) {
        self.findings.push(Diagnostic::error(span, headline, label, help));
    }

    fn space(&mut self, c: char) {
        let span = Span { start: self.at, end: self.at + c.len_utf8() };
        if !separates(c) {
            self.report(span, "this space is not an ordinary one", "looks like a space", "type a space over it");
        }
        self.at = span.end;
    }

    /// Comments nest, as in RON.
    fn block_comment(&mut self) {
        let (start, mut depth) = (self.at, 0usize);
        loop {
            let rest = self.rest();
            match rest.chars().next() {
                None => {
                    let span = Span { start, end: start + 2 };
                    self.report(span, "this comment is not closed", "opened here", "put `*/` after it");
                    return;
                }
                Some(_) if rest.starts_with("/*") => {
                    depth += 1;
                    self.at += 2;
                }
                Some(_) if rest.starts_with("*/") => {
                    depth -= 1;
                    self.at += 2;
                    if depth == 0 {
                        return;
                    }
                }
                Some(c) => self.at += c.len_utf8(),
            }
        }
    }

    /// A text ends on its line: otherwise one lost quote would turn the rest
    /// of the file inside out.
    fn quoted(&mut self) {
        let rest = self.rest();
        let mut escaped = false;
        for (index, c) in rest.char_indices().skip(1) {
            match c {
                '\n' => return self.unclosed_quote(rest[..index].trim_end().len()),
                _ if escaped => escaped = false,
                '\\' => escaped = true,
                '"' => return self.close_quote(index + 1),
                _ => {}
            }
        }
        self.unclosed_quote(rest.trim_end().len());
    }

    /// A word that sticks to a closing quote shows that it was none.
    fn close_quote(&mut self, length: usize) {
        self.push(TokenKind::Text, length);
        if self.rest().starts_with(char::is_alphanumeric) {
            self.mismatch();
        }
    }

    fn unclosed_quote(&mut self, length: usize) {
        self.push(TokenKind::Text, length);
        self.mismatch();
    }

    /// Reports the quotes of a line, once.
    fn mismatch(&mut self) {
        let line_end = self.at + self.rest().find('\n').unwrap_or(self.rest().len());
        if self.lost_quotes.last() == Some(&line_end) {
            return;
        }
        self.lost_quotes.push(line_end);
        let span = self.tokens[self.tokens.len() - 1].span();
        self.report(
            span,
            "the quotes on this line do not match",
            "this text ends in the wrong place",
            "put `\"` where the text begins and ends, on one line; inside a text use `'`",
        );
    }

    fn follows_word(&self) -> bool {
        self.text[..self.at].ends_with(char::is_alphanumeric)
    }

    fn oddly_quoted(&mut self, opening: char) {
        let rest = self.rest();
        let inner = &rest[opening.len_utf8()..];
        let closes = |c: char| matches!(c, '“' | '”' | '‘' | '’' | '\'' | '"' | '\n');
        let length = match inner.char_indices().find(|&(_, c)| closes(c)) {
            Some((index, '\n')) => opening.len_utf8() + inner[..index].trim_end().len(),
            Some((index, c)) => opening.len_utf8() + index + c.len_utf8(),
            None => rest.trim_end().len(),
        };
        self.push(TokenKind::Text, length);
        let span = self.tokens[self.tokens.len() - 1].span();
        self.report(span, "expected straight double quotes", "other quotes", "write `\"…\"`");
    }
}

fn name_length(text: &str) -> usize {
    let in_name = |c: char| c.is_alphanumeric() || matches!(c, '_' | '-' | '+' | '.' | '/');
    let length = text.find(|c| !in_name(c)).unwrap_or(text.len());
    // A comment may stick to a word.
    text[..length].find("//").or_else(|| text[..length].find("/*")).unwrap_or(length)
}

fn starts_number(text: &str) -> bool {
    let mut characters = text.trim_start_matches(['+', '-', '.']).chars();
    characters.next().is_some_and(|c| c.is_alphanumeric()) && !text.starts_with(char::is_alphabetic)
}

fn number_length(text: &str) -> usize {
    let mut before = ' ';
    let end = text.char_indices().find(|&(index, c)| {
        let sign = matches!(c, '+' | '-') && (index == 0 || matches!(before, 'e' | 'E' | '+' | '-'));
        let part = c.is_alphanumeric() || matches!(c, '.' | '_' | '°' | '%' | '²');
        before = c;
        !(part || sign)
    });
    end.map_or(text.len(), |(index, _)| index)
}

/// What RON takes as space; a no-break space from a word processor is none.
fn separates(c: char) -> bool {
    matches!(c, ' ' | '\t' | '\n' | '\r' | '\x0B' | '\x0C' | '\u{85}' | '\u{2028}' | '\u{2029}')
}
