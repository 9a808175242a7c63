//! The training room: a hidden fault, a simulated meter, and fair marks.
//!
//! The learner chooses the tests, the program plays the vehicle and the
//! instrument. What the display showed goes into a record like any other, so
//! the engine's belief, account and report work on it. Marks are a function of
//! the lesson and the acts.

mod act;
mod attempt;
mod class;
pub mod curtain;
mod debrief;
mod file;
mod instrument;
mod lesson;
mod marks;
mod policy;
mod price;
mod series;

pub use act::{Act, ActError, Conclusion, Done, Hint, Loom, Told, Unsafe, Worth};
pub use attempt::Attempt;
pub use class::{Class, ClassError, ENDING, Pupil, TakenLesson, class};
pub use debrief::{DebriefPoint, debrief};
pub use file::{LessonError, WrittenLesson, course, example, lesson_file};
pub use instrument::{Dial, Display, Function, Instrument, Leads, Short, bridged};
pub use lesson::{Brief, Difficulty, Lesson, Set, conditions};
pub use marks::{Ground, Judgement, Marks, Reason, Why, Yardstick, marks, yardstick};
pub use policy::{Learner, play};
pub use series::{LearnerRow, LessonSeries, PlayedLesson, play_all, rows};
