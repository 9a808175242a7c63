//! Tokens to the tree that they stand for: keys, values and what separates them.

use super::frame::{Bracket, Frame};
use super::node::{Node, Root, Token, TokenKind};
use super::tokens::Scanner;
use crate::source::{Diagnostic, Span};
use std::collections::HashSet;

/// Format: after so many slips the text is something else than such a file.
const MOST_SLIPS: usize = 100;

/// The outermost entry of a text, if there is any, what is wrong with quotes,
/// brackets, commas and colons, and whether brackets match.
pub fn outline(text: &str, kind: Root) -> (Option<Node<'_>>, Vec<Diagnostic>, bool) {
    let Scanner { tokens, findings, torn, .. } = Scanner::scan(text);
    let is_balanced = is_balanced(&tokens);
    let is_indented = tokens.first().is_some_and(|first| first.next_indent > Some(first.indent));
    let (by_layout, stack) = (!is_balanced && is_indented, Vec::new());
    let mut outliner =
        Outliner { text, kind, tokens, at: 0, is_balanced, by_layout, torn, stack, upset: None, findings, root: None };
    outliner.run();
    (outliner.root, outliner.findings, is_balanced)
}

fn is_balanced(tokens: &[Token<'_>]) -> bool {
    let mut open = Vec::new();
    let mut fits = |token: &Token<'_>| match token.kind {
        TokenKind::Open => {
            open.push(token.text == "[");
            true
        }
        TokenKind::Close => open.pop() == Some(token.text == "]"),
        _ => true,
    };
    tokens.iter().all(&mut fits) && open.is_empty()
}

/// A mark that is missing.
pub(super) fn missing(at: usize, mark: &str, place: &str) -> Diagnostic {
    let (headline, label) = (format!("expected `{mark}` {place}"), format!("`{mark}` is missing here"));
    Diagnostic::error(Span { start: at, end: at }, headline, label, format!("put `{mark}` here"))
}

pub(super) struct Outliner<'a> {
    pub text: &'a str,
    kind: Root,
    pub tokens: Vec<Token<'a>>,
    pub at: usize,
    pub is_balanced: bool,
    /// Brackets do not match, and lines are indented: they say where.
    pub by_layout: bool,
    /// As in [`Scanner`].
    torn: HashSet<usize>,
    pub stack: Vec<Frame<'a>>,
    /// The last line on which a quote or bracket went astray.
    pub upset: Option<usize>,
    pub findings: Vec<Diagnostic>,
    pub root: Option<Node<'a>>,
}

impl<'a> Outliner<'a> {
    fn run(&mut self) {
        if !self.enter() {
            return;
        }
        while let Some(token) = self.peek(0).filter(|_| self.root.is_none()) {
            if self.findings.len() >= MOST_SLIPS {
                let headline = format!("more than {MOST_SLIPS} slips up to here: the rest has not been read");
                let help = "mend the first ones and try again";
                return self.findings.push(Diagnostic::error(token.span(), headline, "read to here", help));
            }
            if self.torn.contains(&token.line) {
                self.upset = Some(token.line);
            }
            let is_key = matches!(token.kind, TokenKind::Word | TokenKind::Text) && self.is_colon(1);
            if self.by_layout && token.kind != TokenKind::Close && self.tokens[self.at - 1].line < token.line {
                self.outdent(token, is_key);
            }
            let bracket = self.peek(1).filter(|next| next.kind == TokenKind::Open && next.text != "[");
            match (token.kind, bracket) {
                (TokenKind::Open, _) => self.open(None, token),
                (TokenKind::Word, Some(bracket)) => self.open(Some(token), bracket),
                (TokenKind::Close, _) => self.close(token),
                (TokenKind::Comma, _) => self.comma(token),
                _ if is_key => self.key(token),
                (TokenKind::Colon | TokenKind::Other, _) => self.stray(token),
                _ => self.value(token),
            }
            self.at += 1;
        }
        if let Some(token) = self.peek(0).filter(|_| self.upset.is_none()) {
            let headline = format!("something stands after the end of the {}", self.kind.noun);
            let help = "take it away, or move the last bracket behind it";
            self.findings.push(Diagnostic::error(token.span(), headline, "it was closed before this", help));
        }
        self.lose(0, "");
    }

