//! Lessons as text: one that a teacher sets, and the ready course. Names of
//! the vehicle are looked up and mistakes said with where they are.

use super::curtain::{self, CurtainError};
use super::lesson::{Brief, Lesson, Set};
use crate::belief::Sign;
use crate::fault::{FailureMode, Fault};
use crate::files::{LoadError, Loaded, SAMPLES, load, sample};
use crate::network::SolveError;
use crate::source::nearest;
use crate::tables::Tables;
use crate::tables::faults::Faults;
use crate::trial::Trouble;
use crate::vehicle::{ControlId, PartId, Position, Vehicle};
use serde::Deserialize;
use std::path::Path;
use std::rc::Rc;
use thiserror::Error;

/// The ready course.
const COURSE: &str = include_str!("../../samples/course.ron");

/// Why a lesson cannot be given.
#[derive(Debug, Error)]
pub enum LessonError {
    /// No file.
    #[error("cannot read `{path}`: {reason}")]
    Read {
        /// Its path.
        path: String,
        /// What the system says.
        reason: String,
    },
    /// Behind a curtain that is torn.
    #[error(transparent)]
    Curtain(#[from] CurtainError),
    /// Not a lesson.
    #[error("{file}, line {line}: {what}; compare with the lesson shown by `halfsplit lesson --example`")]
    Syntax {
        file: String,
        /// The line, from 1.
        line: usize,
        /// What is wrong.
        what: String,
    },
    /// A name that the vehicle does not have.
    #[error("{file}, lesson `{title}`: no {what} is called `{word}`{}", .near.as_ref().map(|near| format!("; did you mean `{near}`?")).unwrap_or_default())]
    NoSuch {
        file: String,
        title: String,
        /// What was wanted.
        what: &'static str,
        word: String,
        /// The nearest that there is.
        near: Option<String>,
    },
    /// Something that makes no lesson.
    #[error("{file}, lesson `{title}`: {what}")]
    Senseless {
        file: String,
        title: String,
        /// What does not go.
        what: String,
    },
    #[error(transparent)]
    Vehicle(#[from] LoadError),
    /// The circuit.
    #[error(transparent)]
    Unsolvable(#[from] SolveError),
}

/// A lesson as it is written.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename = "Lesson")]
pub struct WrittenLesson {
    pub title: String,
    /// What it is to teach.
    #[serde(default)]
    pub aim: String,
    /// A built-in vehicle, or a file beside this one.
    pub vehicle: String,
    /// What the customer says.
    pub words: String,
    /// What the complaint is about.
    pub about: String,
    pub complaint: Sign,
    /// What is on for it.
    #[serde(default)]
    on: Vec<String>,
    /// What is off, pulled or unplugged for it.
    #[serde(default)]
    off: Vec<String>,
    /// What is wrong; nothing if there is none.
    #[serde(default)]
    faults: Vec<WrittenFault>,
    /// Whether it comes and goes.
    #[serde(default)]
    comes_and_goes: bool,
    /// Where all chance comes from.
    #[serde(default)]
    seed: u64,
    /// The one thing to remember.
    #[serde(default)]
    pub remember: String,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields, rename = "Fault")]
struct WrittenFault {
    part: String,
    mode: FailureMode,
    #[serde(default)]
    size: f64,
    #[serde(default)]
    other: String,
}

/// Where a lesson is read from, for messages and for vehicles beside it.
struct LessonOrigin<'a> {
    file: &'a str,
    title: &'a str,
}

impl LessonOrigin<'_> {
    fn no_such<'k>(&self, what: &'static str, word: &str, known: impl Iterator<Item = &'k str>) -> LessonError {
        let near = nearest(word, known).map(str::to_string);
        LessonError::NoSuch { file: self.file.into(), title: self.title.into(), what, word: word.into(), near }
    }

    fn senseless(&self, what: impl Into<String>) -> LessonError {
        LessonError::Senseless { file: self.file.into(), title: self.title.into(), what: what.into() }
    }

    fn part(&self, vehicle: &Vehicle, word: &str) -> Result<PartId, LessonError> {
        let names = vehicle.parts.iter().map(|part| part.name.as_str());
        vehicle.find_part(word).ok_or_else(|| self.no_such("part", word, names))
    }

    fn controls(
        &self,
        vehicle: &Vehicle,
        words: &[String],
        position: Position,
    ) -> Result<Vec<(ControlId, Position)>, LessonError> {
        let names = || vehicle.controls.iter().map(|control| control.name.as_str());
        let control = |word: &String| {
            let found = vehicle.find_control(word);
            found.map(|id| (id, position)).ok_or_else(|| self.no_such("switch, fuse or plug", word, names()))
        };
        words.iter().map(control).collect()
    }
}

