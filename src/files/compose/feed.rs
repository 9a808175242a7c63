//! A fused feed in one line: the fuse, both cables and the load that it stands for.

use super::text::{Text, unquoted};
use crate::files::outline::Node;
use crate::files::reader::Reader;
use crate::files::schema::FeedEntry;
use crate::source::{SourceFile, Span};
use std::sync::Arc;

/// Keys of a feed that are its run's, its fuse's, its switch's, its cables' and its
/// load's, each with what it is called there.
const OF_RUN: [(&str, &str); 4] = [("label", "label"), ("from", "from"), ("to", "to"), ("board", "at")];
const OF_FUSE: [(&str, &str); 3] = [("fuse_name", "name"), ("fuse", "amps"), ("slot", "slot")];
const OF_SWITCH: [(&str, &str); 2] = [("switch", "name"), ("switch_at", "at")];
const OF_CABLE: [(&str, &str); 3] = [("metres", "metres"), ("mm2", "mm2"), ("colour", "colour")];
const OF_LOAD: [(&str, &str); 11] = [
    ("name", "name"),
    ("label", "label"),
    ("kind", "kind"),
    ("amps", "amps"),
    ("watts", "watts"),
    ("ohms", "ohms"),
    ("behaves", "behaves"),
    ("rest", "rest"),
    ("duty", "duty"),
    ("hold_minutes", "hold_minutes"),
    ("at", "at"),
];

/// Writes the run that a feed stands for, with what changes it; false if something is
/// wrong in it.
pub fn expand<'a>(
    text: &mut Text,
    (file, feed): (&Arc<SourceFile>, &Node<'a>),
    (own, changed): (&Arc<SourceFile>, &[&Node<'_>]),
) -> bool {
    let mut reader = Reader::new(&file.text, Vec::new(), true);
    reader.has_bounds = true;
    if reader.value::<FeedEntry<'_>>("feeds", feed).is_none() || !reader.findings.is_empty() {
        return false;
    }
    let mut written = FeedWriter { text, file, feed, own, changed };
    let name = written.of("name").map_or("", |(_, node)| unquoted(node.text)).to_string();
    written.entry("Run", &[], &OF_RUN);
    written.words("name: ");
    written.quoted(&name);
    written.words("parts: [");
    match written.of("fuse_name") {
        Some(_) => written.entry("Fuse", &[], &OF_FUSE),
        None => written.entry("Fuse", &[("name", format!("F_{name}"))], &OF_FUSE),
    }
    written.words("), ");
    if written.of("switch").is_some() {
        written.entry("Switch", &[], &OF_SWITCH);
        written.words("), ");
    }
    written.entry("Cable", &[("name", format!("W_{name}"))], &OF_CABLE);
    written.words("), ");
    written.entry("Load", &[], &OF_LOAD);
    written.words("), ");
    // The way back has no colour of its own.
    written.entry("Cable", &[("name", format!("W_{name}_back"))], &OF_CABLE[..2]);
    written.words(")]),\n");
    true
}

/// A feed on its way to a run.
struct FeedWriter<'t, 'n, 'a> {
    text: &'t mut Text,
    file: &'n Arc<SourceFile>,
    feed: &'n Node<'a>,
    own: &'n Arc<SourceFile>,
    changed: &'n [&'n Node<'n>],
}

impl<'n, 'a> FeedWriter<'_, 'n, 'a> {
    /// A value of what changes the feed, or its own, and the file that it stands in.
    fn of(&self, key: &str) -> Option<(&'n Arc<SourceFile>, &'n Node<'n>)>
    where
        'a: 'n,
    {
        let other = self.changed.iter().find_map(|change| change.field(key)).map(|node| (self.own, node));
        other.or_else(|| self.feed.field(key).map(|node| (self.file, node)))
    }

    /// Where the feed says what it is called.
    fn head(&self) -> Span {
        self.feed.field("name").map_or(self.feed.head(), Node::span)
    }

    fn words(&mut self, words: &str) {
        let head = self.head();
        self.text.make(words, self.file, head);
    }

    fn quoted(&mut self, words: &str) {
        self.words(&format!("\"{words}\", "));
    }

    /// The beginning of an entry: what is made up, then what the feed gives.
    fn entry(&mut self, word: &str, made: &[(&str, String)], keys: &[(&str, &str)]) {
        self.words(&format!("{word}("));
        for (key, value) in made {
            self.words(&format!("{key}: "));
            self.quoted(value);
        }
        for (key, called) in keys {
            let Some((file, node)) = self.of(key) else { continue };
            let span = node.span();
            self.text.make(&format!("{called}: "), file, span);
            self.text.take(file, span);
            self.text.make(", ", file, span);
        }
    }
}
