//! A sketch by a few questions, for whom a line is too much at once: each
//! answer is a piece of the line.

use super::assumed::Sketch;
use super::item::items;
use super::item::{Item, SketchError};
use super::write::sketch;
use crate::tables::sketch::Sketching;

/// What is asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Prompt {
    /// What does not work, and what it draws.
    Load,
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
pub const PROMPTS: [Prompt; 6] =
    [Prompt::Load, Prompt::Battery, Prompt::Fuse, Prompt::Cable, Prompt::Between, Prompt::Return];

/// A sketch under way.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Interview {
    answers: Vec<String>,
}

impl Interview {
    /// What is asked now; `None` once all is answered.
    pub fn next(&self) -> Option<Prompt> {
        PROMPTS.get(self.answers.len()).copied()
    }

    /// Takes an answer; nothing means the usual.
    ///
    /// # Errors
    /// [`SketchError`] if it is not understood; then the same is asked again.
    pub fn answer(&mut self, said: &str) -> Result<(), SketchError> {
        let Some(prompt) = self.next() else { return Ok(()) };
        let piece = piece(prompt, said);
        let items = items(&piece)?;
        let is_load = |item: &Item| matches!(item, Item::Load { .. });
        if prompt == Prompt::Load && !items.iter().any(is_load) {
            return Err(SketchError::NoLoad);
        }
        self.answers.push(piece);
        Ok(())
    }

    /// The line that the answers come to.
    pub fn line(&self) -> String {
        let of = |wanted: Prompt| {
            let asked = PROMPTS.iter().position(|prompt| *prompt == wanted);
            asked.and_then(|at| self.answers.get(at)).filter(|piece| !piece.is_empty())
        };
        let order = [Prompt::Battery, Prompt::Fuse, Prompt::Cable, Prompt::Between, Prompt::Load, Prompt::Return];
        order.into_iter().filter_map(of).map(String::as_str).collect::<Vec<_>>().join(", ")
    }

    /// The sketch, once all is answered.
    ///
    /// # Errors
    /// As [`sketch`].
    pub fn finish(&self, figures: &Sketching) -> Result<Sketch, SketchError> {
        sketch(figures, &self.line())
    }
}

/// An answer with the word for its part, which people leave out.
fn piece(prompt: Prompt, said: &str) -> String {
    let said = said.trim();
    let word = match prompt {
        Prompt::Battery => "battery",
        Prompt::Fuse => "fuse",
        Prompt::Cable => "cable",
        Prompt::Load | Prompt::Between | Prompt::Return => "",
    };
    match said {
        "" | "?" => String::new(),
        said if word.is_empty() || said.to_lowercase().contains(word) => said.to_string(),
        said => format!("{word} {said}"),
    }
}
