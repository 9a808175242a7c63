//! A shift-reduce parser that recovers: brackets still open stand on a stack, and
//! what a lost bracket or comma must have been follows from what comes next.

use super::frame::{Frame, TUPLE, closing};
use super::node::{Node, Root, VEHICLE};
use super::tokens::{Scanner, Token, TokenKind, tokenise};
use crate::source::{Diagnostic, Span};

/// Format: after so many slips the text is something else than a vehicle file.
const MOST_SLIPS: usize = 100;

/// Format: deeper than any vehicle file goes; keeps garbage from growing the
/// stack.
const DEEPEST: usize = 12;

/// The outermost entry of a text, if there is any, and what is wrong with
/// quotes, brackets, commas and colons.
pub fn outline(text: &str) -> (Option<Node<'_>>, Vec<Diagnostic>) {
    outline_of(text, VEHICLE)
}

/// The same of any kind of file.
pub fn outline_of(text: &str, kind: Root) -> (Option<Node<'_>>, Vec<Diagnostic>) {
    let Scanner { tokens, findings, lost_quotes, .. } = tokenise(text);
    let upsets = findings.iter().filter_map(|finding| Some(finding.span?.start)).collect();
    let mut outliner =
        Outliner { text, tokens, at: 0, stack: Vec::new(), findings, upsets, lost_quotes, root: None, kind };
    outliner.run();
    (outliner.root, outliner.findings)
}

pub(super) struct Outliner<'a> {
    pub text: &'a str,
    pub tokens: Vec<Token<'a>>,
    pub at: usize,
    pub stack: Vec<Frame<'a>>,
    pub findings: Vec<Diagnostic>,
    /// Where quotes and brackets went astray: what is odd right behind such a
    /// spot is its consequence.
    pub upsets: Vec<usize>,
    /// As in [`Scanner`].
    lost_quotes: Vec<usize>,
    pub root: Option<Node<'a>>,
    kind: Root,
}

impl<'a> Outliner<'a> {
    fn run(&mut self) {
        if !self.enter() {
            return;
        }
        while let Some(token) = self.peek(0).filter(|_| self.root.is_none()) {
            if self.findings.len() >= MOST_SLIPS {
                return self.lose_patience(token);
            }
            match token.kind {
                TokenKind::Open => self.open(None, token),
                TokenKind::Close => self.close(token),
                TokenKind::Comma => self.comma(token),
                TokenKind::Word if self.is_open(1) => self.open(Some(token), self.tokens[self.at + 1]),
                TokenKind::Word | TokenKind::Text if self.is_colon(1) && !self.is_loose_text(token) => self.key(token),
                TokenKind::Word | TokenKind::Text | TokenKind::Number => self.value(token),
                TokenKind::Colon | TokenKind::Other => self.stray(token),
            }
            self.at += 1;
        }
        self.leave();
    }

    /// Whether something in a list looks like code, but belongs to a text that
    /// lost a quote.
    fn is_loose_text(&self, token: Token<'a>) -> bool {
        let in_list = self.stack.last().is_some_and(|frame| frame.bracket == '[');
        in_list && self.lacks_quote(token.start)
    }

