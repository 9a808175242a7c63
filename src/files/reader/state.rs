//! What was found on the way, and names that may be unknown only because their
//! entry could not be read.

use super::located::Name;
use crate::files::outline::{Node, QUOTES};
use crate::source::{Diagnostic, Span};
use std::collections::{HashMap, HashSet};

/// Reads entries and keeps what was found on the way.
pub struct Reader<'a> {
    pub text: &'a str,
    pub findings: Vec<Diagnostic>,
    /// Entries with something wrong in them: what a check says about them
    /// would be a consequence.
    pub spoiled: Vec<Span>,
    /// Lists that are missing or no lists, or lost some of their entries.
    pub lost: Vec<&'a str>,
    /// Numbers have the bounds of a vehicle file.
    pub has_bounds: bool,
    /// The choices that a key of a kind of entry takes, if it takes such.
    pub choices: fn(&str, &str) -> &'static [&'static str],
    /// Brackets match: entries stand in the lists that they seem to stand in.
    pub is_balanced: bool,
    /// Lower-case names from entries that could not be read: not to be called
    /// unknown.
    broken: HashSet<String>,
    /// Unknown names by kind: the finding about each, and its uses.
    unknown: HashMap<(&'static str, String), (usize, usize)>,
    /// What has been reported, and where.
    said: HashSet<(usize, String)>,
    /// Of the entry being read: where values begin that could not be read.
    pub(super) failed: Vec<usize>,
    /// The same: where an entry begins, and a key that it lacks.
    pub(super) missing: Vec<(usize, &'static str)>,
}

impl<'a> Reader<'a> {
    pub fn new(text: &'a str, findings: Vec<Diagnostic>, is_balanced: bool) -> Self {
        Self {
            text,
            findings,
            spoiled: Vec::new(),
            lost: Vec::new(),
            has_bounds: false,
            choices: |_, _| &[],
            is_balanced,
            broken: HashSet::new(),
            unknown: HashMap::new(),
            said: HashSet::new(),
            failed: Vec::new(),
            missing: Vec::new(),
        }
    }

    /// Reports a slip, once however often it is read.
    pub(super) fn say(&mut self, span: Span, headline: String, label: &str, help: String) {
        if self.said.insert((span.start, headline.clone())) {
            self.findings.push(Diagnostic::error(span, headline, label, help));
        }
    }

    /// Where a name stands.
    pub fn span_of(&self, name: Name<'_>) -> Span {
        let start = (name.text.as_ptr() as usize).saturating_sub(self.text.as_ptr() as usize).min(self.text.len());
        Span { start, end: (start + name.text.len()).min(self.text.len()) }
    }

    /// Remembers that an entry is no use, and the names it would have given.
    pub(super) fn spoil(&mut self, node: &Node<'a>, list: &'a str) {
        match node.field("name").or_else(|| node.field("of")) {
            Some(name) if name.sound => {
                self.spoiled.push(node.span());
                self.broken.insert(name.text.trim_matches(QUOTES).to_lowercase());
            }
            Some(_) => {
                self.lost.push(list);
                self.spoil_text(node.span());
            }
            None if node.text.starts_with('[') => {}
            None => self.spoil_text(node.span()),
        }
        for child in node.children.iter().filter(|child| !child.children.is_empty()) {
            self.spoil(child, child.key.map_or(list, |key| key.text));
        }
    }

    /// The same of an entry of which any word may be a name.
    pub fn spoil_text(&mut self, span: Span) {
        self.spoiled.push(span);
        let text = self.text[span.range()].to_lowercase();
        self.broken.extend(text.split(QUOTES).map(str::to_string));
        let words = text.split(|c: char| !(c.is_alphanumeric() || "_-+./".contains(c)));
        self.broken.extend(words.map(str::to_string));
    }

    /// Whether a name belongs to an entry that could not be read.
    pub fn is_broken(&self, name: &str) -> bool {
        let name = name.to_lowercase();
        let owner = |text: &str| self.broken.contains(text.trim_end_matches(['+', '-']));
        self.broken.contains(&name) || owner(&name) || name.match_indices('.').any(|(index, _)| owner(&name[..index]))
    }

    /// Whether things of a kind may have been in a list that was lost.
    pub fn has_lost(&self, what: &str) -> bool {
        let lists: &[&str] = match what {
            "place" => &["places"],
            "relay" => &["relays"],
            "plug" => &["plugs"],
            "multi-core cable" => &["multicores"],
            "load" | "part" => &["runs", "parts", "feeds"],
            "control" => &["controls", "plugs", "runs", "parts", "feeds"],
            _ => &["buses", "supplies", "runs", "parts", "feeds"],
        };
        self.lost.iter().any(|lost| lists.contains(lost))
    }

    /// Reports an unknown name; further uses of it are only counted.
    pub fn report_unknown(&mut self, what: &'static str, name: Name<'_>, help: impl FnOnce() -> String) {
        if self.is_broken(name.text) || self.has_lost(what) {
            return;
        }
        let span = self.span_of(name);
        let next = self.findings.len();
        let (index, uses) = self.unknown.entry((what, name.text.to_lowercase())).or_insert((next, 0));
        *uses += 1;
        if *uses > 1 {
            self.findings[*index].label = format!("no such {what}; this name is used {uses} times");
            return;
        }
        let headline = format!("there is no {what} called `{}`", name.text);
        self.findings.push(Diagnostic::error(span, headline, format!("no such {what}"), help()));
    }
}
