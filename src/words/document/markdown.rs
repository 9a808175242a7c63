//! Markdown with pipe tables.

use super::blocks::{Block, Cell, Document, Figure, Table, Tone};
use super::plain::tidy;

/// First line of every document in Markdown; tells ours from another's.
pub const MARK: &str = "<!-- halfsplit report -->";

/// Characters that may start markup anywhere in a line.
const SPECIAL: &str = "\\`*_{}[]<>|~&#$";

/// The document as Markdown.
pub fn written(document: &Document) -> String {
    let mut parts = vec![MARK.to_string(), format!("# {}", escaped(&document.title))];
    parts.extend(document.blocks.iter().map(block));
    parts.join("\n\n") + "\n"
}

fn block(block: &Block) -> String {
    match block {
        Block::Heading(text) => format!("## {}", escaped(text)),
        Block::Paragraph(text) | Block::Detail(text) => escaped(text),
        Block::Lead(text) => format!("**{}**", escaped(text)),
        Block::Strip(pieces) => escaped(&pieces.iter().map(|piece| piece.text.as_str()).collect::<Vec<_>>().join(" ")),
        Block::Verbatim(text) => text.lines().map(|line| format!("    {line}")).collect::<Vec<_>>().join("\n"),
        Block::Terms(terms) => terms
            .iter()
            .map(|(word, means)| format!("- {}: {}", escaped(word), escaped(means)))
            .collect::<Vec<_>>()
            .join("\n"),
        Block::Bars(of) => of
            .rows
            .iter()
            .map(|row| format!("- {}: {}", escaped(&row.name), escaped(&row.remark)))
            .collect::<Vec<_>>()
            .join("\n"),
        Block::Caution(text) => format!("> **{}**", escaped(text)),
        Block::List(items) => items.iter().map(|item| format!("- {}", escaped(item))).collect::<Vec<_>>().join("\n"),
        Block::Steps(steps) => steps.iter().enumerate().map(step).collect::<Vec<_>>().join("\n"),
        Block::Table(of) => table(of),
        Block::Figure(of) => figure(of),
    }
}

fn step((index, (text, under)): (usize, &(String, Vec<String>))) -> String {
    let number = format!("{}. ", index + 1);
    let indent = " ".repeat(number.len());
    let under = under.iter().map(|line| format!("\n{indent}- {}", escaped(line)));
    format!("{number}{}{}", escaped(text), under.collect::<String>())
}

fn table(table: &Table) -> String {
    let row = |cells: Vec<String>| format!("| {} |", cells.join(" | "));
    let mut lines = Vec::new();
    if !table.caption.is_empty() {
        lines.extend([format!("*{}*", escaped(&table.caption)), String::new()]);
    }
    lines.push(row(table.columns.iter().map(|column| escaped(column)).collect()));
    lines.push(row(table.columns.iter().map(|_| "---".to_string()).collect()));
    lines.extend(table.rows.iter().map(|cells| row(cells.iter().map(cell).collect())));
    lines.join("\n")
}

fn cell(cell: &Cell) -> String {
    match cell.tone {
        Tone::Bad if !cell.text.is_empty() => format!("**{}**", escaped(&cell.text)),
        _ => escaped(&cell.text),
    }
}

/// A drawing has no place in Markdown; its words have.
fn figure(figure: &Figure) -> String {
    let panels =
        figure.panels.iter().map(|panel| format!("- {}: {}", escaped(&panel.title), escaped(&panel.description)));
    format!("*{}*\n\n{}", escaped(&figure.caption), panels.collect::<Vec<_>>().join("\n"))
}

/// Text that Markdown shows as it is.
fn escaped(text: &str) -> String {
    let text = tidy(text);
    let mut safe = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            _ if SPECIAL.contains(letter) => safe.extend(['\\', letter]),
            _ => safe.push(letter),
        }
    }
    // At the start of a line, these make a list, a heading or a rule.
    let digits = safe.chars().take_while(char::is_ascii_digit).count();
    let (start, rest) = safe.split_at(digits);
    let marks = if digits > 0 { ['.', ')'] } else { ['-', '+'] };
    let is_list = rest.strip_prefix(marks).is_some_and(|rest| rest.is_empty() || rest.starts_with(' '));
    let is_rule = !safe.is_empty() && safe.chars().all(|letter| matches!(letter, '-' | '=' | ' '));
    if is_list || is_rule { format!("{start}\\{rest}") } else { safe }
}

#[cfg(test)]
mod tests {
    use super::escaped;

    #[test]
    fn text_stays_text() {
        assert_eq!(escaped("a|b `c` *d* <e> & f_g"), "a\\|b \\`c\\` \\*d\\* &lt;e&gt; &amp; f\\_g");
        assert_eq!(escaped("- not a list"), "\\- not a list");
        assert_eq!(escaped("1. not a step"), "1\\. not a step");
        assert_eq!(escaped("---"), "\\---");
        assert_eq!(escaped("12.31 V"), "12.31 V");
        assert_eq!(escaped("-0.6 mV"), "-0.6 mV");
        assert_eq!(escaped("two\nlines\u{7}"), "two lines");
    }
}
