//! Lost and stray brackets: what a vehicle file is made of tells which one is
//! meant, so that one slip spoils one entry.

use super::frame::{Frame, PendingValue, closing};
use super::lists::{SECTIONS, holder, home};
use super::node::Node;
use super::outliner::Outliner;
use super::tokens::{Token, TokenKind};
use crate::source::{Diagnostic, Span};

/// Lists of texts.
const TEXT_LISTS: [&str; 3] = ["notes", "on", "off"];

/// `Cablename` to `Cable` and `name`.
fn split_kind(token: Token<'_>) -> Option<(Token<'_>, Token<'_>)> {
    let splits = token.text.char_indices().map(|(index, _)| token.text.split_at(index));
    let (kind, key) = splits.rev().find(|(kind, _)| *kind == "Core" || home(kind).is_some())?;
    Some((Token { text: kind, ..token }, Token { text: key, start: token.start + kind.len(), ..token }))
}

/// An opening as people write it.
fn opening(word: Option<&str>, bracket: &str) -> String {
    format!("{}{bracket}", word.unwrap_or_default())
}

impl<'a> Outliner<'a> {
    /// The innermost open list with this key.
    fn open_list(&self, key: &str) -> Option<usize> {
        (1..self.stack.len()).rev().find(|&index| {
            let holder = &self.stack[index - 1].item;
            self.stack[index].bracket == '[' && holder.key.is_some_and(|found| found.text == key)
        })
    }

