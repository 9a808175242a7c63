//! Completion and hints for the line editor.

use super::asking;
use super::takes::Takes;
use super::verbs::{Grammar, VERBS, Verb, verb_of};
use crate::case::Case;
use crate::complaint::Question;
use crate::vehicle::{ControlKind, PartKind, Vehicle};
use rustyline::completion::{Completer, Pair};
use rustyline::hint::Hinter;
use rustyline::{Context, Helper, Highlighter, Result, Validator};

/// Knows every name that can be typed.
#[derive(Helper, Highlighter, Validator)]
pub struct NameCompleter {
    points: Vec<String>,
    loads: Vec<String>,
    fuses: Vec<String>,
    batteries: Vec<String>,
    relays: Vec<String>,
    sources: Vec<String>,
    parts: Vec<String>,
    switches: Vec<String>,
    plugs: Vec<String>,
    states: Vec<String>,
    /// Classes of complaints, each with its first wording.
    classes: Vec<String>,
    wordings: Vec<String>,
    /// Questions of the tree that asks along, with the words that answer them.
    questions: Vec<(String, Vec<String>)>,
    /// Position of the one just asked.
    just_asked: Option<usize>,
}

impl NameCompleter {
    /// With what a case can be told of complaints.
    pub fn asked(mut self, case: &Case) -> Self {
        let trees = case.trees();
        let words = |question: &Question| question.answers.iter().map(|answer| answer.word.clone()).collect();
        self.classes = trees.iter().map(|(_, tree)| tree.class.clone()).collect();
        self.wordings = trees.iter().filter_map(|(_, tree)| tree.said.first().cloned()).collect();
        if let Some(complaint) = &case.standing().complaint {
            let questions = &trees.tree(complaint.tree).questions;
            self.questions = questions.iter().map(|question| (question.name.clone(), words(question))).collect();
            self.just_asked = asking::asked(case).map(|id| id.number);
        }
        self
    }

    /// The names of a vehicle.
    pub fn of(vehicle: &Vehicle) -> Self {
        let parts = |wanted: fn(&PartKind) -> bool| -> Vec<String> {
            vehicle.parts.iter().filter(|part| wanted(&part.kind)).map(|part| part.name.clone()).collect()
        };
        let controls = |wanted: fn(ControlKind) -> bool| {
            vehicle.controls.iter().filter(|control| wanted(control.kind)).map(|control| control.name.clone()).collect()
        };
        Self {
            points: vehicle.point_names().map(str::to_string).collect(),
            loads: parts(PartKind::is_load),
            fuses: parts(PartKind::is_protection),
            batteries: parts(PartKind::is_battery),
            relays: parts(PartKind::is_coil).iter().map(|name| name.trim_end_matches(".coil").to_string()).collect(),
            sources: parts(PartKind::is_regulated),
            parts: parts(|_| true),
            switches: controls(|kind| !matches!(kind, ControlKind::Fuse | ControlKind::Plug)),
            plugs: controls(|kind| kind == ControlKind::Plug),
            classes: Vec::new(),
            wordings: Vec::new(),
            questions: Vec::new(),
            just_asked: None,
            states: vehicle.states.iter().map(|state| state.name.clone()).chain(["rest".to_string()]).collect(),
        }
    }

    fn after(&self, verb: &Verb) -> Vec<&str> {
        let lists: Vec<&Vec<String>> = match verb.takes {
            Takes::Load => vec![&self.loads],
            Takes::Complaint => vec![&self.loads, &self.batteries, &self.fuses],
            Takes::Class => vec![&self.classes],
            Takes::Fuse => vec![&self.fuses],
            Takes::Battery => vec![&self.batteries],
            Takes::Relay => vec![&self.relays],
            Takes::Source => vec![&self.sources],
            Takes::Switch => vec![&self.switches],
            Takes::Plug => vec![&self.plugs],
            Takes::Point | Takes::Points => vec![&self.points],
            Takes::Part | Takes::Bridged => vec![&self.parts],
            Takes::StateName => vec![&self.states],
            Takes::OnOrOff => return vec!["on", "off"],
            Takes::Handover => {
                let words = ["all", "short", "list", "on", "off"].into_iter();
                return words.chain(self.loads.iter().map(String::as_str)).collect();
            }
            Takes::Helping => return vec!["on", "off", "never"],
            Takes::Meter => return vec!["cheap", "good"],
            Takes::Command => return VERBS.iter().map(|verb| verb.word()).collect(),
            // Asked for where the line is looked at as a whole.
            Takes::Answer => Vec::new(),
            Takes::Number | Takes::NumberAndValue | Takes::Words | Takes::File | Takes::LoadAndFile => Vec::new(),
            Takes::Circuit | Takes::Drawing | Takes::CaseName | Takes::Nothing => Vec::new(),
        };
        lists.into_iter().flatten().map(String::as_str).collect()
    }