    pub fn peek(&self, ahead: usize) -> Option<Token<'a>> {
        self.tokens.get(self.at + ahead).copied()
    }

    /// A colon, or the `=` of people who write programs.
    pub fn is_colon(&self, ahead: usize) -> bool {
        self.peek(ahead).is_some_and(|token| token.kind == TokenKind::Colon || token.text == "=")
    }

    pub fn top(&mut self) -> &mut Frame<'a> {
        let last = self.stack.len() - 1;
        &mut self.stack[last]
    }

    /// End of the last token before this one that is no comma.
    pub fn end_before(&self) -> usize {
        let mut before = self.tokens[..self.at.min(self.tokens.len())].iter().rev();
        before.find(|token| token.kind != TokenKind::Comma).map_or(0, Token::end)
    }

    /// The next token, with the colon or bracket that follows it.
    pub fn next_words(&self) -> &'a str {
        let Some(first) = self.peek(0) else { return "" };
        let sticks = |next: &Token<'a>| next.start == first.end() && [":", "(", "["].contains(&next.text);
        let end = self.peek(1).filter(sticks).map_or(first.end(), |next| next.end());
        &self.text[first.start..end]
    }

    /// Reports something in the innermost brackets, unless a quote or bracket
    /// went astray in them or on this line.
    pub fn report(&mut self, finding: Diagnostic) {
        let line = self.peek(0).map_or(0, |token| token.line);
        let torn = self.torn.contains(&line) || self.upset == Some(line);
        self.top().mended = true;
        if !(self.top().upset || torn) {
            self.findings.push(finding);
        }
    }

    /// Reports a bracket that went astray.
    pub fn report_bracket(&mut self, finding: Diagnostic) {
        self.report(finding);
        self.top().upset = true;
        self.upset = self.peek(0).map(|token| token.line).or(self.upset);
    }

    /// The opening of the outermost entry.
    fn enter(&mut self) -> bool {
        let word = self.peek(0).filter(|token| token.kind == TokenKind::Word);
        self.at = usize::from(word.is_some());
        if let Some(bracket) = self.peek(0).filter(|token| token.text == "(") {
            let start = word.unwrap_or(bracket).start;
            self.stack.push(Frame::new(Bracket::Entry, word.map(|word| word.text), start, bracket));
            self.at += 1;
            return true;
        }
        let Root { word, noun } = self.kind;
        let help = format!("a {noun} file is `{word}( … )`: start from one of the samples");
        let headline = format!("expected `{word}(` at the start, but found something else");
        self.findings.push(match self.tokens.first() {
            Some(token) => Diagnostic::error(token.span(), headline, "starts here", help),
            None => Diagnostic { span: None, ..Diagnostic::error(Span::default(), "this file is empty", "", help) },
        });
        false
    }

    fn key(&mut self, key: Token<'a>) {
        self.keep_keys_in_entries(key);
        if self.top().key.is_some() || self.top().value.is_some() {
            self.missing_comma();
        }
        let inner = key.text.trim_start_matches('"');
        let start = key.end() - inner.len();
        let bare = Token { text: inner.trim_end_matches('"'), start, ..key };
        let colon = self.tokens[self.at + 1];
        let help = format!("write `{}: …`", bare.text);
        if key.kind == TokenKind::Text {
            self.report(Diagnostic::error(key.span(), "expected a key without quotes", "a key in quotes", help));
        } else if colon.text == "=" {
            let headline = "expected `:` after a key, but found `=`";
            self.report(Diagnostic::error(colon.span(), headline, "here", help));
        }
        self.top().key = Some(bare);
        self.at += 1;
    }

    fn comma(&mut self, comma: Token<'a>) {
        // A bracket too many has been reported.
        let is_known = self.tokens[self.at - 1].kind == TokenKind::Close;
        if self.top().value.is_some() {
            self.top().finish_item();
        } else if self.top().key.is_some() {
            self.missing_comma();
        } else if !is_known {
            let headline = "expected something before this comma";
            self.report(Diagnostic::error(comma.span(), headline, "nothing between", "take one comma away"));
        }
    }

    fn value(&mut self, token: Token<'a>) {
        if self.top().value.is_some() {
            self.missing_comma();
        }
        if self.top().bracket == Bracket::Entry && self.top().key.is_none() {
            if token.kind == TokenKind::Word && self.peek(1).is_some_and(|next| next.is_value() || next.text == "[") {
                self.report(missing(token.end(), ":", &format!("after `{}`", token.text)));
                self.top().key = Some(token);
                return;
            }
            self.keyless(token, false);
        }
        self.take(token);
    }

    /// Takes a plain value; one from a line whose quotes do not match cannot be
    /// trusted.
    fn take(&mut self, token: Token<'a>) {
        let sound = !self.torn.contains(&token.line);
        let Token { text, start, .. } = token;
        let top = self.top();
        (top.mended, top.upset) = (top.mended || !sound, top.upset || !sound);
        top.value = Some(Node { key: None, word: None, text, start, children: Vec::new(), mended: false, sound });
    }

    /// Reports what is missing after the current item, and ends it.
    pub fn missing_comma(&mut self) {
        if let Some(end) = self.top().value.as_ref().map(|value| value.span().end) {
            self.report(missing(end, ",", &format!("before `{}`", self.next_words())));
        } else if let Some(key) = self.top().key {
            let headline = format!("expected a value after `{}:`", key.text);
            let help = "write it, or take the key away";
            self.report(Diagnostic::error(key.span(), headline, "nothing follows", help));
            self.take(Token { text: "", start: key.end(), ..key });
            self.top().doubt_value();
        }
        self.top().finish_item();
    }

    fn stray(&mut self, token: Token<'a>) {
        let headline = format!("expected a key or a value, but found `{}`", token.text);
        let help = "take it away, or write `,` between entries and `key: value` in them";
        self.report(Diagnostic::error(token.span(), headline, "here", help));
        if token.text == ";" {
            self.top().finish_item();
        }
    }
}