    /// The list an entry belongs in, by its first word and by what is open:
    /// cores stand in multi-core cables and in runs.
    fn home_here(&self, word: &str) -> Option<&'static str> {
        let in_cable = |frame: &Frame<'a>| frame.word == Some("Multicore");
        match word {
            "Core" if self.stack.iter().any(in_cable) => Some("cores"),
            "Core" => Some("parts"),
            _ => home(word),
        }
    }

    /// Closes brackets that must have been forgotten before this key; gives
    /// the key, which may have stuck to the word before it.
    pub fn make_room_for_key(&mut self, key: Token<'a>) -> Token<'a> {
        if let Some(key) = self.reopen_entry(key) {
            return key;
        }
        let starts_section = SECTIONS.contains(&key.text) && self.peek(2).is_some_and(|next| next.text == "[");
        let depth = self.stack.len();
        let keep = match self.stack.last() {
            _ if starts_section => 1,
            Some(frame) if frame.bracket == '[' && depth > 1 => depth - 1,
            _ => depth,
        };
        if keep < depth {
            self.unclosed(keep, &format!("`{}:`", key.text));
            self.close_forgotten(keep);
        }
        key
    }

    /// Closes brackets that must have been forgotten before this entry, or
    /// opens the list that must have been lost.
    pub fn make_room_for_entry(&mut self, word: Option<Token<'a>>, bracket: Token<'a>) {
        let span = word.unwrap_or(bracket).span();
        let list = word.and_then(|word| self.home_here(word.text));
        let holder = list.and_then(holder);
        let holds = |frame: &Frame<'a>| holder.is_some() && frame.word == holder;
        let keep = match list.and_then(|list| self.open_list(list)) {
            Some(index) => index + 1,
            None => match self.stack.iter().rposition(holds) {
                Some(index) => index + 1,
                None => self.nearest_list(),
            },
        };
        if keep < self.stack.len() {
            self.unclosed(keep, &format!("`{}`", opening(word.map(|word| word.text), bracket.text)));
            self.close_forgotten(keep);
        }
        if self.top().bracket == '(' && self.top().item.values > 0 {
            self.missing_comma();
        }
        let frame = self.top();
        let item = &frame.item;
        let own_list = item.values == 0 && item.key.is_some_and(|key| Some(key.text) == list);
        if frame.bracket == '(' && (item.key.is_none() || own_list) {
            self.reopen_list(list, span, &opening(word.map(|word| word.text), bracket.text));
        }
    }

    /// `Cable name: …` in a list: reads on as if the bracket were there, from
    /// the key given back.
    fn reopen_entry(&mut self, key: Token<'a>) -> Option<Token<'a>> {
        let frame = self.top();
        let item = &frame.item;
        let last = item.last.filter(|last| last.kind == TokenKind::Word && item.values == 1 && item.key.is_none());
        let parted = match last {
            Some(word) => Some((word, key)),
            None if !item.is_started() => split_kind(key),
            None => None,
        };
        let (word, key) = parted.filter(|_| frame.bracket == '[')?;
        frame.item = PendingValue::default();
        let bracket = Token { kind: TokenKind::Open, text: "(", start: word.end() };
        let mut frame = Frame::new(Some(word), bracket);
        frame.opener = word.span();
        self.stack.push(frame);
        self.upset(Diagnostic::error(
            Span { start: word.end(), end: word.end() },
            format!("expected `(` after `{}`", word.text),
            "`(` is missing here",
            format!("write `{}( … )`", word.text),
        ));
        Some(key)
    }

    /// How many brackets to keep so that an entry can stand in a list.
    fn nearest_list(&self) -> usize {
        let depth = self.stack.len();
        let Some(frame) = self.stack.last() else {
            return depth;
        };
        if frame.bracket != '(' || frame.item.key.is_some() {
            return depth;
        }
        self.stack.iter().rposition(|frame| frame.bracket == '[').map_or(depth, |index| index + 1)
    }

    /// An entry without a list around it: reads on as if the list were there.
    fn reopen_list(&mut self, list: Option<&'static str>, here: Span, entry: &str) {
        let key = self.top().item.key;
        let (headline, help) = match (key, list) {
            (Some(key), _) => (
                format!("expected `[` after `{}:`", key.text),
                format!("put `[` before `{entry}` and `]` after the last of them"),
            ),
            (None, Some(list)) => {
                (format!("expected `{list}: [` before `{entry}`"), format!("put `{list}: [` before the first of them"))
            }
            (None, None) => {
                (format!("expected a key before `{entry}`"), "give it a key, or move it into its list".to_string())
            }
        };
        if !self.is_reported(self.stack[self.stack.len() - 1].opener.start) {
            self.upset(Diagnostic::error(here, headline, "stands in no list", help));
        }
        let Some(list) = list else { return };
        let token = |kind, text| Token { kind, text, start: here.start };
        self.top().item.key = key.or(Some(token(TokenKind::Word, list)));
        self.top().mended = true;
        let mut frame = Frame::new(None, token(TokenKind::Open, "["));
        frame.opener.end = frame.opener.start;
        frame.mended = true;
        self.stack.push(frame);
    }

    /// `on: "S1", "S2"`: reads on as if the bracket of the list were there.
    pub fn reopen_texts(&mut self) -> bool {
        let frame = self.top();
        let Some(first) = frame.children.pop_if(|child| child.key.is_some_and(|key| TEXT_LISTS.contains(&key.text)))
        else {
            return false;
        };
        frame.item.key = first.key;
        let key = first.key.map_or("", |key| key.text);
        let at = Token { kind: TokenKind::Open, text: "[", start: first.start };
        let mut list = Frame::new(None, at);
        list.opener.end = list.opener.start;
        let gap = list.opener;
        list.children.push(Node { key: None, ..first });
        self.stack.push(list);
        self.upset(Diagnostic::error(
            gap,
            format!("expected `[` after `{key}:`"),
            "`[` is missing here",
            "put `[` before the first of them and `]` after the last",
        ));
        true
    }

    pub fn close(&mut self, token: Token<'a>) {
        if self.fits(token) {
            if self.stack.len() == 1 && self.more_follows() {
                return self.stray_closing(token);
            }
            return self.pop(token.end());
        }
        let depth = self.stack.len();
        let fits_around = depth >= 2 && closing(self.stack[depth - 2].bracket) == token.text;
        let forgotten = fits_around
            && match token.text {
                "]" => !self.would_end_vehicle(),
                _ => self.list_was_left_open(),
            };
        if !forgotten {
            return self.stray_closing(token);
        }
        self.unclosed(depth - 1, &format!("this `{}`", token.text));
        self.close_forgotten(depth - 1);
        self.close(token);
    }

    /// Whether the list goes on after this.
    fn more_follows(&self) -> bool {
        let mut after = self.tokens[self.at + 1..].iter().skip_while(|token| token.kind == TokenKind::Close);
        after.next().is_some_and(|token| token.kind == TokenKind::Comma)
            && after.any(|token| token.kind == TokenKind::Open)
    }

    /// Whether closing two brackets here would let the next one close the
    /// whole vehicle too early: then this one is one too many.
    fn would_end_vehicle(&self) -> bool {
        let next_closes = self.peek(1).is_some_and(|next| next.text == ")");
        self.stack.len() == 3 && next_closes && self.more_follows()
    }

    /// Whether a round bracket inside a list means that the list was left
    /// open, judging by what comes after it.
    fn list_was_left_open(&self) -> bool {
        let mut after = self.tokens[self.at + 1..].iter().filter(|token| token.kind != TokenKind::Comma);
        let (next, second) = (after.next(), after.next());
        let Some(next) = next else { return true };
        match next.kind {
            TokenKind::Word => {
                let own = self.stack.len() - 1;
                let home = self.home_here(next.text);
                home.and_then(|list| self.open_list(list)).map_or(home.is_none(), |index| index < own)
            }
            TokenKind::Close if next.text == "]" => second.is_none_or(|second| second.text != ")"),
            _ => true,
        }
    }

    fn stray_closing(&mut self, token: Token<'a>) {
        let headline = format!("`{}` closes nothing", token.text);
        self.upset(Diagnostic::error(token.span(), headline, "one bracket too many", "take it away"));
    }

    /// Whether a quote or bracket went astray since this place: then a lost
    /// bracket is its consequence.
    fn is_reported(&self, start: usize) -> bool {
        self.upsets.iter().any(|upset| (start..=self.here()).contains(upset))
    }

    fn here(&self) -> usize {
        self.peek(0).map_or(self.text.len(), |token| token.end())
    }

    /// Reports brackets left open, once for all of them.
    pub fn unclosed(&mut self, keep: usize, before: &str) {
        let frame = &self.stack[keep];
        let opener = frame.opener;
        if self.is_reported(opener.start) {
            return;
        }
        let lost: String = self.stack[keep..].iter().rev().map(|frame| closing(frame.bracket)).collect();
        let gap = self.end_before();
        let key = self.stack[..keep].last().and_then(|holder| holder.item.key).filter(|_| frame.bracket == '[');
        let opening = match key {
            Some(key) => format!("{}: [", key.text),
            None => opening(frame.word, if frame.bracket == '[' { "[" } else { "(" }),
        };
        let finding = Diagnostic::error(
            Span { start: gap, end: gap },
            format!("expected `{lost}` before {before}: `{opening}` is not closed"),
            format!("`{lost}` is missing here"),
            format!("put `{lost}` here"),
        );
        self.upsets.push(gap);
        self.findings.push(finding.with_also(opener, "opened here"));
    }

    /// Ends brackets that have no closing one.
    pub fn close_forgotten(&mut self, keep: usize) {
        let end = self.end_before();
        while self.stack.len() > keep {
            self.top().mended = true;
            self.pop(end);
        }
    }
}
