//! Why a line is no circuit.

use thiserror::Error;

/// Why a line is no circuit.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum SketchError {
    /// A word that is none.
    #[error("`{word}` (word {number} of the line) names no part{}; say its kind and leave the make out, such as {}", hint(.near.as_deref()), super::vocabulary::USUAL.join(", "))]
    Unknown {
        word: String,
        /// Its number, from 1.
        number: usize,
        /// The nearest known word.
        near: Option<String>,
    },
    /// An amount beside nothing that has such a one.
    #[error(
        "`{said}` belongs to nothing beside it: V and Ah go with a battery, A with a fuse or load, W with a load, m and mm² with a cable"
    )]
    NoTaker {
        /// The amount.
        said: String,
    },
    /// A number out of all reason.
    #[error("`{piece}`: {value} {unit} is not between {least} and {most} {unit}")]
    OutOfBounds {
        /// The words.
        piece: String,
        /// The value.
        value: f64,
        /// Its unit.
        unit: &'static str,
        /// Least that makes sense.
        least: f64,
        /// Most that makes sense.
        most: f64,
    },
    /// A battery that is neither of 12 nor of 24 V.
    #[error("a battery of {volts} V: say 12 V or 24 V, which are what vehicles have")]
    Voltage {
        /// What was said.
        volts: f64,
    },
    /// More than one of what a sketch has one of.
    #[error("`{said}` is a second {what}: a sketch has one; draw the rest in its file")]
    Second {
        said: String,
        /// What it is.
        what: &'static str,
    },
    /// No load.
    #[error("say what is to run at the end of it, such as `battery 12 V, fuse 15 A, switch, lamp 55 W, chassis`")]
    NoLoad,
    /// An answer that is of something else.
    #[error("`{said}` is no answer to that; {wanted}")]
    NoAnswer {
        said: String,
        /// What would be one.
        wanted: &'static str,
    },
}

fn hint(near: Option<&str>) -> String {
    near.map(|near| format!(", did you mean `{near}`?")).unwrap_or_default()
}

impl SketchError {
    /// The same of a line that had so many words put before it.
    pub fn without_words(self, added: usize) -> Self {
        match self {
            Self::Unknown { word, number, near } => Self::Unknown { word, number: number.saturating_sub(added), near },
            other => other,
        }
    }
}
