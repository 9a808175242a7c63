//! Keys, values and the punctuation between them.

use super::outliner::Outliner;
use super::tokens::{Token, TokenKind};
use crate::files::reader::wording::bare_number;
use crate::source::{Diagnostic, Span};

/// Texts in other quotes have been reported.
fn is_well_quoted(token: Token<'_>) -> bool {
    let inner = token.text.strip_prefix('"').and_then(|rest| rest.strip_suffix('"'));
    token.kind != TokenKind::Text || inner.is_some()
}

impl<'a> Outliner<'a> {
    /// Takes a plain value; one that cannot be trusted spoils what it is in.
    fn take(&mut self, token: Token<'a>) {
        let is_trusted = is_well_quoted(token) && !self.lacks_quote(token.start);
        let frame = self.top();
        frame.item.take_token(token, is_trusted);
        frame.mended |= !is_trusted;
    }

    pub fn key(&mut self, key: Token<'a>) {
        let key = self.make_room_for_key(key);
        if self.top().item.is_started() {
            self.missing_comma();
        }
        let colon = self.tokens[self.at + 1];
        if key.kind == TokenKind::Text {
            let help = format!("write `{}:`", key.text.trim_matches('"'));
            self.report(Diagnostic::error(key.span(), "expected a key without quotes", "a key in quotes", help));
        } else if colon.text == "=" {
            let help = format!("write `{}: …`", key.text);
            self.report(Diagnostic::error(colon.span(), "expected `:` after a key, but found `=`", "here", help));
        }
        self.top().item.key = Some(key);
        self.at += 1;
    }

    pub fn comma(&mut self, comma: Token<'a>) {
        let item = &self.top().item;
        if item.key.is_some() && item.values == 0 {
            self.missing_comma();
        } else if item.is_started() {
            self.finish_item();
        } else if !self.follows_decimal_comma() && !self.precedes_key_in_list() {
            self.report(Diagnostic::error(
                comma.span(),
                "expected something before this comma",
                "nothing between",
                "take one comma away",
            ));
        }
    }

    /// The list before a key has lost its bracket, which will be reported.
    fn precedes_key_in_list(&self) -> bool {
        let in_list = self.stack.last().is_some_and(|frame| frame.bracket == '[');
        in_list && self.peek(2).is_some_and(|colon| colon.kind == TokenKind::Colon)
    }

    /// The digits after a decimal comma were taken together with it.
    fn follows_decimal_comma(&self) -> bool {
        self.at > 0 && self.tokens[self.at - 1].kind == TokenKind::Number
    }

    pub fn value(&mut self, token: Token<'a>) {
        let keyed_level = self.top().bracket == '(';
        let (has_value, has_key) = (self.top().item.values > 0, self.top().item.key.is_some());
        if has_value {
            return self.second_value(token);
        }
        if keyed_level && !has_key {
            if self.is_decimal_comma(token) {
                return self.decimal_comma(token);
            }
            if token.kind == TokenKind::Word && self.peek(1).is_some_and(|next| next.is_value() || next.text == "[") {
                self.report(Diagnostic::error(
                    Span { start: token.end(), end: token.end() },
                    format!("expected `:` after `{}`", token.text),
                    "a colon is missing here",
                    format!("write `{}: …`", token.text),
                ));
                self.top().item.key = Some(token);
                return;
            }
            if !self.reopen_texts() {
                self.report(Diagnostic::error(
                    token.span(),
                    format!("expected a key before `{}`", token.text),
                    "a value without its key",
                    "write `key: value`, such as `metres: 4.0`",
                ));
            }
        }
        self.take(token);
    }

    /// Two values in a row: a unit, or a lost comma.
    fn second_value(&mut self, token: Token<'a>) {
        let number =
            self.top().item.last.filter(|last| last.kind == TokenKind::Number && token.kind == TokenKind::Word);
        let Some(number) = number else {
            self.missing_comma();
            self.take(token);
            return;
        };
        let key = self.top().item.key.map_or("value", |key| key.text);
        self.report(Diagnostic::error(
            Span { start: number.start, end: token.end() },
            format!("expected a bare number, but found `{} {}`", number.text, token.text),
            "a number with its unit",
            bare_number(key, &format!("{}{}", number.text, token.text)),
        ));
        self.take(token);
    }

    /// The next token, with the colon or bracket that follows it.
    fn next_words(&self) -> &'a str {
        let Some(first) = self.peek(0) else { return "" };
        let sticks = |second: &Token<'a>| second.start == first.end() && first.kind == TokenKind::Word;
        let second =
            self.peek(1).filter(|second| matches!(second.kind, TokenKind::Colon | TokenKind::Open) && sticks(second));
        &self.text[first.start..second.map_or(first.end(), |second| second.end())]
    }

    /// Reports what is missing after the current item, and ends it.
    pub fn missing_comma(&mut self) {
        let item = &self.top().item;
        let (end, unfinished) = (item.end, item.values == 0);
        let key = item.key.map_or("", |key| key.text);
        let gap = Span { start: end, end };
        if unfinished {
            let span = item.key.map_or(gap, |key| key.span());
            let finding = Diagnostic::error(
                span,
                format!("expected a value after `{key}:`"),
                "nothing follows",
                "write it, or take the key away",
            );
            self.report(finding);
        } else {
            let next = self.next_words();
            self.report(Diagnostic::error(
                gap,
                format!("expected a comma before `{next}`"),
                "a comma is missing here",
                "put `,` here",
            ));
        }
        self.finish_item();
    }

    fn is_decimal_comma(&self, token: Token<'a>) -> bool {
        let adjacent = |a: &Token<'_>, b: &Token<'_>| a.end() == b.start;
        match self.tokens[..self.at].last_chunk::<2>() {
            Some([number, comma]) => {
                let kinds = [number.kind, comma.kind, token.kind];
                kinds == [TokenKind::Number, TokenKind::Comma, TokenKind::Number]
                    && adjacent(number, comma)
                    && adjacent(comma, &token)
            }
            None => false,
        }
    }

    fn decimal_comma(&mut self, fraction: Token<'a>) {
        let whole = self.tokens[self.at - 2];
        self.report(Diagnostic::error(
            Span { start: whole.start, end: fraction.end() },
            format!("expected a decimal point, but found `{},{}`", whole.text, fraction.text),
            "a decimal comma",
            format!("write `{}.{}`", whole.text, fraction.text),
        ));
    }

    pub fn stray(&mut self, token: Token<'a>) {
        let help = match token.text {
            ";" => "write `,` between entries",
            ":" => "write `key: value`",
            _ => "take it away, or put it in quotes if it belongs to a text",
        };
        let headline = format!("expected a key or a value, but found `{}`", token.text);
        self.report(Diagnostic::error(token.span(), headline, "here", help));
        if token.text == ";" && self.top().item.is_started() {
            self.finish_item();
        }
    }
}
