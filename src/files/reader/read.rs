//! Nodes to entries: one bad entry is reported and does not hide the next.

use super::field::KeyField;
use super::keyed::Keyed;
use super::wording::{Message, Spot, given_twice, missing_key, slip, unknown_key};
use crate::files::locate::span_of;
use crate::files::outline::Node;
use crate::files::outline::lists::SECTIONS;
use crate::files::schema::{Name, RunEntry, VehicleEntry};
use crate::source::{Diagnostic, Span, nearest};
use ron::Options;
use ron::extensions::Extensions;
use serde::Deserialize;
use std::collections::{HashMap, HashSet};

/// Reads entries and keeps what was found on the way.
pub struct Reader<'a> {
    pub text: &'a str,
    pub findings: Vec<Diagnostic>,
    /// Entries with something wrong in them: what a check says about them
    /// would be a consequence.
    pub spoiled: Vec<Span>,
    /// Lower-case names from entries that could not be read: not to be called
    /// unknown.
    pub(super) broken: HashSet<String>,
    /// Lists that are missing, empty or no lists, or lost some of their entries.
    pub lost: Vec<&'static str>,
    /// Unknown names by kind: the finding about each, and its uses.
    pub(super) unknown: HashMap<(&'static str, String), (usize, usize)>,
    pub(super) options: Options,
}

/// The keys of a vehicle beside its lists.
const VEHICLE_KEYS: [&str; 5] = ["name", "nominal", "chassis", "black", "spread"];
const RUN_KEYS: [&str; 6] = ["name", "label", "from", "to", "at", "parts"];

impl<'a> Reader<'a> {
    pub fn new(text: &'a str, findings: Vec<Diagnostic>) -> Self {
        let options = Options::default().with_default_extension(Extensions::IMPLICIT_SOME);
        Self {
            text,
            findings,
            spoiled: Vec::new(),
            broken: HashSet::new(),
            lost: Vec::new(),
            unknown: HashMap::new(),
            options,
        }
    }

