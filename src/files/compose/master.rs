//! A file and its differences to one text: every key of the master, lists with what
//! the other adds, entries as it changes them.

use super::changes::Changes;
use super::feed::expand;
use super::text::Text;
use crate::files::outline::Node;
use crate::files::schema::{CHANGED, FEEDS, LEFT_OUT, MASTER, RUNS};
use crate::source::{Diagnostic, SourceFile};
use std::sync::Arc;

/// Keys that say how a file differs from its master.
const OF_DIFFERENCES: [&str; 3] = [MASTER, CHANGED, LEFT_OUT];

/// A file and its outline.
pub type Read<'r, 'a> = (&'r Arc<SourceFile>, &'r Node<'a>);

/// A file without a master, its feeds written out.
pub fn copy(text: &mut Text, (file, root): Read<'_, '_>) {
    text.make("Vehicle(\n", file, root.head());
    let feeds = feeds_of(root);
    for child in root.children.iter().filter(|child| key(child) != FEEDS) {
        match key(child) {
            RUNS if !feeds.is_empty() => {
                runs(text, &[(file, child)], &feeds.iter().map(|feed| (file, *feed)).collect::<Vec<_>>(), None)
            }
            _ => text.field(file, child),
        }
    }
    if root.field(RUNS).is_none() {
        runs(text, &[], &feeds.iter().map(|feed| (file, *feed)).collect::<Vec<_>>(), None);
    }
    text.make(")\n", file, root.head());
}

/// A file with its master; what of its differences fits nothing there.
pub fn merge(text: &mut Text, (own, root): Read<'_, '_>, (master, of): Read<'_, '_>) -> Vec<Diagnostic> {
    let mut changes = Changes::of(own, root);
    text.make("Vehicle(\n", own, root.head());
    for child in of.children.iter().filter(|child| !matches!(key(child), FEEDS | RUNS)) {
        let other = root.field(key(child));
        match (child.text.starts_with('['), other) {
            (false, Some(other)) => text.field(own, other),
            (false, None) => text.field(master, child),
            (true, other) => {
                let added = other.map(|other| (own, other));
                let lists: Vec<Read<'_, '_>> = [(master, child)].into_iter().chain(added).collect();
                text.make(&format!("{}: [\n", key(child)), lists[lists.len() - 1].0, lists[lists.len() - 1].1.head());
                entries(text, &lists, master, &mut changes);
                text.make("],\n", master, child.head());
            }
        }
    }
    for child in root.children.iter() {
        let is_new = of.field(key(child)).is_none() && !matches!(key(child), FEEDS | RUNS);
        if is_new && !OF_DIFFERENCES.contains(&key(child)) {
            text.field(own, child);
        }
    }
    let lists: Vec<Read<'_, '_>> = [(master, of), (own, root)]
        .into_iter()
        .filter_map(|(file, root)| root.field(RUNS).map(|list| (file, list)))
        .collect();
    let feeds: Vec<Read<'_, '_>> = [(master, of), (own, root)]
        .into_iter()
        .flat_map(|(file, root)| feeds_of(root).into_iter().map(move |feed| (file, feed)))
        .collect();
    runs(text, &lists, &feeds, Some((master, &mut changes)));
    text.make(")\n", own, root.head());
    changes.unused(&master.path)
}

fn key<'a>(node: &Node<'a>) -> &'a str {
    node.key.map_or("", |key| key.text)
}

fn feeds_of<'n, 'a>(root: &'n Node<'a>) -> Vec<&'n Node<'a>> {
    root.field(FEEDS).map(|list| list.children.iter().collect()).unwrap_or_default()
}

/// The runs, and those that feeds stand for; feeds that cannot be written out stay as
/// they are, to be read and found wanting.
fn runs(
    text: &mut Text,
    lists: &[Read<'_, '_>],
    feeds: &[Read<'_, '_>],
    mut of: Option<(&Arc<SourceFile>, &mut Changes<'_, '_>)>,
) {
    let Some(&(file, first)) = lists.first().or(feeds.first()) else { return };
    text.make("runs: [\n", file, first.head());
    match &mut of {
        Some((master, changes)) => entries(text, lists, master, changes),
        None => {
            for (file, list) in lists {
                list.children.iter().for_each(|child| text.field(file, child));
            }
        }
    }
    let mut left = Vec::new();
    for &(file, feed) in feeds {
        let change = of.as_mut().filter(|(master, _)| *master == file);
        let changed = match change {
            Some((_, changes)) => match changes.take(feed) {
                Some(changed) => changed,
                None => continue,
            },
            None => Vec::new(),
        };
        let own = of.as_ref().map_or(file, |(_, changes)| changes.file());
        if !expand(text, (file, feed), (own, &changed)) {
            left.push((file, feed));
        }
    }
    text.make("],\n", file, first.head());
    if !left.is_empty() {
        text.make("feeds: [\n", file, first.head());
        left.iter().for_each(|(file, feed)| text.field(file, feed));
        text.make("],\n", file, first.head());
    }
}

/// The entries of some lists, as one; those of the master as they are changed.
fn entries(text: &mut Text, lists: &[Read<'_, '_>], master: &Arc<SourceFile>, changes: &mut Changes<'_, '_>) {
    for &(file, list) in lists {
        for child in &list.children {
            match Arc::ptr_eq(file, master) {
                true => changes.entry(text, file, child),
                false => text.field(file, child),
            }
        }
    }
}
