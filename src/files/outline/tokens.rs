//! Text to words, quoted texts, numbers and punctuation. Never fails: slips
//! with quotes and odd characters are reported, and the rest is still read.

use super::node::{Token, TokenKind};
use crate::source::{Diagnostic, Span};
use std::collections::HashSet;

/// Marks that people put around texts.
pub const QUOTES: [char; 7] = ['"', '\'', '“', '”', '„', '‘', '’'];

/// Takes a text apart.
pub struct Scanner<'a> {
    text: &'a str,
    at: usize,
    /// Lines are counted up to here.
    counted: usize,
    line: usize,
    pub tokens: Vec<Token<'a>>,
    /// What was wrong with quotes and characters.
    pub findings: Vec<Diagnostic>,
    /// Lines on which the quotes do not match.
    pub torn: HashSet<usize>,
}

impl<'a> Scanner<'a> {
    /// Every token of `text`.
    pub fn scan(text: &'a str) -> Self {
        let (tokens, findings, torn) = (Vec::new(), Vec::new(), HashSet::new());
        let mut scanner = Self { text, at: 0, counted: 0, line: 0, tokens, findings, torn };
        while let Some(c) = scanner.rest().chars().next() {
            scanner.step(c);
        }
        let mut below: Option<Token<'_>> = None;
        for token in scanner.tokens.iter_mut().rev() {
            token.next_indent =
                below.and_then(|below| if below.line > token.line { Some(below.indent) } else { below.next_indent });
            below = Some(*token);
        }
        scanner
    }

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
            _ if QUOTES.contains(&c) && !self.text[..self.at].ends_with(char::is_alphanumeric) => self.oddly_quoted(c),
            '(' | '[' | '{' => self.push(TokenKind::Open, 1),
            ')' | ']' | '}' => self.push(TokenKind::Close, 1),
            ',' => self.push(TokenKind::Comma, 1),
            ':' => self.push(TokenKind::Colon, 1),
            _ if c.is_alphabetic() || c == '_' => self.push(TokenKind::Word, name_length(rest)),
            _ if starts_number(rest) => {
                let is_keyed = self.tokens.last().is_some_and(|last| matches!(last.text, ":" | "="));
                self.push(TokenKind::Number, number_length(rest, is_keyed));
            }
            _ => self.push(TokenKind::Other, c.len_utf8()),
        }
    }

    fn push(&mut self, kind: TokenKind, length: usize) {
        let (start, text) = (self.at, &self.rest()[..length]);
        self.line += self.text[self.counted..start].matches('\n').count();
        self.counted = start;
        let line = self.line;
        let indent = match self.tokens.last() {
            Some(last) if last.line == line => last.indent,
            _ => self.text[..start].chars().rev().take_while(|c| *c != '\n').count(),
        };
        self.tokens.push(Token { kind, text, start, line, indent, next_indent: None });
        self.at += length;
    }

    fn report(&mut self, span: Span, headline: &str, label: &str, help: &str) {
        self.findings.push(Diagnostic::error(span, headline, label, help));
    }

    /// A no-break space from a word processor is no space to RON.
    fn space(&mut self, c: char) {
        let span = Span { start: self.at, end: self.at + c.len_utf8() };
        if !matches!(c, ' ' | '\t' | '\n' | '\r' | '\x0B' | '\x0C' | '\u{85}' | '\u{2028}' | '\u{2029}') {
            self.report(span, "this space is not an ordinary one", "looks like a space", "type a space over it");
        }
        self.at = span.end;
    }

    /// Comments nest, as in RON.
    fn block_comment(&mut self) {
        let (start, mut depth) = (self.at, 0usize);
        for (index, _) in self.rest().match_indices(['/', '*']) {
            let index = start + index;
            match self.text.get(index..index + 2) {
                _ if index < self.at => {}
                Some("/*") => (depth, self.at) = (depth + 1, index + 2),
                Some("*/") => (depth, self.at) = (depth - 1, index + 2),
                _ => {}
            }
            if depth == 0 {
                return;
            }
        }
        self.at = self.text.len();
        let opening = Span { start, end: start + 2 };
        self.report(opening, "this comment is not closed", "opened here", "put `*/` after it");
    }

    /// A text ends on its line, and no word sticks to its end: otherwise one
    /// lost quote would turn the rest of the file inside out. Where quotes do
    /// not match, all up to the last one of the line is one text.
    fn quoted(&mut self) {
        let mut escaped = false;
        let end = self.rest().char_indices().skip(1).find(|&(_, c)| {
            let ends = c == '\n' || c == '"' && !escaped;
            escaped = c == '\\' && !escaped;
            ends
        });
        let length = end.filter(|(_, c)| *c == '"').map(|(index, _)| index + 1);
        if let Some(length) = length.filter(|&length| !self.rest()[length..].starts_with(char::is_alphanumeric)) {
            return self.push(TokenKind::Text, length);
        }
        let line = self.rest().split('\n').next().unwrap_or_default();
        let before_brackets = line.trim_end_matches(|c: char| c.is_whitespace() || ")]},".contains(c)).len().max(1);
        let shown = Span { start: self.at, end: self.at + length.unwrap_or(line.trim_end().len()) };
        self.report(
            shown,
            "the quotes on this line do not match",
            "this text ends in the wrong place",
            "put `\"` where the text begins and ends, on one line; inside a text use `'`",
        );
        let last = line[1..].rfind('"').map(|index| index + 2);
        self.push(TokenKind::Text, last.unwrap_or(before_brackets));
        self.torn.insert(self.line);
    }

    fn oddly_quoted(&mut self, opening: char) {
        let rest = self.rest();
        let inner = &rest[opening.len_utf8()..];
        let closes = |c: char| c == '\n' || c != '„' && QUOTES.contains(&c);
        let length = match inner.char_indices().find(|&(_, c)| closes(c)) {
            Some((index, '\n')) => opening.len_utf8() + inner[..index].trim_end().len(),
            Some((index, c)) => opening.len_utf8() + index + c.len_utf8(),
            None => rest.trim_end().len(),
        };
        let span = Span { start: self.at, end: self.at + length };
        self.report(span, "expected straight double quotes", "other quotes", "write `\"…\"`");
        self.push(TokenKind::Text, length);
    }
}

