//! Names that may be unknown only because their entry could not be read.

use super::read::Reader;
use crate::files::outline::Node;
use crate::files::outline::lists::home;
use crate::files::schema::Name;
use crate::source::Diagnostic;

impl<'a> Reader<'a> {
    /// Remembers that a node is no use, and the names it would have given.
    pub fn spoil(&mut self, node: &Node<'a>) {
        self.spoiled.push(node.span());
        let quotes = ['"', '\'', '“', '”', '„', '‘', '’'];
        let bare = |node: &Node<'a>| node.text.trim_matches(quotes).to_lowercase();
        let name = |key: &str| node.field(key).filter(|child| child.sound).map(bare);
        match (name("name"), name("of")) {
            (Some(name), _) => {
                self.broken.insert(name);
            }
            (None, Some(of)) => {
                let second = name("pin").or_else(|| name("core"));
                self.broken.extend(second.map(|second| format!("{of}.{second}")));
                self.broken.insert(of);
            }
            // A misspelt `name`: any text may have been it.
            (None, None) if node.field("name").is_none() && node.field("of").is_none() => {
                self.broken.extend(node.children.iter().filter(|child| child.text.starts_with(quotes)).map(bare));
            }
            (None, None) => self.lost.extend(node.word.map(|word| home(word).unwrap_or("parts"))),
        }
        if node.children.is_empty() {
            self.broken.insert(bare(node));
        }
        for child in node.children.iter().filter(|child| child.key.is_none() && !child.children.is_empty()) {
            self.spoil(child);
        }
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
            "load" => &["runs", "parts"],
            "control" => &["controls", "plugs", "runs", "parts"],
            _ => &["buses", "supplies", "runs", "parts"],
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
