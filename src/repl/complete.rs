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
use std::rc::Rc;

/// Knows every name that can be typed.
#[derive(Helper, Highlighter, Validator)]
pub struct NameCompleter {
    vehicle: Rc<Vehicle>,
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
    pub fn of(vehicle: Rc<Vehicle>) -> Self {
        Self { vehicle, classes: Vec::new(), wordings: Vec::new(), questions: Vec::new(), just_asked: None }
    }

    fn parts(&self, wanted: fn(&PartKind) -> bool) -> Vec<&str> {
        let parts = self.vehicle.parts.iter().filter(|part| wanted(&part.kind));
        parts.map(|part| part.name.as_str()).collect()
    }

    fn controls(&self, wanted: fn(ControlKind) -> bool) -> Vec<&str> {
        let controls = self.vehicle.controls.iter().filter(|control| wanted(control.kind));
        controls.map(|control| control.name.as_str()).collect()
    }

    fn switches(&self) -> Vec<&str> {
        self.controls(|kind| !matches!(kind, ControlKind::Fuse | ControlKind::Plug))
    }

    /// What a complaint may be about.
    fn subjects(&self) -> Vec<&str> {
        self.parts(|kind| kind.is_load() || kind.is_battery() || kind.is_protection())
    }

    fn after(&self, verb: &Verb) -> Vec<&str> {
        match verb.takes {
            Takes::Load => self.parts(PartKind::is_load),
            Takes::Complaint => self.subjects(),
            Takes::Class => self.classes.iter().map(String::as_str).collect(),
            Takes::Fuse => self.parts(PartKind::is_protection),
            Takes::Battery => self.parts(PartKind::is_battery),
            Takes::Relay => {
                self.parts(PartKind::is_coil).into_iter().map(|name| name.trim_end_matches(".coil")).collect()
            }
            Takes::Source => self.parts(PartKind::is_regulated),
            Takes::Switch => self.switches(),
            Takes::Plug => self.controls(|kind| kind == ControlKind::Plug),
            Takes::Point | Takes::Points => self.vehicle.point_names().collect(),
            Takes::Part | Takes::Bridged => self.parts(|_| true),
            Takes::StateName => self.vehicle.states.iter().map(|state| state.name.as_str()).chain(["rest"]).collect(),
            Takes::OnOrOff => vec!["on", "off"],
            Takes::Handover => [vec!["all", "short", "list", "on", "off"], self.parts(PartKind::is_load)].concat(),
            Takes::Helping => vec!["on", "off", "never"],
            Takes::Meter => vec!["cheap", "good"],
            Takes::Command => VERBS.iter().map(|verb| verb.word()).collect(),
            // Asked for where the line is looked at as a whole.
            Takes::Answer => Vec::new(),
            Takes::Number | Takes::NumberAndValue | Takes::Words | Takes::File | Takes::LoadAndFile => Vec::new(),
            Takes::Circuit | Takes::Drawing | Takes::CaseName | Takes::Nothing => Vec::new(),
        }
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
        self.subjects().iter().any(|name| words.iter().any(|word| name.eq_ignore_ascii_case(word)))
    }

    fn candidates(&self, line: &str, start: usize) -> Vec<&str> {
        let before: Vec<&str> = line[..start].split_whitespace().collect();
        match before.first() {
            None => {
                let verbs = VERBS.iter().map(|verb| verb.word());
                let names = self.vehicle.point_names().chain(self.parts(PartKind::is_load)).chain(self.switches());
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
                None if self.parts(PartKind::is_load).iter().any(|load| load.eq_ignore_ascii_case(first)) => VERBS
                    .iter()
                    .filter(|verb| verb.takes == Takes::Load && verb.says().is_some())
                    .map(|verb| verb.word())
                    .collect(),
                None => self.vehicle.point_names().collect(),
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

    /// A complaint is completed by what it is about, then by people's words; then
    /// the tree's questions, and the answers of each.
    #[test]
    fn complaints_and_answers_are_completed() -> std::result::Result<(), Box<dyn std::error::Error>> {
        let loaded = sample("bench_board").ok_or("no such sample")??;
        let engine = Engine::new(Rc::new(loaded.vehicle), built_in_tables()?).with_trees(Rc::new(built_in_trees()?));
        let mut session = Session::new(Case::new(engine)?, loaded.file, loaded.warnings);
        let offered = |session: &Session, line: &str| -> Vec<String> {
            let names = NameCompleter::of(Rc::clone(session.case().engine().vehicle())).asked(session.case());
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
