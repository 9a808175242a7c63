//! Line breaking: text laid out for a screen of some columns.

/// Layout: narrowest and widest screen that text is laid out for.
pub const NARROWEST: usize = 40;
/// Layout: see [`NARROWEST`].
pub const WIDEST: usize = 120;

/// Breaks text at spaces so that no line is wider than `width`; further lines
/// are indented. Spaces at the start stay.
pub fn wrapped(text: &str, width: usize, indent: usize) -> String {
    let body = text.trim_start_matches(' ');
    let mut lines: Vec<String> = Vec::new();
    let mut line = " ".repeat(text.len() - body.len());
    let mut is_empty = true;
    for word in body.split(' ') {
        if !is_empty && line.chars().count() + 1 + word.chars().count() > width {
            lines.push(std::mem::replace(&mut line, " ".repeat(indent)));
            is_empty = true;
        }
        if !is_empty {
            line.push(' ');
        }
        line.push_str(word);
        is_empty = false;
    }
    lines.push(line);
    lines.join("\n")
}

#[cfg(test)]
mod tests {
    use super::wrapped;

    #[test]
    fn lines_are_broken_at_spaces_and_indented() {
        assert_eq!(wrapped("  red lead on F4.out", 12, 4), "  red lead\n    on\n    F4.out");
        assert_eq!(wrapped("short", 12, 4), "short");
    }
}