    /// Words that answer the question just asked, or those of another by its name.
    fn answers(&self, question: Option<&str>) -> Vec<&str> {
        let found = match question {
            Some(name) => self.questions.iter().find(|(known, _)| known.eq_ignore_ascii_case(name)),
            None => self.just_asked.and_then(|at| self.questions.get(at)),
        };
        found.map(|(_, answers)| answers.iter().map(String::as_str).collect()).unwrap_or_default()
    }

    /// Whether what a complaint is about has been said.
    fn names_a_subject(&self, words: &[&str]) -> bool {
        let mut subjects = self.loads.iter().chain(&self.batteries).chain(&self.fuses);
        subjects.any(|name| words.iter().any(|word| name.eq_ignore_ascii_case(word)))
    }

    fn candidates(&self, line: &str, start: usize) -> Vec<&str> {
        let before: Vec<&str> = line[..start].split_whitespace().collect();
        match before.first() {
            None => {
                let verbs = VERBS.iter().map(|verb| verb.word());
                let names = self.points.iter().chain(&self.loads).chain(&self.switches).map(String::as_str);
                verbs.chain(names).chain(self.answers(None)).collect()
            }
            Some(first) => match verb_of(first) {
                Some(Verb { grammar: Grammar::Complaint, .. }) if self.names_a_subject(&before[1..]) => {
                    self.wordings.iter().map(String::as_str).collect()
                }
                Some(Verb { grammar: Grammar::Answer, .. }) => match before.get(1) {
                    Some(question) => self.answers(Some(question)),
                    None => {
                        let names = self.questions.iter().map(|(name, _)| name.as_str());
                        names.chain(self.answers(None)).collect()
                    }
                },
                Some(verb) => self.after(verb),
                None if self.loads.iter().any(|load| load.eq_ignore_ascii_case(first)) => VERBS
                    .iter()
                    .filter(|verb| verb.takes == Takes::Load && verb.says().is_some())
                    .map(|verb| verb.word())
                    .collect(),
                None => self.points.iter().map(String::as_str).collect(),
            },
        }
    }
}

impl Completer for NameCompleter {
    type Candidate = Pair;

    fn complete(&self, line: &str, position: usize, _: &Context<'_>) -> Result<(usize, Vec<Pair>)> {
        let start = line[..position].rfind(char::is_whitespace).map_or(0, |index| index + 1);
        let typed = line[start..position].to_lowercase();
        let mut matches: Vec<Pair> = self
            .candidates(line, start)
            .into_iter()
            .filter(|name| name.to_lowercase().starts_with(&typed))
            .map(|name| Pair { display: name.to_string(), replacement: format!("{name} ") })
            .collect();
        matches.sort_by(|a, b| a.display.cmp(&b.display));
        matches.dedup_by(|a, b| a.display == b.display);
        Ok((start, matches))
    }
}

impl Hinter for NameCompleter {
    type Hint = String;

    /// What a command wants next, once it stands alone with a space after it.
    fn hint(&self, line: &str, position: usize, _: &Context<'_>) -> Option<String> {
        if position < line.len() {
            return None;
        }
        let verb = verb_of(line.strip_suffix(' ')?)?;
        verb.takes.shape().map(str::to_string)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::belief::Engine;
    use crate::complaint::built_in_trees;
    use crate::files::{built_in_tables, sample};
    use crate::repl::Session;
    use std::rc::Rc;

    /// A complaint is completed by what it is about, then by people's words; then
    /// the tree's questions, and the answers of each.
    #[test]
    fn complaints_and_answers_are_completed() -> std::result::Result<(), Box<dyn std::error::Error>> {
        let loaded = sample("bench_board").ok_or("no such sample")??;
        let engine = Engine::new(Rc::new(loaded.vehicle), built_in_tables()?).with_trees(Rc::new(built_in_trees()?));
        let mut session = Session::new(Case::new(engine)?, loaded.file, loaded.warnings);
        let offered = |session: &Session, line: &str| -> Vec<String> {
            let names = NameCompleter::of(session.case().vehicle()).asked(session.case());
            names.candidates(line, line.len()).into_iter().map(str::to_string).collect()
        };
        assert!(offered(&session, "complaint ").contains(&"lampA".to_string()));
        assert!(offered(&session, "complaint lampA ").contains(&"dead".to_string()));
        assert!(offered(&session, "tree ").contains(&"stays-on".to_string()));
        assert!(offered(&session, "answer ").is_empty());
        session.handle("complaint lampA dead");
        let questions = offered(&session, "answer ");
        let onset =
            session.case().trees().find("dead").and_then(|tree| session.case().trees().find_question(tree, "onset"));
        let onset = session.case().trees().question(onset.ok_or("no such question")?).clone();
        assert!(questions.contains(&onset.name), "{questions:?}");
        let words: Vec<String> = onset.answers.iter().map(|answer| answer.word.clone()).collect();
        assert_eq!(offered(&session, "answer onset "), words);
        Ok(())
    }
}
