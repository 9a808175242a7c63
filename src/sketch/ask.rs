//! A sketch by a few questions, for whom a line is too much at once: each
//! answer is a piece of the line.

use super::item::items;
use super::{Sketch, SketchError, sketch};

/// What is asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Question {
    /// What does not work, and what it draws.
    Load,
    /// The battery.
    Battery,
    /// The fuse.
    Fuse,
    /// Length and size of the cable.
    Cable,
    /// What lies between fuse and load.
    Between,
    /// The way back.
    Return,
}

/// All of it, in the order asked.
pub const QUESTIONS: [Question; 6] =
    [Question::Load, Question::Battery, Question::Fuse, Question::Cable, Question::Between, Question::Return];

/// A sketch under way.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Asking {
    answers: Vec<String>,
}

impl Asking {
    /// What is asked now; `None` once all is answered.
    pub fn next(&self) -> Option<Question> {
        QUESTIONS.get(self.answers.len()).copied()
    }

    /// Takes an answer; nothing means the usual.
    ///
    /// # Errors
    /// [`SketchError`] if it is not understood; then the same is asked again.
    pub fn answer(&mut self, said: &str) -> Result<(), SketchError> {
        let Some(question) = self.next() else { return Ok(()) };
        let piece = piece(question, said);
        let items = items(&piece)?;
        let is_load = |item: &super::Item| matches!(item, super::Item::Load { .. });
        if question == Question::Load && !items.iter().any(is_load) {
            return Err(SketchError::NoLoad);
        }
        self.answers.push(piece);
        Ok(())
    }

    /// The line that the answers come to.
    pub fn line(&self) -> String {
        let of = |wanted: Question| {
            let asked = QUESTIONS.iter().position(|question| *question == wanted);
            asked.and_then(|at| self.answers.get(at)).filter(|piece| !piece.is_empty())
        };
        let order =
            [Question::Battery, Question::Fuse, Question::Cable, Question::Between, Question::Load, Question::Return];
        order.into_iter().filter_map(of).map(String::as_str).collect::<Vec<_>>().join(", ")
    }

    /// The sketch, once all is answered.
    ///
    /// # Errors
    /// As [`sketch`].
    pub fn finish(&self) -> Result<Sketch, SketchError> {
        sketch(&self.line())
    }
}

/// An answer with the word for its part, which people leave out.
fn piece(question: Question, said: &str) -> String {
    let said = said.trim();
    let word = match question {
        Question::Battery => "battery",
        Question::Fuse => "fuse",
        Question::Cable => "cable",
        Question::Load | Question::Between | Question::Return => "",
    };
    match said {
        "" | "?" => String::new(),
        said if word.is_empty() || said.to_lowercase().contains(word) => said.to_string(),
        said => format!("{word} {said}"),
    }
}
