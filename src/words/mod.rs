//! Values into words: every sentence and table of the program. Decides
//! nothing; reads what the floors below worked out.

mod advice;
mod answer;
mod caution;
mod charging;
mod circuit;
pub mod document;
mod drain;
mod handover;
mod heard;
mod kept;
mod lists;
mod machine;
mod marks;
mod names;
mod own;
mod past;
mod perishable;
mod phone;
mod proof;
mod quantities;
mod reference;
mod report;
mod review;
mod segment;
mod sheet;
mod sketch;
mod standards;
mod strip;
pub mod training;
mod tree;
pub mod trial;

pub use advice::{after_repair, next_test, runners_up};
pub use answer::{answer, segment_in_full};
pub use caution::cautions_for;
pub use circuit::{profile, trace};
pub use handover::{flagged, handover_known, handover_opened, next_leg, walk_sheet, walk_told};
pub use heard::{heard, taken_for, which_meaning};
pub use kept::{case_begun, case_closed, case_opened, cases, set_aside, which_case};
pub use lists::{expectation, expectation_alone, known_things, origins, proved_good, readings, reasons, record, state};
pub use machine::machine;
pub use marks::marks;
pub use names::{capital, entry_said, example_load, nearest_hint, probe, test, told_by};
pub use own::{own_explained, own_question, own_refused, own_written};
pub use past::comeback;
pub use phone::{helping, never_by_phone};
pub use proof::{proof, proof_stands};
pub use reference::{reference, reference_syntax};
pub use report::report;
pub use review::{
    built, built_machine, comparison, comparison_machine, proposals, proposals_machine, size, size_machine,
    testability, testability_machine,
};
pub use segment::suspects;
pub use sheet::sheet;
pub use sketch::{sketch_explained, sketch_question, sketch_saved, sketched};
pub use standards::standards;
pub use tree::{after_danger, answers, begun, closing, danger, questions, tree, trees};
