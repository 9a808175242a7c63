//! What a file changes and leaves out of its master.

use super::text::{Text, unquoted};
use crate::files::outline::Node;
use crate::files::schema::{CHANGED, LEFT_OUT};
use crate::source::{Diagnostic, SourceFile, nearest};
use std::sync::Arc;

pub struct Changes<'n, 'a> {
    file: &'n Arc<SourceFile>,
    changed: Vec<(&'n Node<'a>, bool)>,
    left_out: Vec<(&'n Node<'a>, bool)>,
    /// Every entry of the master, and how it is written, for the nearest.
    known: Vec<(String, String)>,
}

/// What an entry is known by: its kind with its name, a pin or core with what it is of.
fn identity(node: &Node<'_>) -> Option<String> {
    let of = |key: &str| node.field(key).map(|value| unquoted(value.text));
    let name = match of("name") {
        Some(name) => name.to_string(),
        None => [Some(of("of")?), of("pin").or(of("core")).or(of("rest"))]
            .into_iter()
            .flatten()
            .collect::<Vec<_>>()
            .join("."),
    };
    Some(format!("{}({name})", node.word?).to_lowercase())
}

/// How an entry is named in a list of changes.
fn named(node: &Node<'_>) -> String {
    let keys = ["name", "of", "pin", "core", "rest"];
    let is_named = node.field("name").is_some();
    let said = keys.iter().take(if is_named { 1 } else { keys.len() });
    let said = said.filter_map(|key| node.field(key).map(|value| format!("{key}: {}", value.text)));
    format!("{}({})", node.word.unwrap_or_default(), said.collect::<Vec<_>>().join(", "))
}

impl<'n, 'a> Changes<'n, 'a> {
    pub fn of(file: &'n Arc<SourceFile>, root: &'n Node<'a>) -> Self {
        let list = |key: &str| {
            let list: &'n [Node<'a>] = root.field(key).map(|list| &list.children[..]).unwrap_or_default();
            list.iter().map(|node| (node, false)).collect::<Vec<_>>()
        };
        Self { file, changed: list(CHANGED), left_out: list(LEFT_OUT), known: Vec::new() }
    }

    /// The file that they stand in.
    pub fn file(&self) -> &'n Arc<SourceFile> {
        self.file
    }

    /// What changes an entry; none if it is left out.
    pub fn take(&mut self, entry: &Node<'_>) -> Option<Vec<&'n Node<'a>>> {
        let own = identity(entry);
        if let Some(own) = &own {
            self.known.push((own.clone(), named(entry)));
        }
        let is_own = |node: &Node<'_>| own.is_some() && identity(node) == own;
        for (node, is_used) in &mut self.left_out {
            if is_own(node) {
                *is_used = true;
                return None;
            }
        }
        let found = self.changed.iter_mut().filter(|(node, _)| is_own(node));
        Some(
            found
                .map(|(node, is_used)| {
                    *is_used = true;
                    *node
                })
                .collect(),
        )
    }

    /// Writes an entry of the master as it is changed.
    pub fn entry(&mut self, text: &mut Text, master: &Arc<SourceFile>, entry: &Node<'_>) {
        let Some(changed) = self.take(entry) else { return };
        let file = self.file;
        let has_list = entry.children.iter().any(|child| child.text.starts_with('[') && child.word.is_none());
        let Some(word) = entry.word.filter(|_| !changed.is_empty() || has_list) else {
            return text.field(master, entry);
        };
        let of = |key: &str| changed.iter().find_map(|change| change.field(key));
        text.make(&format!("{word}("), master, entry.head());
        for child in &entry.children {
            let Some(key) = child.key else {
                text.field(master, child);
                continue;
            };
            match of(key.text) {
                Some(other) => text.field(file, other),
                None if child.text.starts_with('[') => {
                    text.make(&format!("{}: [\n", key.text), master, child.head());
                    child.children.iter().for_each(|part| self.entry(text, master, part));
                    text.make("],\n", master, child.head());
                }
                None => text.field(master, child),
            }
        }
        for change in &changed {
            let is_new = |node: &&Node<'_>| node.key.is_some_and(|key| entry.field(key.text).is_none());
            change.children.iter().filter(is_new).for_each(|node| text.field(file, node));
        }
        text.make("),\n", master, entry.head());
    }

    /// What fits nothing in the master.
    pub fn unused(&self, master: &str) -> Vec<Diagnostic> {
        let unused = self.changed.iter().chain(&self.left_out).filter(|(_, is_used)| !is_used);
        unused
            .map(|(node, _)| {
                let Some(own) = identity(node) else {
                    let help = "write the kind and the name, such as `Cable(name: \"W3\", metres: 6)`";
                    return Diagnostic::error(
                        node.span(),
                        "this names nothing in the master",
                        "no kind and name",
                        help,
                    );
                };
                let near = nearest(&own, self.known.iter().map(|(own, _)| own.as_str()));
                let near = self.known.iter().find(|(own, _)| Some(own.as_str()) == near).map(|(_, written)| written);
                let help = match near {
                    Some(near) => format!("did you mean `{near}`? What is new goes into its own list, such as `runs`"),
                    None => {
                        "name it as the master does; what is new goes into its own list, such as `runs`".to_string()
                    }
                };
                Diagnostic::error(
                    node.span(),
                    format!("`{master}` has no `{}` of that name", node.word.unwrap_or_default()),
                    "nothing to change",
                    help,
                )
            })
            .collect()
    }
}
