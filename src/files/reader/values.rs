//! Nodes to values: what serde asks for, or a finding.

use super::access::{Attempts, Fields, Items};
use super::located::LOCATED;
use super::value::{NodeReader, Unreadable};
use crate::files::outline::{NOTHING, Node, QUOTES};
use crate::files::wording::{meant, shortened};
use serde::de::{Deserializer, Visitor};
use serde::forward_to_deserialize_any;

impl<'a> NodeReader<'_, '_, 'a> {
    /// The keys of an entry.
    pub fn keys<V: Visitor<'a>>(
        self,
        what: &str,
        keys: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Unreadable> {
        let Self { reader, node, .. } = self;
        let mut found = reader.keyed(node, what, keys);
        let missing = reader.missing.iter().filter(|(entry, _)| *entry == node.start);
        found.extend(missing.map(|&(_, key)| (key, &NOTHING)));
        let fields = Fields { reader: &mut *reader, entry: node.span(), rest: found.iter(), value: None };
        let read = visitor.visit_map(fields);
        if let Err(Unreadable::MissingKey(key)) = read {
            if found.iter().all(|(known, _)| *known != key) {
                reader.report_missing(node, what, key);
                reader.missing.push((node.start, key));
            }
            return Err(Unreadable::Reported);
        }
        NodeReader { reader, ..self }.reported(read)
    }

    /// The values of a list or of a tuple.
    fn items<V: Visitor<'a>>(mut self, visitor: V) -> Result<V::Value, Unreadable> {
        let rest = self.node.children.iter();
        let read = visitor.visit_seq(Items { list: self.again(), rest });
        self.reported(read)
    }
}

macro_rules! integers {
    ($($method:ident)*) => {
        $(fn $method<V: Visitor<'de>>(mut self, visitor: V) -> Result<V::Value, Unreadable> {
            let number = self.again().number()?;
            self.reported(visitor.visit_i64(number))
        })*
    };
}

impl<'de> Deserializer<'de> for NodeReader<'_, '_, 'de> {
    type Error = Unreadable;

    integers!(deserialize_i8 deserialize_i16 deserialize_i32 deserialize_i64);
    integers!(deserialize_u8 deserialize_u16 deserialize_u32 deserialize_u64);

    fn deserialize_f64<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Unreadable> {
        visitor.visit_f64(self.bounded()?)
    }

    /// A name, which is borrowed.
    fn deserialize_str<V: Visitor<'de>>(mut self, visitor: V) -> Result<V::Value, Unreadable> {
        let text = self.again().text()?;
        if text.contains('\\') {
            let help = "a name is made of letters, digits, `-` and `_`";
            return Err(self.expected("a name without `\\`", "holds a backslash", help));
        }
        visitor.visit_borrowed_str(text)
    }

    fn deserialize_string<V: Visitor<'de>>(mut self, visitor: V) -> Result<V::Value, Unreadable> {
        let text = self.again().text()?;
        if !text.contains('\\') {
            return visitor.visit_borrowed_str(text);
        }
        let help = "write `/` instead, or two backslashes";
        match ron::from_str(self.node.text) {
            Ok(text) => visitor.visit_string(text),
            Err(_) => Err(self.expected("a text without `\\`", "holds a backslash", help)),
        }
    }

    fn deserialize_option<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Unreadable> {
        visitor.visit_some(self)
    }

    fn deserialize_newtype_struct<V: Visitor<'de>>(
        self,
        name: &'static str,
        visitor: V,
    ) -> Result<V::Value, Unreadable> {
        if name != LOCATED {
            return visitor.visit_newtype_struct(self);
        }
        let Self { reader, node, key, .. } = self;
        let (failed, missing) = (reader.failed.len(), reader.missing.len());
        let value = NodeReader { reader, ..self };
        let mut attempts = Attempts { value, step: 0, failed, is_read: false };
        let given = visitor.visit_seq(&mut attempts);
        let Attempts { value: NodeReader { reader, .. }, is_read, .. } = attempts;
        reader.failed.truncate(failed);
        reader.missing.truncate(missing);
        let is_missing = node.text.is_empty();
        if !(is_missing || is_read && (!node.mended || node.text.starts_with('['))) {
            reader.spoil(node, key);
        }
        if !is_read && (node.key.is_some() || is_missing) {
            reader.lost.push(key);
        }
        given
    }

    fn deserialize_seq<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Unreadable> {
        let Node { text, children, word, .. } = self.node;
        // One that lost its bracket begins with its first value.
        if !text.starts_with('[') && (word.is_some() || children.is_empty() || text.starts_with('(')) {
            let help = format!("write `{}: [ {} ]`", self.key, shortened(text));
            return Err(self.expected("a list", "no list", help));
        }
        self.items(visitor)
    }

    fn deserialize_tuple<V: Visitor<'de>>(self, length: usize, visitor: V) -> Result<V::Value, Unreadable> {
        if self.node.children.len() != length || self.node.word.is_some() {
            let what = format!("{length} values in `( … )`");
            return Err(self.expected(&what, "not as many", "compare it with the table of the program"));
        }
        self.items(visitor)
    }

    fn deserialize_struct<V: Visitor<'de>>(
        self,
        word: &'static str,
        keys: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Unreadable> {
        let Self { reader, node, key, .. } = self;
        let found = node.word.unwrap_or(word);
        let is_entry = node.mended || node.text.ends_with([')', '}']);
        if !(is_entry && found == word) && node.sound && reader.is_balanced {
            let found = shortened(node.word.unwrap_or(node.text));
            let (place, help) = match key {
                "" => ("at the start".to_string(), format!("write `{word}( … )`")),
                _ => (format!("in `{key}`"), format!("write `{word}( … )`, or move this entry to its own list")),
            };
            let headline = format!("expected `{word}(` {place}, but found `{found}`");
            reader.say(node.head(), headline, "another kind of entry", help);
        }
        if !is_entry || meant(found, &[word]).is_none() {
            return Err(Unreadable::Reported);
        }
        NodeReader { reader, ..self }.keys(word, keys, visitor)
    }

    fn deserialize_enum<V: Visitor<'de>>(
        mut self,
        _: &'static str,
        _: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Unreadable> {
        let Node { word, text, sound, .. } = self.node;
        if word.is_none() && !(*sound && text.starts_with(char::is_alphabetic)) {
            let help =
                format!("write the word alone, such as `{}: {}`", self.key, shortened(text).trim_matches(QUOTES));
            return Err(self.expected("a choice without quotes", "no such word", help));
        }
        let read = visitor.visit_enum(self.again());
        self.reported(read)
    }

    fn deserialize_any<V: Visitor<'de>>(self, _: V) -> Result<V::Value, Unreadable> {
        Err(self.unfit())
    }

    fn deserialize_ignored_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Unreadable> {
        visitor.visit_unit()
    }

    forward_to_deserialize_any! {
        bool f32 char bytes byte_buf unit unit_struct tuple_struct map identifier
    }
}
