//! A sketch by a few questions, for whom a line is too much at once: each
//! answer is a piece of the line.

use super::assumed::Sketch;
use super::error::SketchError;
use super::item::{Item, made};
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

impl Prompt {
    /// Whether a part answers it.
    fn takes(self, item: &Item) -> bool {
        match (self, item) {
            (Self::Load, Item::Load { .. })
            | (Self::Battery, Item::Battery { .. } | Item::Source { .. })
            | (Self::Fuse, Item::Fuse { .. } | Item::Breaker { .. })
            | (Self::Cable, Item::Cable { .. }) => true,
            (Self::Load | Self::Battery | Self::Fuse | Self::Cable, _) => false,
            (Self::Between, item) => {
                !matches!(item, Item::Load { .. } | Item::Battery { .. } | Item::Chassis | Item::Negative)
            }
            (Self::Return, item) => !matches!(item, Item::Load { .. } | Item::Battery { .. } | Item::Source { .. }),
        }
    }

    /// What would be an answer.
    fn wanted(self) -> &'static str {
        match self {
            Self::Load => "say the load alone, such as `lamp 55 W`",
            Self::Battery => "say the battery, such as `12 V 100 Ah`",
            Self::Fuse => "say the fuse or breaker, such as `15 A`",
            Self::Cable => "say length and size, such as `6 m 2.5`",
            Self::Between => "say parts in their order, such as `switch, plug`",
            Self::Return => "say `chassis`, `negative` or `cable 6 m 2.5`",
        }
    }
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
        let added = piece.split_whitespace().count() - said.split_whitespace().count();
        let made = made(&piece).map_err(|error| error.without_words(added))?;
        let is_load = |item: &Item| matches!(item, Item::Load { .. });
        if prompt == Prompt::Load && !made.iter().any(|made| is_load(&made.item)) {
            return Err(SketchError::NoLoad);
        }
        if let Some(other) = made.iter().find(|made| !prompt.takes(&made.item)) {
            return Err(SketchError::NoAnswer { said: other.said.clone(), wanted: prompt.wanted() });
        }
        self.answers.push(piece);
        Ok(())
    }

    /// Takes the last answer back; it is asked again.
    pub fn back(&mut self) {
        self.answers.pop();
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
        "" => String::new(),
        said if prompt == Prompt::Fuse && said.to_lowercase().contains("breaker") => said.to_string(),
        said if word.is_empty() || said.to_lowercase().contains(word) => said.to_string(),
        said => format!("{word} {said}"),
    }
}