/// The tokens of a text, without its comments, and what is wrong with its quotes.
pub fn tokens(text: &str) -> (Vec<Token<'_>>, Vec<Diagnostic>) {
    let Scanner { tokens, findings, .. } = Scanner::scan(text);
    (tokens, findings)
}

fn name_length(text: &str) -> usize {
    let in_name = |c: char| c.is_alphanumeric() || matches!(c, '_' | '-' | '+' | '.' | '/');
    let name = &text[..text.find(|c| !in_name(c)).unwrap_or(text.len())];
    let is_comment = name.ends_with('/') && text[name.len()..].starts_with('*');
    // A comment may stick to a word.
    name.find("//").unwrap_or(name.len() - usize::from(is_comment))
}

fn starts_number(text: &str) -> bool {
    let mut signs_and_more = text.chars().take(3);
    signs_and_more.find(|c| !matches!(c, '+' | '-' | '.')).is_some_and(char::is_alphanumeric)
}

/// A number with all that sticks to it; under a key a decimal comma and a unit
/// after a space too, for the message to show.
fn number_length(text: &str, is_keyed: bool) -> usize {
    let mut before = ' ';
    let end = text.char_indices().find(|&(index, c)| {
        let sign = matches!(c, '+' | '-') && (index == 0 || matches!(before, 'e' | 'E' | '+' | '-'));
        let part = c.is_alphanumeric() || matches!(c, '.' | '_' | '°' | '%' | '²');
        before = c;
        !(part || sign)
    });
    let end = end.map_or(text.len(), |(index, _)| index);
    let rest = &text[end..];
    let word = |text: &str| text.find(|c: char| !(c.is_alphanumeric() || c == '²')).unwrap_or(text.len());
    if is_keyed && rest.strip_prefix(',').is_some_and(|rest| rest.starts_with(|c: char| c.is_ascii_digit())) {
        return end + 1 + word(&rest[1..]);
    }
    let unit = rest.trim_start_matches(' ');
    let (spaces, length) = (rest.len() - unit.len(), word(unit));
    let is_unit = unit.starts_with(char::is_alphabetic) && !unit[length..].trim_start().starts_with([':', '=', '(']);
    if is_keyed && spaces > 0 && is_unit { end + spaces + length } else { end }
}
