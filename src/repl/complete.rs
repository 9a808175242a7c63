//! Completion and hints for the line editor.

use super::verbs::{Takes, VERBS, listed, verb_word};
use crate::vehicle::{ControlKind, PartKind, Supply, Vehicle};
use rustyline::completion::{Completer, Pair};
use rustyline::hint::Hinter;
use rustyline::{Context, Helper, Highlighter, Result, Validator};

/// Knows every name that can be typed; names do not change while a vehicle is open.
#[derive(Helper, Highlighter, Validator)]
pub struct Names {
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
}

impl Names {
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
            loads: parts(|kind| matches!(kind, PartKind::Load { .. })),
            fuses: parts(|kind| matches!(kind, PartKind::Fuse { .. } | PartKind::Breaker { .. })),
            batteries: parts(|kind| matches!(kind, PartKind::Supply(Supply::Battery { .. }))),
            relays: parts(|kind| matches!(kind, PartKind::Coil { .. }))
                .iter()
                .map(|name| name.trim_end_matches(".coil").to_string())
                .collect(),
            sources: parts(|kind| matches!(kind, PartKind::Supply(Supply::Regulated { .. }))),
            parts: parts(|_| true),
            switches: controls(|kind| !matches!(kind, ControlKind::Fuse | ControlKind::Plug)),
            plugs: controls(|kind| kind == ControlKind::Plug),
            states: vehicle.states.iter().map(|state| state.name.clone()).chain(["rest".to_string()]).collect(),
        }
    }

    fn after(&self, verb: &str) -> Vec<&str> {
        let lists: Vec<&Vec<String>> = match listed(verb).map(|verb| verb.takes) {
            Some(Takes::Load | Takes::Complaint) => vec![&self.loads],
            Some(Takes::Fuse) => vec![&self.fuses],
            Some(Takes::Battery) => vec![&self.batteries],
            Some(Takes::Relay) => vec![&self.relays],
            Some(Takes::Source) => vec![&self.sources],
            Some(Takes::Switch) => vec![&self.switches],
            Some(Takes::Plug) => vec![&self.plugs],
            Some(Takes::Point | Takes::Points) => vec![&self.points],
            Some(Takes::Part) => vec![&self.parts],
            Some(Takes::StateName) => vec![&self.states],
            Some(Takes::OnOrOff) => return vec!["on", "off"],
            Some(Takes::Handover) => return vec!["list", "on", "off"],
            Some(Takes::Helping) => return vec!["on", "off", "never"],
            Some(Takes::Meter) => return vec!["cheap", "good"],
            Some(Takes::Command) => return VERBS.iter().map(|verb| verb.word).collect(),
            _ => Vec::new(),
        };
        lists.into_iter().flatten().map(String::as_str).collect()
    }

    fn candidates(&self, line: &str, start: usize) -> Vec<&str> {
        let before: Vec<&str> = line[..start].split_whitespace().collect();
        match before.first() {
            None => {
                let verbs = VERBS.iter().map(|verb| verb.word);
                let names = self.points.iter().chain(&self.loads).chain(&self.switches).map(String::as_str);
                verbs.chain(names).collect()
            }
            Some(first) => match verb_word(first) {
                Some(verb) => self.after(verb),
                None if self.loads.iter().any(|load| load.eq_ignore_ascii_case(first)) => {
                    vec!["dead", "weak", "works", "sometimes", "stays", "glows"]
                }
                None => self.points.iter().map(String::as_str).collect(),
            },
        }
    }
}

impl Completer for Names {
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

impl Hinter for Names {
    type Hint = String;

    /// What a command wants next, once it stands alone with a space after it.
    fn hint(&self, line: &str, position: usize, _: &Context<'_>) -> Option<String> {
        if position < line.len() {
            return None;
        }
        let verb = listed(verb_word(line.strip_suffix(' ')?)?)?;
        let wants = match verb.takes {
            Takes::Load => "LOAD",
            Takes::Fuse => "FUSE",
            Takes::Battery => "BATTERY",
            Takes::Relay => "RELAY",
            Takes::Source => "SOURCE",
            Takes::Switch => "NAME …",
            Takes::Plug => "PLUG",
            Takes::Point => "POINT",
            Takes::Points => "POINT [POINT]",
            Takes::Part => "PART",
            Takes::StateName => "[STATE]",
            Takes::Number => "NUMBER",
            Takes::NumberAndValue => "NUMBER VALUE",
            Takes::Meter => "cheap | good",
            Takes::Words => "WORDS",
            Takes::OnOrOff => "on | off",
            Takes::Handover => "[list FILE | on | off]",
            Takes::LoadAndFile => "LOAD FILE.html | FILE.md",
            Takes::Circuit => "[PART, PART, …]",
            Takes::Drawing => "FILE.ron",
            Takes::File => "FILE.html | FILE.md",
            Takes::Command => "[COMMAND]",
            Takes::CaseName => "[NAME]",
            Takes::Complaint => "the LOAD is dead",
            Takes::Answer => "[QUESTION] WORD",
            Takes::Class => "[CLASS]",
            Takes::Helping => "on | off | never",
            Takes::Nothing => return None,
        };
        Some(wants.to_string())
    }
}