    /// The vehicle itself, its lists still unread.
    pub fn vehicle<'n>(&mut self, node: &'n Node<'a>) -> VehicleEntry<'n, 'a> {
        if node.word.is_some_and(|word| word != "Vehicle") {
            let headline = "expected `Vehicle(` at the start, but found another word";
            self.findings.push(Diagnostic::error(node.head(), headline, "here", "write `Vehicle(`"));
        }
        let keyed = self.keyed(node, "Vehicle", &[&VEHICLE_KEYS[..], &SECTIONS].concat());
        for section in ["places", "supplies", "runs"] {
            if self.required(&keyed, section).is_none() {
                self.lost.push(section);
            }
        }
        if let Some(node) =
            keyed.get("supplies").filter(|node| node.sound && node.text.starts_with('[') && node.children.is_empty())
        {
            let help = "add a `Battery` or another supply";
            self.findings.push(Diagnostic::error(
                node.span(),
                "expected a supply in this vehicle, but found none",
                "empty",
                help,
            ));
            // Every post would be unknown.
            self.lost.push("supplies");
        }
        for section in SECTIONS {
            self.look_for_list(&keyed, section);
        }
        let lists = SECTIONS.map(|section| (section, keyed.list(section)));
        VehicleEntry {
            name: self.required_value(&keyed, "name"),
            nominal: self.required(&keyed, "nominal").map(Node::span),
            chassis: self.optional_value(&keyed, "chassis"),
            spread: keyed.get("spread").map(Node::span),
            black: self.required_value(&keyed, "black"),
            notes: keyed.list("notes").into_iter().filter_map(|note| self.value("notes", note)).collect(),
            lists,
        }
    }

    /// A run, its parts still unread.
    pub fn run<'n>(&mut self, node: &'n Node<'a>) -> Option<RunEntry<'n, 'a>> {
        if node.word != Some("Run") && (node.word.is_some() || !node.text.starts_with('(')) {
            if node.sound {
                let found = self.text[node.head().range()].to_string();
                self.report_slip(node, None, &ron::Error::ExpectedDifferentStructName { expected: "Run", found });
            }
            self.spoil(node);
            self.lost.push("runs");
            return None;
        }
        let keyed = self.keyed(node, "Run", &RUN_KEYS);
        self.look_for_list(&keyed, "parts");
        self.required(&keyed, "from");
        Some(RunEntry {
            name: self.required_value(&keyed, "name"),
            label: self.optional_value(&keyed, "label"),
            from: self.given(&keyed, "from"),
            to: self.given(&keyed, "to"),
            at: self.given(&keyed, "at"),
            parts: self.required(&keyed, "parts").map(|_| keyed.list("parts")),
            span: node.span(),
        })
    }

    fn given<T: Deserialize<'a>>(&mut self, keyed: &Keyed<'_, 'a>, key: &'static str) -> KeyField<T> {
        match keyed.get(key) {
            Some(node) => self.value(key, node).map_or(KeyField::Unread, KeyField::Read),
            None if keyed.node.mended => KeyField::Unread,
            None => KeyField::Absent,
        }
    }

    pub(super) fn keyed<'n>(&mut self, node: &'n Node<'a>, what: &'static str, keys: &[&'static str]) -> Keyed<'n, 'a> {
        let mut keyed = Keyed { node, what, found: Vec::new() };
        let present = |key: &str| node.field(key).is_some();
        for child in &node.children {
            let Some(key) = child.key else { continue };
            let exact = keys.iter().find(|known| **known == key.text).copied();
            if exact.is_none() && child.sound {
                self.say(key.span(), unknown_key(what, key.text, keys));
            }
            let meant = exact.or_else(|| nearest(key.text, keys.iter().copied().filter(|known| !present(known))));
            let Some(meant) = keys.iter().find(|known| Some(**known) == meant).copied() else {
                continue;
            };
            match keyed.get(meant) {
                Some(first) if !first.mended && !child.mended => self.say(key.span(), given_twice(meant)),
                _ => keyed.found.push((meant, child)),
            }
        }
        keyed
    }

    /// Reports what should be a list and is none.
    pub(super) fn look_for_list(&mut self, keyed: &Keyed<'_, 'a>, key: &'static str) {
        match keyed.get(key) {
            Some(node) if node.sound && !node.text.starts_with('[') => {
                let spot = Spot { entry: keyed.what, key: Some(key), value: node.text };
                self.say(node.span(), slip(&ron::Error::ExpectedArray, &spot));
                self.lost.push(key);
            }
            None if keyed.node.mended => self.lost.push(key),
            _ => {}
        }
    }

    pub(super) fn required<'n>(&mut self, keyed: &Keyed<'n, 'a>, key: &'static str) -> Option<&'n Node<'a>> {
        let found = keyed.get(key);
        if found.is_none() && !keyed.node.mended {
            self.say(keyed.node.head(), missing_key(keyed.what, key));
        }
        found
    }

    pub(super) fn required_value<T: Deserialize<'a>>(&mut self, keyed: &Keyed<'_, 'a>, key: &'static str) -> Option<T> {
        let node = self.required(keyed, key)?;
        self.value(key, node)
    }

    pub(super) fn optional_value<T: Deserialize<'a>>(&mut self, keyed: &Keyed<'_, 'a>, key: &'static str) -> Option<T> {
        self.value(key, keyed.get(key)?)
    }

    /// One plain value, or a finding.
    pub(super) fn value<T: Deserialize<'a>>(&mut self, key: &str, node: &Node<'a>) -> Option<T> {
        if !node.sound {
            self.spoil(node);
            return None;
        }
        match self.options.from_str(node.text) {
            Ok(value) => Some(value),
            Err(error) => {
                let spot = Spot { entry: "", key: Some(key), value: node.text };
                self.say(node.span(), slip(&error.code, &spot));
                self.spoil(node);
                None
            }
        }
    }

    pub(super) fn say(&mut self, span: Span, words: Message) {
        self.findings.push(Diagnostic::error(span, words.headline, words.label, words.help));
    }

    pub fn span_of(&self, name: Name<'_>) -> Span {
        span_of(self.text, name.text)
    }
}
