//! The prompt: parsing lines, completion, help; a terminal and a pipe are two
//! sources of lines. Never computes.

mod aids;
mod asking;
mod command;
mod complete;
mod hearing;
mod lesson;
mod lookup;
mod paper;
mod papers;
mod parse;
mod past;
mod reading;
mod run;
mod session;
mod signs;
mod sketching;
mod takes;
mod verbs;

pub use command::{Command, CommandError};
pub use lesson::{AtEnd, LessonSession};
pub use paper::{Overwrite, ReportOrder};
pub use parse::parse;
pub use run::{Conversation, Ending, Form, OnFailure, run_prompt, run_script};
pub use session::{Beginning, Reply, Session, Understanding};
pub use takes::Takes;
pub use verbs::{Grammar, VERBS, Verb};
