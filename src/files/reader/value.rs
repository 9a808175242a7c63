//! A node that is to be read, and what is said when it cannot be.

use super::state::Reader;
use crate::files::outline::{Node, QUOTES};
use crate::files::wording::{bare_number, meant, out_of_bounds, shortened, with_nearest};
use crate::source::Span;
use crate::tables::limits::BOUNDS;
use serde::Deserialize;
use serde::de::Error;
use std::fmt;

/// Why a value could not be read.
#[derive(Debug)]
pub enum Unreadable {
    Reported,
    MissingKey(&'static str),
    UnknownChoice(String, &'static [&'static str]),
    Other,
}

impl fmt::Display for Unreadable {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Debug::fmt(self, out)
    }
}

impl std::error::Error for Unreadable {}

impl Error for Unreadable {
    fn custom<T: fmt::Display>(_: T) -> Self {
        Self::Other
    }

    fn missing_field(field: &'static str) -> Self {
        Self::MissingKey(field)
    }

    fn unknown_variant(variant: &str, expected: &'static [&'static str]) -> Self {
        Self::UnknownChoice(variant.to_string(), expected)
    }
}

/// The value or entry of a node, to be read as whatever serde asks for.
pub struct NodeReader<'r, 'n, 'a> {
    pub reader: &'r mut Reader<'a>,
    pub node: &'n Node<'a>,
    /// The key it stands under, or its list.
    pub key: &'a str,
    /// The innermost entry around it.
    pub entry: Span,
}

/// The values of an entry by key, a misspelt key under the one that is meant.
pub type Keyed<'n, 'a> = Vec<(&'static str, &'n Node<'a>)>;

impl<'a> Reader<'a> {
    /// Reads a node as a value; what is wrong with it is reported.
    pub fn value<T: Deserialize<'a>>(&mut self, key: &'a str, node: &Node<'a>) -> Option<T> {
        T::deserialize(NodeReader { reader: self, node, key, entry: node.span() }).ok()
    }

    /// Sorts what an entry holds by its keys, and reports unknown and doubled ones.
    pub fn keyed<'n>(&mut self, node: &'n Node<'a>, what: &str, keys: &[&'static str]) -> Keyed<'n, 'a> {
        let mut found: Keyed<'n, 'a> = Vec::new();
        let absent: Vec<&'static str> = keys.iter().copied().filter(|key| node.field(key).is_none()).collect();
        for child in &node.children {
            let Some(key) = child.key else { continue };
            let exact = keys.iter().find(|known| **known == key.text).copied();
            let is_glued = node.mended && key.text.starts_with(char::is_uppercase);
            if exact.is_none() && child.sound && !is_glued {
                let help = with_nearest(key.text, keys, "its keys are");
                self.say(key.span(), format!("`{what}` has no key `{}`", key.text), "unknown key", help);
            }
            let Some(meant) = exact.or_else(|| meant(key.text, &absent)) else { continue };
            let first = found.iter().find(|(known, _)| *known == meant);
            if first.is_none() {
                found.push((meant, child));
            } else if exact.is_some() && child.sound {
                self.say(key.span(), format!("`{meant}` is given twice"), "second one", "keep one of them".to_string());
            }
        }
        if node.mended {
            self.lost.extend(keys.iter().filter(|key| found.iter().all(|(known, _)| known != *key)));
        }
        found
    }

    /// Reports a key that an entry has to have.
    pub fn report_missing(&mut self, node: &Node<'a>, what: &str, key: &str) {
        if !node.mended {
            let headline = format!("`{what}` needs `{key}`, but has none");
            let choices = (self.choices)(what, key);
            let help = match choices.is_empty() {
                true => format!("add `{key}: …`"),
                false => format!("add `{key}: …`, one of `{}`", choices.join("`, `")),
            };
            self.say(node.head(), headline, "missing from this entry", help);
        }
    }
}

impl<'n, 'a> NodeReader<'_, 'n, 'a> {
    /// The same once more.
    pub fn again(&mut self) -> NodeReader<'_, 'n, 'a> {
        NodeReader { reader: self.reader, ..*self }
    }

    /// Reports that something else was expected here.
    pub fn expected(self, expected: &str, label: &str, help: impl Into<String>) -> Unreadable {
        let Self { node, key, reader, .. } = self;
        if node.sound {
            let found = shortened(node.text);
            reader.say(
                node.span(),
                format!("expected {expected} for `{key}`, but found `{found}`"),
                label,
                help.into(),
            );
        }
        Unreadable::Reported
    }

    /// Reports what serde says is wrong.
    pub fn reported<T>(self, read: Result<T, Unreadable>) -> Result<T, Unreadable> {
        read.map_err(|slip| match slip {
            Unreadable::UnknownChoice(found, expected) => self.unknown_choice(&found, expected),
            Unreadable::Other => self.unfit(),
            Unreadable::Reported | Unreadable::MissingKey(_) => slip,
        })
    }

    /// Reports a value that its key does not take.
    pub fn unfit(self) -> Unreadable {
        let Self { node, key, reader, .. } = self;
        if node.sound {
            let help = match reader.has_bounds {
                true => format!("`halfsplit reference {key}` shows what `{key}` takes"),
                false => "compare it with the table of the program".to_string(),
            };
            reader.say(node.span(), format!("`{key}` cannot be `{}`", shortened(node.text)), "not this", help);
        }
        Unreadable::Reported
    }

    fn unknown_choice(self, found: &str, expected: &[&'static str]) -> Unreadable {
        let Self { node, key, reader, .. } = self;
        if node.word.is_some() && !reader.is_balanced {
            return Unreadable::Reported;
        }
        let (span, headline, label, lead) = match node.word {
            None => (node.span(), format!("`{found}` is no choice for `{key}`"), "unknown choice", "the choices are"),
            Some(_) => (node.head(), format!("`{key}` takes no entry called `{found}`"), "unknown kind", "it takes"),
        };
        reader.say(span, headline, label, with_nearest(found, expected, lead));
        Unreadable::Reported
    }

    pub fn number<T: Deserialize<'a>>(self) -> Result<T, Unreadable> {
        let Self { node: Node { text, .. }, key, .. } = self;
        match ron::from_str(text) {
            Ok(number) if self.node.sound => Ok(number),
            _ => Err(self.expected("a bare number", "no bare number", bare_number(key, text))),
        }
    }

    /// A number within the bounds of its key; one outside is reported, and the
    /// bound stands in for it.
    pub fn bounded(mut self) -> Result<f64, Unreadable> {
        let number: f64 = self.again().number()?;
        let Self { reader, node, key, entry } = self;
        let bound = BOUNDS.iter().find(|bound| reader.has_bounds && bound.key == key);
        let Some(bound) = bound.filter(|bound| !(bound.least..=bound.most).contains(&number)) else {
            return Ok(number);
        };
        reader.spoiled.push(entry);
        let (least, most, unit) = (bound.least, bound.most, bound.unit);
        let headline = format!("`{key}` must be between {least} and {most} {unit}, but is {number}");
        reader.say(node.span(), headline, "this value", out_of_bounds(bound, number));
        Ok(if number > most { most } else { least })
    }

    /// What stands between the quotes.
    pub fn text(self) -> Result<&'a str, Unreadable> {
        let text = self.node.text;
        let inner = text.strip_prefix(QUOTES).and_then(|text| text.strip_suffix(QUOTES));
        inner.filter(|_| self.node.sound).ok_or_else(|| {
            let help = format!("write `{}: \"{}\"`", self.key, shortened(text));
            self.expected("a text in quotes", "no text in quotes", help)
        })
    }
}
