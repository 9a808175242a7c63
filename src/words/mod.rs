//! Values into words: every sentence and table of the program. Decides
//! nothing; reads what the floors below worked out.

mod advice;
mod answer;
mod caution;
mod circuit;
pub mod document;
mod drain;
mod handover;
mod kept;
mod lists;
mod machine;
mod names;
mod past;
mod phone;
mod proof;
mod report;
mod sheet;
mod sketch;
mod table;
pub mod training;
mod tree;
pub mod trial;

pub use advice::{after_repair, next_test, runners_up};
pub use answer::{answer, example_load, segment_in_full, suspects};
pub use caution::cautions_for;
pub use circuit::{profile, trace};
pub use handover::{flagged, handover_known, handover_opened, next_leg, walk_sheet, walk_told};
pub use kept::{case_begun, case_closed, case_opened, cases, set_aside, which_case};
pub use lists::{expectation, known_things, origins, proved_good, readings, reasons, record, state};
pub use machine::machine;
pub use names::{entry_said, nearest_hint, probe};
pub use past::comeback;
pub use phone::{helping, never_by_phone};
pub use proof::{proof, proof_stands};
pub use report::report;
pub use sheet::sheet;
pub use sketch::{sketch_question, sketch_saved, sketched};
pub use tree::{begun, closing, questions, tree, trees};

/// Narrowest and widest screen that text is laid out for.
pub const NARROWEST: usize = 40;
/// See [`NARROWEST`].
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
