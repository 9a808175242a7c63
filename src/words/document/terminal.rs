//! A screen as text for a terminal or a pipe of some columns.

use super::blocks::{Bar, Bars, Block, Table};
use comfy_table::{ContentArrangement, presets};

/// Layout: narrowest and widest screen that text is laid out for.
pub const NARROWEST: usize = 40;
/// Layout: see [`NARROWEST`].
pub const WIDEST: usize = 120;
/// Layout: width of what goes to no terminal.
pub const USUAL: usize = 80;
/// Layout: letters before what a term means.
const TERM: usize = 22;
/// Layout: letters that a row of a scale leaves for its remark.
const REMARK: usize = 18;
/// Layout: letters of a scale, at least and at most.
const SCALE: (usize, usize) = (16, 60);

/// Blocks as lines no wider than `width`, but for tables that cannot be narrower.
pub fn on_screen(blocks: &[Block], width: usize) -> String {
    let written = blocks.iter().enumerate().map(|(index, of)| match of {
        // A section stands off from the one before it.
        Block::Heading(_) if index > 0 => format!("\n{}", block(of, width)),
        _ => block(of, width),
    });
    written.collect::<Vec<_>>().join("\n")
}

fn block(of: &Block, width: usize) -> String {
    let lines = |texts: &[String]| texts.iter().map(|text| hung("  ", text, width, 4)).collect::<Vec<_>>().join("\n");
    match of {
        Block::Heading(text) | Block::Paragraph(text) => hung("", text, width, 2),
        Block::Detail(text) | Block::Caution(text) => hung("  ", text, width, 4),
        Block::Verbatim(text) => text.clone(),
        Block::List(items) => lines(items),
        Block::Steps(steps) => {
            steps.iter().enumerate().map(|step| numbered(step, width)).collect::<Vec<_>>().join("\n")
        }
        Block::Terms(terms) => terms.iter().map(|of| term(of, width)).collect::<Vec<_>>().join("\n"),
        Block::Table(of) => table(of, width),
        Block::Figure(of) => {
            let panels: Vec<String> = of.panels.iter().map(|panel| panel.description.clone()).collect();
            format!("{}\n{}", hung("", &of.caption, width, 2), lines(&panels))
        }
        Block::Bars(of) => bars(of, width),
    }
}

fn numbered((index, (text, under)): (usize, &(String, Vec<String>)), width: usize) -> String {
    let first = hung(&format!("{:>3}  ", index + 1), text, width, 5);
    let under = under.iter().map(|line| hung("     ", line, width, 7));
    std::iter::once(first).chain(under).collect::<Vec<_>>().join("\n")
}

fn term((word, means): &(String, String), width: usize) -> String {
    let indent = TERM + 1;
    match word.chars().count() < TERM {
        true => hung(&format!("{word:TERM$} "), means, width, indent),
        false => format!("{word}\n{}", hung(&" ".repeat(indent), means, width, indent)),
    }
}

fn table(of: &Table, width: usize) -> String {
    let mut table = comfy_table::Table::new();
    table.load_style(presets::ASCII_BORDERS_ONLY_CONDENSED);
    table.set_content_arrangement(ContentArrangement::Dynamic);
    table.set_width(u16::try_from(width.clamp(NARROWEST, WIDEST)).unwrap_or(80));
    table.set_header(of.columns.clone());
    of.rows.iter().for_each(|row| {
        table.add_row(row.iter().map(|cell| cell.text.clone()));
    });
    let text = table.to_string().lines().map(str::trim_end).collect::<Vec<_>>().join("\n");
    match of.caption.is_empty() {
        true => text,
        false => format!("{}\n{text}", hung("", &of.caption, width, 2)),
    }
}

/// A scale a row: expected band `[==]`, value `x`.
fn bars(of: &Bars, width: usize) -> String {
    let name_width = of.rows.iter().map(|row| row.name.chars().count()).max().unwrap_or(0);
    let room = width.saturating_sub(name_width + REMARK).clamp(SCALE.0, SCALE.1);
    let column = |value: f64| ((value / of.most).clamp(0.0, 1.0) * (room - 1) as f64).round() as usize;
    let row = |row: &Bar| {
        let mut cells = vec!['.'; room];
        if let Some(band) = row.band {
            let (low, high) = (column(band.low), column(band.high));
            cells[low..=high].fill('=');
            cells[low] = '[';
            cells[high] = ']';
        }
        if let Some(value) = row.value {
            cells[column(value)] = 'x';
        }
        let scale: String = cells.into_iter().filter(|_| row.is_scaled).chain(row.is_scaled.then_some(' ')).collect();
        format!("{:name_width$} {scale}{}", row.name, row.remark).trim_end().to_string()
    };
    let rows = of.rows.iter().map(row);
    std::iter::once(hung("", &of.caption, width, 2)).chain(rows).collect::<Vec<_>>().join("\n")
}

/// Text behind a lead, broken at spaces so that no line is wider than `width`;
/// further lines are indented.
fn hung(lead: &str, text: &str, width: usize, indent: usize) -> String {
    let mut lines: Vec<String> = Vec::new();
    let mut line = lead.to_string();
    let mut is_empty = true;
    for word in text.split(' ') {
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

/// Text in lines no wider than `width`.
pub fn broken(text: &str, width: usize) -> Vec<String> {
    hung("", text, width, 0).lines().map(str::to_string).collect()
}

#[cfg(test)]
mod tests {
    use super::{Block, on_screen};

    #[test]
    fn lines_are_broken_at_spaces_and_indented() {
        assert_eq!(on_screen(&[Block::detail("red lead on F4.out")], 12), "  red lead\n    on\n    F4.out");
        assert_eq!(on_screen(&[Block::paragraph("short")], 12), "short");
    }
}
