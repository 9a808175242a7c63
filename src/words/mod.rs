//! Values into words: every sentence and table of the program. Decides
//! nothing; reads what the floors below worked out.

mod advice;
mod answer;
mod caution;
mod circuit;
mod lists;
mod machine;
mod names;
mod table;

pub use advice::{next_test, runners_up};
pub use answer::{answer, segment_in_full, suspects};
pub use caution::cautions_for;
pub use circuit::{profile, trace};
pub use lists::{expectation, known_things, origins, proved_good, readings, reasons, record, state};
pub use machine::machine;
pub use names::{entry_said, nearest_hint};

/// Narrowest and widest screen that text is laid out for.
pub const NARROWEST: usize = 40;
/// See [`NARROWEST`].
pub const WIDEST: usize = 120;

/// Breaks text at spaces so that no line is wider than `width`; further lines
/// are indented.
pub fn wrapped(text: &str, width: usize, indent: usize) -> String {
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    for word in text.split(' ') {
        let room = width.saturating_sub(if lines.is_empty() { 0 } else { indent });
        if !line.is_empty() && line.chars().count() + 1 + word.chars().count() > room {
            lines.push(std::mem::take(&mut line));
        }
        if !line.is_empty() {
            line.push(' ');
        }
        line.push_str(word);
    }
    lines.push(line);
    lines.join(&format!("\n{}", " ".repeat(indent)))
}
