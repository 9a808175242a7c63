//! Brackets by a stack. Where they do not match, the indentation of lines says
//! which one was lost, and otherwise the first place where it can be seen.

use super::frame::{Bracket, Frame};
use super::node::{Node, Token};
use super::outliner::{Outliner, missing};
use crate::source::Diagnostic;

/// Format: deeper than any file goes; keeps garbage from growing the stack.
const DEEPEST: usize = 12;

impl<'a> Outliner<'a> {
    /// A line that stands no deeper than the one on which a bracket was opened
    /// is outside of that bracket.
    pub fn outdent(&mut self, token: Token<'a>, is_key: bool) {
        let depth = self.stack.len();
        let mut keep = depth;
        while keep > 1 {
            let frame = &mut self.stack[keep - 1];
            let is_level = frame.indent == Some(token.indent);
            if frame.is_empty() && is_level {
                frame.indent = None;
            }
            let is_inside = frame.indent.is_none_or(|indent| indent < token.indent)
                || keep == depth && frame.key.is_some() && frame.value.is_none()
                || is_level && is_key && frame.bracket == Bracket::Entry;
            if is_inside {
                break;
            }
            keep -= 1;
        }
        self.lose(keep, self.next_words());
    }

    /// Whether brackets may be closed here: not if the next line still stands
    /// deeper than they do.
    pub fn may_close(&self, index: usize, token: Token<'a>) -> bool {
        let frame = &self.stack[index];
        let outside = |indent| token.next_indent.is_none_or(|next| next <= indent);
        !self.by_layout || frame.line == token.line || frame.indent.is_none_or(outside)
    }

    /// Closes brackets that have no closing one, and says so once for all of
    /// them, if nothing explains it.
    pub fn lose(&mut self, keep: usize, before: &str) {
        let Some(frame) = self.stack.get(keep) else { return };
        let gap = self.end_before();
        if self.upset.is_none_or(|line| line < frame.line) {
            let lost: String = self.stack[keep..].iter().rev().map(|frame| frame.brackets().1).collect();
            let opening = format!("{}{}", frame.word.unwrap_or_default(), frame.brackets().0);
            let place = if before.is_empty() { "at the end".to_string() } else { format!("before `{before}`") };
            let finding = missing(gap, &lost, &format!("{place}: `{opening}` is not closed"));
            self.findings.push(finding.with_also(frame.opener, "opened here"));
            self.upset = Some(self.tokens[self.at - 1].line);
        }
        while self.stack.len() > keep {
            self.top().mended = true;
            self.pop(gap);
        }
        // The comma after it, if there was one, was taken for one inside.
        if self.peek(0).is_some_and(|token| token.text != ",") {
            self.stack.last_mut().into_iter().for_each(Frame::finish_item);
        }
    }

    pub fn open(&mut self, word: Option<Token<'a>>, bracket: Token<'a>) {
        let before = self.tokens[self.at - 1].text;
        let top = self.top();
        let is_first = word.is_none() && top.is_empty() && top.bracket != Bracket::Tuple && before == bracket.text;
        if is_first && !self.is_balanced {
            return self.report_stray(bracket, "this bracket is opened twice");
        }
        let first = word.unwrap_or(bracket);
        if self.top().bracket == Bracket::Entry && self.top().key.is_none() {
            self.keyless(first, word.is_some());
        }
        if self.top().value.is_some() {
            self.missing_comma();
        }
        if self.stack.len() == DEEPEST {
            self.report_stray(bracket, &format!("brackets stand {DEEPEST} deep here"));
            return self.tokens.truncate(self.at);
        }
        self.at += usize::from(word.is_some());
        if bracket.text == "{" {
            let help = "write `( … )` for an entry, `[ … ]` for a list";
            self.report(Diagnostic::error(bracket.span(), "expected `(` or `[`, but found `{`", "here", help));
        }
        let kind = match bracket.text {
            "[" => Bracket::List,
            "(" if word.is_none() && !self.is_colon(2) => Bracket::Tuple,
            _ => Bracket::Entry,
        };
        self.stack.push(Frame::new(kind, word.map(|word| word.text), first.start, bracket));
    }

