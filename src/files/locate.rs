//! Where in the text something stands. All but [`span_of`] is for findings
//! only, and takes its time.

use super::outline::outline;
use crate::source::Span;
use ron::error::Position;

/// Span of a slice of `text`.
pub fn span_of(text: &str, slice: &str) -> Span {
    let start = (slice.as_ptr() as usize).saturating_sub(text.as_ptr() as usize).min(text.len());
    Span { start, end: (start + slice.len()).min(text.len()) }
}

/// Byte offset of a line and column, both counted from 1 and in characters.
pub fn position_offset(text: &str, at: Position) -> usize {
    let line_start = match at.line {
        0 | 1 => 0,
        line => text.match_indices('\n').nth(line - 2).map_or(text.len(), |(index, _)| index + 1),
    };
    let line = text[line_start..].split('\n').next().unwrap_or("");
    line_start + line.char_indices().nth(at.col.saturating_sub(1)).map_or(line.len(), |(index, _)| index)
}

/// Span of the value of `key` inside an entry, or of the whole entry.
pub fn value_span(text: &str, entry: Span, key: &str) -> Span {
    let (node, _) = outline(&text[entry.range()]);
    let value = node.as_ref().and_then(|node| node.field(key)).map(|field| field.span());
    value.map_or(entry, |value| Span { start: entry.start + value.start, end: entry.start + value.end })
}

/// Span of the innermost entry around a spot in an entry.
pub fn entry_around(text: &str, entry: Span, spot: Span) -> Span {
    let (node, _) = outline(&text[entry.range()]);
    let Some(mut node) = node.as_ref() else {
        return entry;
    };
    let holds = |span: Span| (span.start..span.end).contains(&(spot.start - entry.start));
    let mut innermost = node.span();
    while let Some(child) = node.children.iter().find(|child| holds(child.span())) {
        if child.text.ends_with(')') {
            innermost = child.span();
        }
        node = child;
    }
    Span { start: entry.start + innermost.start, end: entry.start + innermost.end }
}
