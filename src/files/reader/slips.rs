//! The entries of a list, each on its own, and every slip in one that cannot
//! be read.

use super::field::Located;
use super::read::Reader;
use super::wording::{Spot, slip};
use crate::files::locate::position_offset;
use crate::files::outline::Node;
use crate::files::schema::EntryKind;
use crate::source::nearest;

impl<'a> Reader<'a> {
    /// Every entry of a list that can be read; the others become findings.
    pub fn entries<K: EntryKind>(&mut self, nodes: &[&Node<'a>]) -> Vec<Located<K::Entry<'a>>> {
        nodes.iter().filter_map(|node| self.entry::<K>(node)).collect()
    }

    /// One entry, or its findings.
    pub fn entry<K: EntryKind>(&mut self, node: &Node<'a>) -> Option<Located<K::Entry<'a>>> {
        if node.sound {
            match self.options.from_str(node.text) {
                Ok(value) => {
                    return Some(Located { value, span: node.span() });
                }
                Err(_) => self.find_slips::<K>(node),
            }
        }
        self.spoil(node);
        None
    }

    /// Reports every slip in an entry: each value that cannot be read is
    /// blanked and the rest is tried again.
    fn find_slips<K: EntryKind>(&mut self, node: &Node<'a>) {
        let mut text = node.text.to_string();
        let mut blanked: Vec<&str> = Vec::new();
        loop {
            let Some(error) = self.options.from_str::<K::Entry<'_>>(&text).err() else {
                return;
            };
            let at = node.start + position_offset(&text, error.span.start);
            // What is missing stands nowhere.
            let is_missing = matches!(error.code, ron::Error::MissingStructField { .. });
            let holds = |child: &&Node<'a>| (child.whole_span().start..=child.span().end).contains(&at);
            let child = node.children.iter().find(holds).filter(|_| !is_missing);
            let follows = matches!(&error.code, ron::Error::MissingStructField { field, .. }
                if blanked.iter().any(|key| nearest(key, [*field]).is_some()));
            if !follows {
                self.report_slip(node, child, &error.code);
            }
            let Some(child) = child.filter(|child| child.key.is_some_and(|key| !blanked.contains(&key.text))) else {
                return;
            };
            blanked.extend(child.key.map(|key| key.text));
            blank(&mut text, child.whole_span().start - node.start, child.span().end - node.start);
        }
    }

    pub fn report_slip(&mut self, node: &Node<'a>, child: Option<&Node<'a>>, error: &ron::Error) {
        let about_key = matches!(error, ron::Error::NoSuchStructField { .. } | ron::Error::DuplicateStructField { .. });
        let span = match child {
            Some(child) if about_key => child.key.map_or(child.span(), |key| key.span()),
            Some(child) => child.span(),
            None => node.head(),
        };
        let spot = Spot {
            entry: node.word.unwrap_or("entry"),
            key: child.and_then(|child| child.key).map(|key| key.text),
            value: child.unwrap_or(node).text,
        };
        let words = slip(error, &spot);
        // A list with other entries in it is one mistake.
        let of_kind = matches!(error, ron::Error::ExpectedDifferentStructName { .. });
        if !(of_kind && self.findings.iter().any(|finding| finding.headline == words.headline)) {
            self.say(span, words);
        }
    }
}

/// Blanks a key and its value, and the comma after it, byte for byte.
fn blank(text: &mut String, start: usize, end: usize) {
    let end = match text[end..].find(|c: char| !c.is_whitespace()) {
        Some(gap) if text[end + gap..].starts_with(',') => end + gap + 1,
        _ => end,
    };
    let spaces: String =
        text[start..end].chars().map(|c| if c == '\n' { "\n".to_string() } else { " ".repeat(c.len_utf8()) }).collect();
    text.replace_range(start..end, &spaces);
}