    pub fn peek(&self, ahead: usize) -> Option<Token<'a>> {
        self.tokens.get(self.at + ahead).copied()
    }

    /// The bracket of an entry; a word before a list lacks its colon.
    fn is_open(&self, ahead: usize) -> bool {
        self.peek(ahead).is_some_and(|token| token.kind == TokenKind::Open && token.text != "[")
    }

    /// A colon, or the `=` of people who write programs.
    fn is_colon(&self, ahead: usize) -> bool {
        self.peek(ahead).is_some_and(|token| token.kind == TokenKind::Colon || token.text == "=")
    }

    /// Reports something in the innermost brackets, unless a quote or bracket
    /// went astray on this line or the one before.
    pub fn report(&mut self, finding: Diagnostic) {
        if let Some(frame) = self.stack.last_mut() {
            frame.mended = true;
        }
        let spot = finding.span.map_or(0, |span| span.start);
        let lines_before = self.text[..spot].rmatch_indices('\n');
        let since = lines_before.map(|(index, _)| index).nth(1).unwrap_or(0);
        let reported = self.upsets.iter().any(|upset| (since..=spot).contains(upset));
        if !reported && !self.lacks_quote(spot) {
            self.findings.push(finding);
        }
    }

    /// Whether a quote is missing on the line of this spot.
    pub fn lacks_quote(&self, spot: usize) -> bool {
        self.lost_quotes.iter().any(|&end| spot <= end && !self.text[spot..end].contains('\n'))
    }

    /// Reports a bracket that went astray.
    pub fn upset(&mut self, finding: Diagnostic) {
        let spot = finding.span.map_or(0, |span| span.start);
        self.report(finding);
        self.upsets.push(spot);
    }

    fn lose_patience(&mut self, token: Token<'a>) {
        let headline = format!("more than {MOST_SLIPS} slips up to here: the rest has not been read");
        self.findings.push(Diagnostic::error(
            token.span(),
            headline,
            "read to here",
            "mend the first ones and try again",
        ));
    }

    pub fn top(&mut self) -> &mut Frame<'a> {
        let last = self.stack.len() - 1;
        &mut self.stack[last]
    }

    /// End of the last token before this one that is no comma.
    pub fn end_before(&self) -> usize {
        let before = self.tokens[..self.at.min(self.tokens.len())].iter().rev();
        before.skip_while(|token| token.kind == TokenKind::Comma).map(Token::end).next().unwrap_or(0)
    }

    /// The opening of the outermost entry.
    fn enter(&mut self) -> bool {
        let word = self.peek(0).filter(|token| token.kind == TokenKind::Word);
        let bracket = if word.is_some() { self.peek(1) } else { self.peek(0) };
        let Some(bracket) = bracket.filter(|token| token.text == "(") else {
            self.no_entry();
            return false;
        };
        self.at = if word.is_some() { 2 } else { 1 };
        self.stack.push(Frame::new(word, bracket));
        true
    }

    fn no_entry(&mut self) {
        let Root { word, noun, .. } = self.kind;
        let help = format!("a {noun} file is `{word}( … )`: start from one of the samples");
        self.findings.push(match self.peek(0) {
            Some(token) => Diagnostic::error(
                token.span(),
                format!("expected `{word}(` at the start, but found something else"),
                "starts here",
                help,
            ),
            None => Diagnostic { span: None, ..Diagnostic::error(Span::default(), "this file is empty", "", help) },
        });
    }

    fn leave(&mut self) {
        if let Some(token) = self.peek(0) {
            self.findings.push(Diagnostic::error(
                token.span(),
                format!("something stands after the end of the {}", self.kind.noun),
                format!("the {} was closed before this", self.kind.noun),
                "take it away, or move the last bracket behind it",
            ));
        }
        if self.upsets.is_empty() && !self.stack.is_empty() {
            self.unclosed(0, "the end of the file");
        }
        self.close_forgotten(0);
    }

    fn open(&mut self, word: Option<Token<'a>>, bracket: Token<'a>) {
        let frame = self.top();
        if word.is_none()
            && frame.bracket == '('
            && bracket.text == "("
            && frame.children.is_empty()
            && !frame.item.is_started()
        {
            let finding = Diagnostic::error(
                bracket.span(),
                "this bracket is opened twice",
                "one bracket too many",
                "take it away",
            );
            return self.upset(finding);
        }
        self.make_room_for_entry(word, bracket);
        if self.top().item.values > 0 {
            self.missing_comma();
        }
        if word.is_some() {
            self.at += 1;
        }
        if self.stack.len() == DEEPEST {
            self.upset(Diagnostic::error(
                bracket.span(),
                format!("brackets stand {DEEPEST} deep here"),
                "one too many",
                format!("a {} file goes 6 deep at most: look for brackets opened twice", self.kind.noun),
            ));
            self.at = self.tokens.len();
            return;
        }
        if bracket.text == "{" {
            self.report(Diagnostic::error(
                bracket.span(),
                "expected `(` or `[`, but found `{`",
                "here",
                "write `( … )` for an entry, `[ … ]` for a list",
            ));
        }
        let is_tuple = self.kind.has_tuples && word.is_none() && bracket.text == "(" && !self.is_colon(2);
        let frame = Frame::new(word, bracket);
        self.stack.push(if is_tuple { Frame { bracket: TUPLE, ..frame } } else { frame });
    }

    /// Hands the item that has just ended to its brackets.
    pub fn finish_item(&mut self) {
        let text = self.text;
        let frame = self.top();
        let item = std::mem::take(&mut frame.item);
        if item.key.is_none() && item.values == 0 {
            return;
        }
        let start = item.start.min(item.end);
        frame.children.push(Node {
            key: item.key,
            word: item.word,
            text: &text[start..item.end],
            start,
            children: item.children,
            mended: item.mended,
            sound: item.values == 1 && !item.mended && item.sound,
        });
    }

    /// Closes the innermost brackets at `end` and makes them a value of the
    /// ones around.
    pub fn pop(&mut self, end: usize) {
        let item = &self.top().item;
        if item.key.is_some() && item.values == 0 {
            self.missing_comma();
        } else {
            self.finish_item();
        }
        let Some(frame) = self.stack.pop() else {
            return;
        };
        let sound = frame.children.iter().all(|child| child.sound);
        let end = end.max(frame.opener.end).min(self.text.len());
        match self.stack.last_mut() {
            Some(parent) => {
                let item = &mut parent.item;
                item.take_stretch(frame.opener.start, end);
                item.word = frame.word;
                item.children = frame.children;
                item.mended = frame.mended;
                item.sound = sound;
            }
            None => {
                self.root = Some(Node {
                    key: None,
                    word: frame.word,
                    text: &self.text[frame.opener.start..end],
                    start: frame.opener.start,
                    children: frame.children,
                    mended: frame.mended,
                    sound,
                });
            }
        }
    }

    /// Whether a closing bracket fits the innermost opening one.
    pub fn fits(&self, token: Token<'a>) -> bool {
        let written = if token.text == "}" { ")" } else { token.text };
        self.stack.last().is_some_and(|frame| closing(frame.bracket) == written)
    }
}
