//! A vehicle that nobody has described: one line of text in current-flow order
//! becomes a plausible vehicle file of usual parts and lengths, with wide
//! tolerances. What was assumed is said.

mod assumed;
mod error;
mod interview;
mod item;
mod line;
mod own;
mod usual;
mod vocabulary;
mod write;

pub use assumed::{Assumed, Sketch};
pub use error::SketchError;
pub use interview::{Interview, PROMPTS, Prompt};
pub use item::{Item, Made};
pub use own::{Extra, FilledIn, Own, OwnFile, OwnQuestion, Questionnaire, own_file};
pub use write::sketch;
