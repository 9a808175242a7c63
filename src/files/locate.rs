//! Where in the text something stands.

use crate::source::Span;
use ron::error::Position;

/// Byte offset in `text` of a slice of it.
pub fn offset_of(text: &str, slice: &str) -> usize {
    (slice.as_ptr() as usize).saturating_sub(text.as_ptr() as usize).min(text.len())
}

/// Span of a slice of `text`.
pub fn span_of(text: &str, slice: &str) -> Span {
    let start = offset_of(text, slice);
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
    let body = &text[entry.range()];
    let found = body.match_indices(key).find_map(|(index, _)| {
        let before = body[..index].chars().next_back();
        let rest = body[index + key.len()..].trim_start();
        let stands_alone = before.is_none_or(|c| !(c.is_alphanumeric() || c == '_'));
        (stands_alone && rest.starts_with(':')).then(|| rest[1..].trim_start())
    });
    found.map_or(entry, |value| {
        let length = value.find([',', ')', '\n']).unwrap_or(value.len());
        span_of(text, value[..length].trim_end())
    })
}
