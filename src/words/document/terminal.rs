//! A screen as text for a terminal or a pipe of some columns: weight, colour and drawn
//! lines where the terminal has them, and nothing that is told by those alone.

use super::blocks::{Bar, Bars, Block, Cell, Table, Tone};
use anstyle::{AnsiColor, Style};
use comfy_table::{ContentArrangement, presets};

/// Layout: narrowest and widest screen that text is laid out for.
pub const NARROWEST: usize = 40;
/// Layout: see [`NARROWEST`].
pub const WIDEST: usize = 120;
/// Layout: width of what goes to no terminal.
pub const USUAL: usize = 80;
/// Layout: letters before a further line of a strip.
const STRIP_INDENT: usize = 4;
/// Layout: letters before what a term means.
const TERM: usize = 22;
/// Layout: letters that a row of a scale leaves for its remark.
const REMARK: usize = 18;
/// Layout: letters of a scale, at least and at most.
const SCALE: (usize, usize) = (16, 60);

/// What a terminal can show.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Terminal {
    /// Its columns.
    pub width: usize,
    /// Whether it has weight and colour.
    pub is_coloured: bool,
    /// Whether it has letters to draw lines with.
    pub draws_lines: bool,
}

impl Terminal {
    /// Plain text of so many columns: a pipe, a file, a terminal that wants no more.
    pub fn plain(width: usize) -> Self {
        Self { width, is_coloured: false, draws_lines: false }
    }

    /// Blocks as lines no wider than it is, but for tables that cannot be narrower.
    pub fn shown(self, blocks: &[Block]) -> String {
        let written = blocks.iter().enumerate().map(|(index, of)| match of {
            // A section stands off from the one before it.
            Block::Heading(_) if index > 0 => format!("\n{}", self.block(of)),
            _ => self.block(of),
        });
        written.collect::<Vec<_>>().join("\n")
    }

    fn block(self, of: &Block) -> String {
        let text = match of {
            Block::Table(of) => return self.table(of),
            Block::Strip(pieces) => return self.strip(pieces),
            of => block(of, self.width),
        };
        self.styled(&text, weight(of))
    }

    /// Each line by itself: what a line begins it ends.
    fn styled(self, text: &str, style: Style) -> String {
        if !self.is_coloured || style.is_plain() {
            return text.to_string();
        }
        text.lines().map(|line| format!("{style}{line}{style:#}")).collect::<Vec<_>>().join("\n")
    }

    /// Points of a way and what lies between them, one after the other.
    fn strip(self, pieces: &[Cell]) -> String {
        let drawn = |text: &str| if self.draws_lines { text.replace('-', "\u{2500}") } else { text.to_string() };
        let is_link = |cell: &Cell| cell.text.starts_with('-');
        let (mut lines, mut line, mut length) = (Vec::new(), "  ".to_string(), 2);
        for piece in pieces {
            let text = if is_link(piece) { drawn(&piece.text) } else { piece.text.clone() };
            let letters = text.chars().count();
            if length + letters + 1 > self.width && length > STRIP_INDENT {
                lines.push(std::mem::replace(&mut line, " ".repeat(STRIP_INDENT)));
                length = STRIP_INDENT;
            }
            let space = if line.trim().is_empty() { "" } else { " " };
            line += &format!("{space}{}", self.styled(&text, toned(piece.tone)));
            length += letters + space.len();
        }
        lines.push(line);
        lines.join("\n")
    }

    fn table(self, of: &Table) -> String {
        let mut table = comfy_table::Table::new();
        table.load_style(if self.draws_lines {
            presets::UTF8_BORDERS_ONLY
        } else {
            presets::ASCII_BORDERS_ONLY_CONDENSED
        });
        table.set_content_arrangement(ContentArrangement::Dynamic);
        table.set_width(u16::try_from(self.width.clamp(NARROWEST, WIDEST)).unwrap_or(80));
        table.set_header(of.columns.clone());
        of.rows.iter().for_each(|row| {
            table.add_row(row.iter().map(|cell| cell.text.clone()));
        });
        let text = table.to_string().lines().map(str::trim_end).collect::<Vec<_>>().join("\n");
        match of.caption.is_empty() {
            true => text,
            false => format!("{}\n{text}", hung("", &of.caption, self.width, 2)),
        }
    }
}

/// How a block stands out.
fn weight(of: &Block) -> Style {
    match of {
        Block::Heading(_) | Block::Lead(_) => Style::new().bold(),
        Block::Caution(_) => Style::new().bold().fg_color(Some(AnsiColor::Yellow.into())),
        _ => Style::new(),
    }
}

/// How a piece of a strip stands out; its word or mark says the same.
fn toned(tone: Tone) -> Style {
    match tone {
        Tone::Good => Style::new().fg_color(Some(AnsiColor::Green.into())),
        Tone::Bad => Style::new().bold().fg_color(Some(AnsiColor::Red.into())),
        Tone::Open => Style::new().bold().fg_color(Some(AnsiColor::Yellow.into())),
        Tone::Plain | Tone::ToFillIn => Style::new(),
    }
}

/// Blocks as plain lines no wider than `width`, but for tables that cannot be narrower.
pub fn on_screen(blocks: &[Block], width: usize) -> String {
    Terminal::plain(width).shown(blocks)
}

fn block(of: &Block, width: usize) -> String {
    let lines = |texts: &[String]| texts.iter().map(|text| hung("  ", text, width, 4)).collect::<Vec<_>>().join("\n");
    match of {
        Block::Heading(text) | Block::Paragraph(text) | Block::Lead(text) => hung("", text, width, 2),
        Block::Detail(text) | Block::Caution(text) => hung("  ", text, width, 4),
        Block::Verbatim(text) => text.clone(),
        Block::List(items) => lines(items),
        Block::Steps(steps) => {
            steps.iter().enumerate().map(|step| numbered(step, width)).collect::<Vec<_>>().join("\n")
        }
        Block::Terms(terms) => terms.iter().map(|of| term(of, width)).collect::<Vec<_>>().join("\n"),
        Block::Table(of) => Terminal::plain(width).table(of),
        Block::Strip(pieces) => Terminal::plain(width).strip(pieces),
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