    pub fn close(&mut self, token: Token<'a>) {
        let written = if token.text == "]" { "]" } else { ")" };
        let before = self.tokens[self.at - 1].text;
        match self.stack.iter().rposition(|frame| frame.brackets().1 == written) {
            Some(index) if self.may_close(index, token) => {
                if index + 1 < self.stack.len() {
                    self.top().doubt_value();
                    self.stack[index].mended |= index > 0;
                    self.lose(index + 1, written);
                }
                return self.pop(token.end());
            }
            _ if self.upset.is_some_and(|line| line >= self.top().line) => {}
            _ => match self.top().key.filter(|_| written == "]" && before != "]") {
                Some(key) => self.report_lost_list(key),
                None => self.report_stray(token, &format!("`{}` closes nothing", token.text)),
            },
        }
        self.top().doubt_value();
    }

    fn report_stray(&mut self, bracket: Token<'a>, headline: &str) {
        self.report_bracket(Diagnostic::error(bracket.span(), headline, "one bracket too many", "take it away"));
    }

    fn report_lost_list(&mut self, key: Token<'a>) {
        let headline = format!("expected `[` after `{}:`", key.text);
        let help = "put `[` before the first of its values and `]` after the last";
        self.report_bracket(Diagnostic::error(key.span(), headline, "`[` is missing after this", help));
    }

    /// Closes the innermost brackets at `end` and makes them a value of the
    /// ones around.
    fn pop(&mut self, end: usize) {
        if self.top().key.is_some() && self.top().value.is_none() {
            self.missing_comma();
        }
        self.top().finish_item();
        let Some(Frame { opener, word, children, mended, .. }) = self.stack.pop() else { return };
        let sound = !mended && children.iter().all(|child| child.sound);
        let text = &self.text[opener.start..end.max(opener.end)];
        let node = Node { key: None, word, text, start: opener.start, children, mended, sound };
        match self.stack.last_mut() {
            Some(parent) => parent.value = Some(node),
            None => self.root = Some(node),
        }
    }

    /// An entry or value without a key: a bracket was lost, or the key.
    pub fn keyless(&mut self, token: Token<'a>, is_entry: bool) {
        let depth = self.stack.len();
        let last = self.top().children.last();
        let (key, follows_entry) = (last.and_then(|last| last.key), last.is_some_and(|last| last.word.is_some()));
        let in_list = depth > 1 && self.stack[depth - 2].bracket == Bracket::List;
        if is_entry && in_list && !follows_entry && !self.is_balanced && self.may_close(depth - 1, token) {
            return self.lose(depth - 1, self.next_words());
        }
        let Some(key) = key else {
            let headline = format!("expected a key before `{}`", self.next_words());
            let help = "write `key: value`, such as `metres: 4.0`, or move it into its list";
            return self.report_bracket(Diagnostic::error(token.span(), headline, "a value without its key", help));
        };
        self.report_lost_list(key);
        let Some(first) = self.top().children.pop() else { return };
        self.top().key = Some(key);
        let mut list = Frame::supposed(Bracket::List, None, first.start, token);
        list.children.push(Node { key: None, ..first });
        self.stack.push(list);
    }

    /// Makes a key stand in an entry: a list before it lost its end, or the
    /// entry its beginning.
    pub fn keep_keys_in_entries(&mut self, key: Token<'a>) {
        while self.top().bracket != Bracket::Entry {
            let depth = self.stack.len();
            let may_close = self.top().supposed || !self.is_balanced && self.may_close(depth - 1, key);
            let is_word = |value: &&Node<'a>| value.children.is_empty() && value.text.starts_with(char::is_alphabetic);
            let word = self.top().value.as_ref().filter(is_word).map(|value| value.text);
            // A kind that lost its bracket may stick to the key.
            if word.is_none() && may_close && !key.text.starts_with(char::is_uppercase) {
                self.lose(depth - 1, self.next_words());
                continue;
            }
            let gap = word.map_or(key.start, |_| self.end_before());
            self.report_bracket(missing(gap, "(", &format!("before `{}:`: only an entry has keys", key.text)));
            let start = word.and(self.top().value.take()).map_or(key.start, |value| value.start);
            self.stack.push(Frame::supposed(Bracket::Entry, word, start, key));
        }
    }
}
