//! What a vehicle file can hold, made from what reads it.

mod docs;
mod shape;

pub use shape::{EntryKind, Key, KeyTakes};

use super::outline::{Node, VEHICLE, outline};
use super::samples::SAMPLES;
use super::schema::VehicleEntry;
use crate::tables::limits::{BOUNDS, Bound};
use std::sync::OnceLock;

/// Every kind of entry, `Vehicle` last but for what stands in it.
pub fn kinds() -> &'static [EntryKind] {
    static KINDS: OnceLock<Vec<EntryKind>> = OnceLock::new();
    KINDS.get_or_init(shape::kinds_of::<VehicleEntry<'_>>)
}

/// The kind of a word.
pub fn kind(word: &str) -> Option<&'static EntryKind> {
    kinds().iter().find(|kind| kind.word == word)
}

/// The choices that a key of a kind takes, if it takes such.
pub fn choices(word: &str, key: &str) -> &'static [&'static str] {
    let key = kind(word).and_then(|kind| kind.keys.iter().find(|known| known.name == key));
    key.map_or(&[], |key| key.takes.choices())
}

impl EntryKind {
    /// What it is.
    pub fn does(&self) -> String {
        docs::said_of(self.word, None)
    }

    /// The lists and keys that it stands under, with the kind that has them.
    pub fn stands_in(&self) -> Vec<(&'static str, &'static str)> {
        let takes = |key: &Key| key.takes.kinds().contains(&self.word);
        kinds().iter().flat_map(|of| of.keys.iter().filter(|key| takes(key)).map(|key| (of.word, key.name))).collect()
    }

    /// One as a sample of the program has it, on one line; what no sample has is
    /// made of the keys that it needs.
    pub fn example(&self) -> String {
        let mut found: Vec<String> = Vec::new();
        for (_, text) in SAMPLES {
            if let (Some(root), ..) = outline(text, VEHICLE) {
                gather(&root, self.word, &mut found);
            }
        }
        // The shortest has no more than what is needed.
        found.into_iter().min_by_key(String::len).unwrap_or_else(|| self.least())
    }

    fn least(&self) -> String {
        let needed = self.keys.iter().filter(|key| key.is_needed);
        let values: Vec<String> = needed.map(|key| format!("{}: {}", key.name, key.stand_in())).collect();
        format!("{}({})", self.word, values.join(", "))
    }
}

impl Key {
    /// What it is, of an entry of some kind.
    pub fn does(&self, kind: &EntryKind) -> String {
        docs::said_of(kind.word, Some(self.name))
    }

    /// From where to where its number may go, and in what.
    pub fn bound(&self) -> Option<&'static Bound> {
        let bound = || BOUNDS.iter().find(|bound| bound.key == self.name);
        if self.takes == KeyTakes::Number { bound() } else { None }
    }

    fn stand_in(&self) -> String {
        match &self.takes {
            KeyTakes::Number => self.bound().map_or(1.0, |bound| 1f64.clamp(bound.least, bound.most)).to_string(),
            KeyTakes::Name | KeyTakes::Text => "\"…\"".to_string(),
            KeyTakes::Choice(words) => words[0].to_string(),
            KeyTakes::Entry(kinds) => format!("{}(…)", kinds[0]),
            KeyTakes::Any => "…".to_string(),
            KeyTakes::List(_) => "[…]".to_string(),
        }
    }
}

impl KeyTakes {
    /// The kinds of entries that may stand there.
    pub fn kinds(&self) -> &[&'static str] {
        match self {
            Self::Entry(kinds) => kinds,
            Self::List(inner) => inner.kinds(),
            Self::Number | Self::Name | Self::Text | Self::Choice(_) | Self::Any => &[],
        }
    }

    /// The words that may stand there.
    pub fn choices(&self) -> &[&'static str] {
        match self {
            Self::Choice(words) => words,
            Self::List(inner) => inner.choices(),
            Self::Number | Self::Name | Self::Text | Self::Entry(_) | Self::Any => &[],
        }
    }
}

/// Entries of a word, each on one line.
fn gather(node: &Node<'_>, word: &str, found: &mut Vec<String>) {
    let is_short = |text: &str| !text.contains("//");
    if node.word == Some(word) && is_short(node.text) {
        found.push(node.text.split_whitespace().collect::<Vec<_>>().join(" "));
    }
    node.children.iter().for_each(|child| gather(child, word, found));
}
