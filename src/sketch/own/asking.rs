//! The questions for a vehicle of one's own, one after the other.

use super::super::error::SketchError;
use super::circuit;
use super::said::Own;
use crate::tables::sketch::Sketching;

/// What is asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OwnQuestion {
    Name,
    Battery,
    /// The circuit of that number, from 1; an empty answer ends them.
    Circuit(usize),
    Extras,
}

/// A vehicle under way.
#[derive(Debug, Clone, PartialEq)]
pub struct Questionnaire {
    own: Own,
    /// As it was before each answer, with what was asked.
    before: Vec<(OwnQuestion, Own)>,
    question: Option<OwnQuestion>,
}

impl Questionnaire {
    /// At the first question.
    pub fn new(figures: &Sketching) -> Self {
        Self { own: Own::usual(figures), before: Vec::new(), question: Some(OwnQuestion::Name) }
    }

    /// What is asked now; `None` once all is answered.
    pub fn question(&self) -> Option<OwnQuestion> {
        self.question
    }

    /// The vehicle as it is so far.
    pub fn own(&self) -> &Own {
        &self.own
    }

    /// Takes an answer; nothing means the usual.
    ///
    /// # Errors
    /// [`SketchError`] if it is not understood; then the same is asked again.
    pub fn answer(&mut self, said: &str) -> Result<(), SketchError> {
        let Some(question) = self.question else { return Ok(()) };
        let mut own = self.own.clone();
        let next = match question {
            OwnQuestion::Name => {
                own.call(said);
                Some(OwnQuestion::Battery)
            }
            OwnQuestion::Battery => {
                own.take_battery(said)?;
                Some(OwnQuestion::Circuit(1))
            }
            OwnQuestion::Circuit(1) if said.trim().is_empty() => {
                return Err(SketchError::NoAnswer { said: "nothing".to_string(), wanted: FIRST });
            }
            OwnQuestion::Circuit(_) if said.trim().is_empty() => Some(OwnQuestion::Extras),
            OwnQuestion::Circuit(number) => {
                own.circuits.push(circuit::read(said)?);
                Some(OwnQuestion::Circuit(number + 1))
            }
            OwnQuestion::Extras => {
                own.take_extras(said)?;
                None
            }
        };
        self.before.push((question, std::mem::replace(&mut self.own, own)));
        self.question = next;
        Ok(())
    }

    /// Takes the last answer back; it is asked again.
    pub fn back(&mut self) {
        if let Some((question, own)) = self.before.pop() {
            (self.question, self.own) = (Some(question), own);
        }
    }
}

const FIRST: &str = "a vehicle needs one circuit at least, such as `lamp 10 W, 3 m`; more can be drawn in the file";
