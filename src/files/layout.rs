//! A file laid out: lines set in by the brackets that are open, one space where one
//! belongs, long entries one key a line. Only what stands between words is touched, so
//! that no comment is lost and the file reads as it did.

use super::outline::{Token, TokenKind, tokens};
use crate::source::Diagnostic;

/// Layout: columns that one bracket sets in.
const STEP: usize = 4;
/// Layout: columns of a line.
const WIDTH: usize = 140;

/// A piece of the file with nothing but space around it.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Bit<'a> {
    /// Its token; a comment has none.
    kind: Option<TokenKind>,
    text: &'a str,
    /// Whether space stood before it on its line.
    is_apart: bool,
}

/// Lines of bits; one without any is blank.
type Lines<'a> = Vec<Vec<Bit<'a>>>;

/// The text laid out.
///
/// # Errors
/// What is wrong with its quotes and brackets.
pub fn laid_out(text: &str) -> Result<String, Vec<Diagnostic>> {
    let (tokens, mut slips) = tokens(text);
    slips.extend(unbalanced(&tokens));
    if !slips.is_empty() {
        return Err(slips);
    }
    let mut lines = lines(text, &tokens);
    while let Some(at) = lines.iter().position(|line| is_long(line)) {
        let broken = broken(&lines[at]);
        lines.splice(at..=at, broken);
    }
    let end = if text.contains("\r\n") { "\r\n" } else { "\n" };
    Ok(set_in(&lines, end))
}

fn unbalanced(tokens: &[Token<'_>]) -> Option<Diagnostic> {
    let mut open: Vec<&Token<'_>> = Vec::new();
    let wrong = |token: &Token<'_>, label: &str| {
        Diagnostic::error(token.span(), "brackets do not match", label, "`halfsplit check` says where one is missing")
    };
    for token in tokens {
        match token.kind {
            TokenKind::Open => open.push(token),
            TokenKind::Close => {
                let closes = |opened: &str| matches!((opened, token.text), ("(", ")") | ("[", "]") | ("{", "}"));
                if !open.pop().is_some_and(|opened| closes(opened.text)) {
                    return Some(wrong(token, "closes nothing"));
                }
            }
            _ => {}
        }
    }
    open.last().map(|token| wrong(token, "is not closed"))
}

/// The lines as they were written, at most one blank one after another.
fn lines<'a>(text: &'a str, tokens: &[Token<'a>]) -> Lines<'a> {
    let mut lines: Lines<'a> = vec![Vec::new()];
    let mut at = 0;
    for token in tokens {
        between(&text[at..token.start], &mut lines);
        let is_apart = text[..token.start].ends_with(char::is_whitespace);
        push(&mut lines, Bit { kind: Some(token.kind), text: token.text, is_apart });
        at = token.end();
    }
    between(&text[at..], &mut lines);
    lines
}

fn push<'a>(lines: &mut Lines<'a>, bit: Bit<'a>) {
    if let Some(line) = lines.last_mut() {
        line.push(bit);
    }
}

/// Comments and line ends between two tokens.
fn between<'a>(gap: &'a str, lines: &mut Lines<'a>) {
    let mut rest = gap;
    while let Some(c) = rest.chars().next() {
        let length = match c {
            '/' => {
                let length = comment(rest);
                push(lines, Bit { kind: None, text: rest[..length].trim_end(), is_apart: true });
                length
            }
            '\n' => {
                let is_second_blank = lines.len() > 1 && lines[lines.len() - 2..].iter().all(Vec::is_empty);
                if !is_second_blank {
                    lines.push(Vec::new());
                }
                1
            }
            c => c.len_utf8(),
        };
        rest = &rest[length..];
    }
}

/// Length of the comment at the head of a text; those in `/* */` nest.
fn comment(text: &str) -> usize {
    if text.starts_with("//") {
        return text.find('\n').unwrap_or(text.len());
    }
    let (mut depth, mut after) = (0usize, 0);
    for (index, _) in text.match_indices(['/', '*']) {
        match text.get(index..index + 2) {
            _ if index < after => {}
            Some("/*") => (depth, after) = (depth + 1, index + 2),
            Some("*/") => (depth, after) = (depth.saturating_sub(1), index + 2),
            _ => {}
        }
        if depth == 0 {
            return after.max(1);
        }
    }
    text.len()
}

