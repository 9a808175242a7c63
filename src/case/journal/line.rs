//! One line of a case file, and what is wrong with one that cannot be used.

use super::clock::Moment;
use super::written::Written;
use crate::source::{Diagnostic, Span};
use ron::ser::PrettyConfig;
use serde::{Deserialize, Serialize};

/// Format: what this program writes, and the newest that it reads.
pub const FORMAT: u32 = 1;

/// The first line of a case.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, rename = "Case")]
pub struct Header {
    /// See [`FORMAT`].
    pub format: u32,
    /// What the case is called.
    pub name: String,
    /// The vehicle's name.
    pub vehicle: String,
    /// The vehicle's file.
    pub file: String,
    /// When it was begun.
    pub begun: Moment,
    /// By whom; empty if nobody said.
    pub by: String,
}

/// When and by whom a line was written, and its number.
#[derive(Debug, Clone, PartialEq)]
pub struct Stamp {
    /// Number of the line in its case, from 1.
    pub number: u64,
    pub at: Moment,
    /// By whom; empty if nobody said.
    pub by: String,
}

/// Any further line.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum Line {
    /// Something was entered.
    Entry {
        /// See [`Stamp::number`].
        no: u64,
        at: Moment,
        by: String,
        did: Written,
    },
    /// An entry was taken back.
    Undo {
        /// See [`Stamp::number`].
        no: u64,
        at: Moment,
        by: String,
        /// Number of the entry.
        of: u64,
    },
    /// An entry was put in again.
    Redo {
        /// See [`Stamp::number`].
        no: u64,
        at: Moment,
        by: String,
        /// Number of the entry.
        of: u64,
    },
    /// The case was opened again to go on with.
    WentOn {
        /// See [`Stamp::number`].
        no: u64,
        at: Moment,
        by: String,
    },
}

impl Line {
    /// Its stamp.
    pub fn stamp(&self) -> Stamp {
        let (Self::Entry { no, at, by, .. }
        | Self::Undo { no, at, by, .. }
        | Self::Redo { no, at, by, .. }
        | Self::WentOn { no, at, by }) = self;
        Stamp { number: *no, at: at.clone(), by: by.clone() }
    }
}

/// A value as one line of text with its end.
pub fn written_out<T: Serialize>(value: &T) -> String {
    let plain = PrettyConfig::new().struct_names(true).compact_arrays(true).compact_structs(true).depth_limit(8);
    // Every type of a line is made of names, numbers and text, which RON can write.
    let text = ron::ser::to_string_pretty(value, plain).unwrap_or_default();
    text + "\n"
}

/// Reads a line that starts at byte `start` of the file.
///
/// # Errors
/// A finding that marks the spot.
pub fn read_line<T: for<'de> Deserialize<'de>>(text: &str, start: usize) -> Result<T, Box<Diagnostic>> {
    let options = ron::Options::default();
    options.from_str::<T>(text).map_err(|error| {
        let from = byte_of(text, error.span.start.col);
        let to = byte_of(text, error.span.end.col).max(from + 1).min(text.len());
        let from = from.min(to.saturating_sub(1));
        let finding = Diagnostic::warning(
            Span { start: start + from, end: start + to },
            format!("this line cannot be read: {}", error.code),
            "from here on",
            "the line is set aside, the others count; mend it in a text editor or enter again what it said",
        );
        Box::new(finding)
    })
}

/// Byte of a column counted in characters from 1.
fn byte_of(text: &str, column: usize) -> usize {
    text.char_indices().nth(column.saturating_sub(1)).map_or(text.len(), |(byte, _)| byte)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_reads_like_a_sentence_and_reads_back() {
        let at = "2026-11-25 10:12:03 +01:00".parse().unwrap();
        let did = Written::Note("loose \"cover\"\nand wet".into());
        let line = Line::Entry { no: 2, at, by: "ann".into(), did };
        let text = written_out(&line);
        assert_eq!(
            text,
            "Entry(no: 2, at: \"2026-11-25 10:12:03 +01:00\", by: \"ann\", did: Note(\"loose \\\"cover\\\"\\nand wet\"))\n"
        );
        assert_eq!(read_line::<Line>(text.trim_end(), 0).unwrap(), line);
    }
}