/// The ready course, in order of difficulty.
///
/// # Errors
/// [`LessonError`]; a released program's course has none.
pub fn course() -> Result<Vec<WrittenLesson>, LessonError> {
    parsed("samples/course.ron", COURSE)
}

/// A lesson that a teacher set, behind a curtain or not.
///
/// # Errors
/// [`LessonError`].
pub fn lesson_file(path: &str) -> Result<WrittenLesson, LessonError> {
    let text = std::fs::read_to_string(path)
        .map_err(|error| LessonError::Read { path: path.to_string(), reason: error.to_string() })?;
    let text = if curtain::is_drawn(&text) { curtain::aside(&text)? } else { text };
    parsed(path, &text)
}

/// A lesson written out, to begin from.
pub fn example() -> &'static str {
    include_str!("../../samples/lesson.ron")
}

fn parsed<T: for<'de> Deserialize<'de>>(file: &str, text: &str) -> Result<T, LessonError> {
    ron::from_str(text).map_err(|error| LessonError::Syntax {
        file: file.to_string(),
        line: error.span.start.line,
        what: error.code.to_string(),
    })
}

impl WrittenLesson {
    /// The vehicle that it is on.
    fn open(&self, file: &str) -> Result<Loaded, LessonError> {
        if let Some(loaded) = sample(&self.vehicle) {
            return Ok(loaded?);
        }
        let beside = Path::new(file).parent().unwrap_or(Path::new("")).join(&self.vehicle);
        if !beside.exists() {
            let origin = LessonOrigin { file, title: &self.title };
            return Err(origin.no_such("vehicle", &self.vehicle, SAMPLES.iter().map(|(name, _)| *name)));
        }
        Ok(load(&beside.to_string_lossy())?)
    }

    /// The lesson, on its vehicle.
    ///
    /// # Errors
    /// [`LessonError`].
    pub fn lesson(&self, file: &str, tables: Rc<Tables>) -> Result<Lesson, LessonError> {
        let vehicle = self.open(file)?.vehicle;
        let origin = LessonOrigin { file, title: &self.title };
        let faults: Vec<(Fault, f64)> = self
            .faults
            .iter()
            .map(|fault| self.fault(&tables.faults, fault, &vehicle, &origin))
            .collect::<Result<_, _>>()?;
        let trouble = match faults[..] {
            [] => Trouble::Nothing,
            [(fault, size)] => Trouble::One(fault, size),
            [first, second] => Trouble::Two(first, second),
            _ => return Err(origin.senseless("more than two faults are more than a lesson can teach")),
        };
        let mut settings = origin.controls(&vehicle, &self.on, Position::On)?;
        settings.extend(origin.controls(&vehicle, &self.off, Position::Off)?);
        let subject = origin.part(&vehicle, &self.about)?;
        let brief = Brief {
            title: self.title.clone(),
            aim: self.aim.clone(),
            words: self.words.clone(),
            remember: self.remember.clone(),
        };
        let set = Set { trouble, comes_and_goes: self.comes_and_goes, subject, sign: self.complaint, settings };
        Ok(Lesson::set(vehicle, self.vehicle.clone(), tables, brief, self.seed, set)?)
    }

    fn fault(
        &self,
        faults: &Faults,
        of: &WrittenFault,
        vehicle: &Vehicle,
        origin: &LessonOrigin<'_>,
    ) -> Result<(Fault, f64), LessonError> {
        let part = origin.part(vehicle, &of.part)?;
        let other = match of.other.as_str() {
            "" => None,
            word => Some(origin.part(vehicle, word)?),
        };
        if of.mode.takes_two() != other.is_some() {
            let what = if other.is_some() { "takes no `other` part" } else { "needs the `other` part" };
            return Err(origin.senseless(format!("{:?} of {} {what}", of.mode, of.part)));
        }
        let needs_size = crate::fault::sizes(faults, of.mode).iter().any(Option::is_some);
        if needs_size && !(of.size > 0.0 && of.size.is_finite()) {
            let what = format!("{:?} of {} needs a `size` above nothing, such as `size: 2.2`", of.mode, of.part);
            return Err(origin.senseless(what));
        }
        Ok((Fault { part, mode: of.mode, other }, of.size))
    }
}