/// A line's text, without what it is set in by.
fn written(line: &[Bit<'_>]) -> String {
    let mut out = String::new();
    for (index, bit) in line.iter().enumerate() {
        if let Some(before) = index.checked_sub(1).map(|before| &line[before]) {
            out += space(before, bit);
        }
        out += bit.text;
    }
    out
}

/// What stands between two bits of a line.
fn space(before: &Bit<'_>, bit: &Bit<'_>) -> &'static str {
    match (before.kind, bit.kind) {
        (_, None) if bit.text.starts_with("//") => "  ",
        (_, Some(TokenKind::Comma | TokenKind::Colon)) if before.kind.is_some() => "",
        (Some(TokenKind::Word), Some(TokenKind::Open)) => "",
        (Some(TokenKind::Comma | TokenKind::Colon), _) => " ",
        // Lists may have room inside their brackets.
        (Some(TokenKind::Open), _) if before.text == "[" && bit.is_apart => " ",
        (_, Some(TokenKind::Close)) if bit.text == "]" && bit.is_apart && before.kind != Some(TokenKind::Open) => " ",
        (Some(TokenKind::Open), _) | (Some(_), Some(TokenKind::Close)) => "",
        _ => " ",
    }
}

fn is_long(line: &[Bit<'_>]) -> bool {
    let code: Vec<Bit<'_>> = line.iter().copied().filter(|bit| bit.kind.is_some()).collect();
    written(&code).chars().count() > WIDTH && group(line).is_some()
}

/// The first bracket that opens and closes on the line with more than one thing in it,
/// and where it closes.
fn group(line: &[Bit<'_>]) -> Option<(usize, usize)> {
    (0..line.len()).filter(|&start| line[start].kind == Some(TokenKind::Open)).find_map(|start| {
        let mut depth = 0usize;
        let end = (start..line.len()).find(|&at| {
            match line[at].kind {
                Some(TokenKind::Open) => depth += 1,
                Some(TokenKind::Close) => depth -= 1,
                _ => {}
            }
            depth == 0
        })?;
        (end > start + 1).then_some((start, end))
    })
}

/// A line with its first group one thing a line.
fn broken<'a>(line: &[Bit<'a>]) -> Lines<'a> {
    let Some((start, end)) = group(line) else { return vec![line.to_vec()] };
    let mut lines: Lines<'a> = vec![line[..=start].to_vec(), Vec::new()];
    let mut depth = 0usize;
    for &bit in &line[start + 1..end] {
        match bit.kind {
            Some(TokenKind::Open) => depth += 1,
            Some(TokenKind::Close) => depth -= 1,
            _ => {}
        }
        push(&mut lines, bit);
        if depth == 0 && bit.kind == Some(TokenKind::Comma) {
            lines.push(Vec::new());
        }
    }
    if lines.last().is_some_and(Vec::is_empty) {
        lines.pop();
    }
    lines.push(line[end..].to_vec());
    lines
}

/// The lines, each set in by the line that its innermost bracket was opened on.
fn set_in(lines: &Lines<'_>, end: &str) -> String {
    let mut out = String::new();
    let mut open: Vec<usize> = Vec::new();
    let mut is_blank = true;
    for line in lines {
        if line.is_empty() {
            if !is_blank {
                out += end;
            }
            is_blank = true;
            continue;
        }
        is_blank = false;
        let closes = line[0].kind == Some(TokenKind::Close);
        let indent = match open.last() {
            Some(level) if closes => *level,
            Some(level) => level + STEP,
            None => 0,
        };
        for bit in line {
            match bit.kind {
                Some(TokenKind::Open) => open.push(indent),
                Some(TokenKind::Close) => drop(open.pop()),
                _ => {}
            }
        }
        out += &" ".repeat(indent);
        out += &written(line);
        out += end;
    }
    // No blank line at the end.
    while out.ends_with(&format!("{end}{end}")) {
        out.truncate(out.len() - end.len());
    }
    out
}
