//! A vehicle of one's own, from a few answers: a commented file to be changed by
//! hand. Unlike a sketch it has several circuits behind a fuse board and parts of
//! usual tolerance; sizes that nobody gave are large enough for their fuse and
//! their drop.

mod asking;
mod battery;
mod circuit;
mod extras;
mod said;
mod size;
mod text;
mod write;

pub use asking::{OwnQuestion, Questionnaire};
pub use extras::Extra;
pub use said::Own;
pub use write::{FilledIn, OwnFile, own_file};
