//! What is kept of a lesson that was done, and a class from a folder of it.

use super::marks::{Judgement, Marks};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use thiserror::Error;

/// Ending of such a file.
pub const ENDING: &str = "marks";

/// What one learner came to in one lesson.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TakenLesson {
    pub learner: String,
    /// The lesson's title.
    pub lesson: String,
    /// Its vehicle.
    pub vehicle: String,
    pub seed: u64,
    /// Marks of 100.
    pub marks: f64,
    /// Whether that is a pass.
    pub passed: bool,
    /// Whether the conclusion was right, lucky, wrong or missing.
    pub conclusion: String,
    pub tests: usize,
    /// Minutes.
    pub minutes: f64,
    /// Money.
    pub cost: f64,
    /// Mistakes in the words of the program, one for each time.
    pub mistakes: Vec<String>,
}

impl TakenLesson {
    /// Of some marks; `mistake` puts the reasons into words.
    pub fn of(
        learner: &str,
        lesson: &super::Lesson,
        marks: &Marks,
        mistake: impl Fn(&super::Why) -> &'static str,
    ) -> Self {
        let lost = marks.reasons.iter().filter(|reason| reason.lost > 0.0);
        Self {
            learner: learner.to_string(),
            lesson: lesson.brief.title.clone(),
            vehicle: lesson.on.clone(),
            seed: lesson.seed,
            marks: marks.total,
            passed: marks.is_pass,
            conclusion: match marks.judgement {
                Judgement::Right => "right",
                Judgement::Lucky => "lucky",
                Judgement::Wrong => "wrong",
                Judgement::Missing => "missing",
            }
            .to_string(),
            tests: marks.tests,
            minutes: marks.minutes,
            cost: marks.cost,
            mistakes: lost.map(|reason| mistake(&reason.why).to_string()).collect(),
        }
    }

    /// As it is written.
    pub fn written(&self) -> String {
        let pretty = ron::ser::PrettyConfig::new().struct_names(true);
        ron::ser::to_string_pretty(self, pretty).unwrap_or_default() + "\n"
    }
}

/// A class.
#[derive(Debug, Clone, PartialEq)]
pub struct Class {
    /// Everything done, by learner, then lesson.
    pub results: Vec<TakenLesson>,
    /// Files that hold no result, and why.
    pub unread: Vec<(PathBuf, String)>,
}

/// One learner of a class.
#[derive(Debug, Clone, PartialEq)]
pub struct Pupil {
    pub learner: String,
    /// Lessons done.
    pub lessons: usize,
    /// Lessons passed.
    pub passed: usize,
    /// Mean marks.
    pub marks: f64,
    /// The mistake made most often.
    pub worst: Option<String>,
}

/// Why there is no class.
#[derive(Debug, Error)]
pub enum ClassError {
    /// No folder.
    #[error("cannot read the folder `{folder}`: {reason}")]
    Folder {
        folder: String,
        /// What the system says.
        reason: String,
    },
    /// Nothing in it.
    #[error("no results (`.{ENDING}`) are in `{folder}`; `halfsplit lesson --into {folder} --by NAME` puts them there")]
    Empty { folder: String },
}

/// The class of a folder.
///
/// # Errors
/// [`ClassError`].
pub fn class(folder: &Path) -> Result<Class, ClassError> {
    let name = folder.display().to_string();
    let entries = std::fs::read_dir(folder)
        .map_err(|error| ClassError::Folder { folder: name.clone(), reason: error.to_string() })?;
    let mut paths: Vec<PathBuf> = entries
        .filter_map(|entry| entry.ok().map(|entry| entry.path()))
        .filter(|path| path.extension().is_some_and(|ending| ending == ENDING))
        .collect();
    paths.sort();
    let mut class = Class { results: Vec::new(), unread: Vec::new() };
    for path in paths {
        let read = std::fs::read_to_string(&path).map_err(|error| error.to_string());
        let parsed = read.and_then(|text| ron::from_str::<TakenLesson>(&text).map_err(|error| error.to_string()));
        match parsed {
            Ok(result) => class.results.push(result),
            Err(why) => class.unread.push((path, why)),
        }
    }
    if class.results.is_empty() && class.unread.is_empty() {
        return Err(ClassError::Empty { folder: name });
    }
    class.results.sort_by(|a, b| (&a.learner, &a.lesson).cmp(&(&b.learner, &b.lesson)));
    Ok(class)
}

impl Class {
    /// Mistakes by how often they were made.
    pub fn mistakes(&self) -> Vec<(String, usize)> {
        counted(self.results.iter())
    }

    /// The learners, in the order of their names.
    pub fn pupils(&self) -> Vec<Pupil> {
        let mut by_name: BTreeMap<&str, Vec<&TakenLesson>> = BTreeMap::new();
        for result in &self.results {
            by_name.entry(&result.learner).or_default().push(result);
        }
        let pupil = |(learner, of): (&str, Vec<&TakenLesson>)| Pupil {
            learner: learner.to_string(),
            lessons: of.len(),
            passed: of.iter().filter(|result| result.passed).count(),
            marks: of.iter().map(|result| result.marks).sum::<f64>() / of.len().max(1) as f64,
            worst: counted(of.iter().copied()).into_iter().next().map(|(mistake, _)| mistake),
        };
        by_name.into_iter().map(pupil).collect()
    }
}

fn counted<'r>(results: impl Iterator<Item = &'r TakenLesson>) -> Vec<(String, usize)> {
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    for mistake in results.flat_map(|result| &result.mistakes) {
        *counts.entry(mistake).or_default() += 1;
    }
    let mut counts: Vec<(String, usize)> = counts.into_iter().map(|(mistake, count)| (mistake.into(), count)).collect();
    counts.sort_by(|a, b| b.1.cmp(&a.1).then_with(|| a.0.cmp(&b.0)));
    counts
}
