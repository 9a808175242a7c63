//! What is in a node, as serde takes it piece by piece.

use super::state::Reader;
use super::value::{NodeReader, Unreadable};
use crate::files::outline::Node;
use crate::source::Span;
use serde::de::value::StrDeserializer;
use serde::de::{DeserializeSeed, EnumAccess, IntoDeserializer, MapAccess, SeqAccess, VariantAccess, Visitor};

impl<'a> EnumAccess<'a> for NodeReader<'_, '_, 'a> {
    type Error = Unreadable;
    type Variant = Self;

    fn variant_seed<S: DeserializeSeed<'a>>(self, seed: S) -> Result<(S::Value, Self), Unreadable> {
        let word: StrDeserializer<'_, Unreadable> = self.node.word.unwrap_or(self.node.text).into_deserializer();
        Ok((seed.deserialize(word)?, self))
    }
}

impl<'a> VariantAccess<'a> for NodeReader<'_, '_, 'a> {
    type Error = Unreadable;

    fn unit_variant(self) -> Result<(), Unreadable> {
        match self.node.word {
            None => Ok(()),
            Some(word) => Err(self.expected("a word alone", "more than a word", format!("write `{word}`"))),
        }
    }

    fn newtype_variant_seed<S: DeserializeSeed<'a>>(self, _: S) -> Result<S::Value, Unreadable> {
        Err(Unreadable::Other)
    }

    fn tuple_variant<V: Visitor<'a>>(self, _: usize, _: V) -> Result<V::Value, Unreadable> {
        Err(Unreadable::Other)
    }

    fn struct_variant<V: Visitor<'a>>(self, keys: &'static [&'static str], visitor: V) -> Result<V::Value, Unreadable> {
        match self.node.word {
            Some(word) => self.keys(word, keys, visitor),
            None => {
                let word = self.node.text;
                Err(self.expected(
                    "an entry",
                    "a word alone",
                    format!("write `{word}( … )`, with its keys in the brackets"),
                ))
            }
        }
    }
}

/// What stands under each key of an entry, but for what could not be read.
pub struct Fields<'r, 'k, 'n, 'a> {
    pub reader: &'r mut Reader<'a>,
    pub entry: Span,
    pub rest: std::slice::Iter<'k, (&'static str, &'n Node<'a>)>,
    pub value: Option<(&'static str, &'n Node<'a>)>,
}

impl<'a> MapAccess<'a> for Fields<'_, '_, '_, 'a> {
    type Error = Unreadable;

    fn next_key_seed<S: DeserializeSeed<'a>>(&mut self, seed: S) -> Result<Option<S::Value>, Unreadable> {
        let failed = &self.reader.failed;
        self.value = self.rest.find(|(_, node)| !failed.contains(&node.start)).copied();
        let key = self.value.map(|(key, _)| seed.deserialize(IntoDeserializer::<Unreadable>::into_deserializer(key)));
        key.transpose()
    }

    fn next_value_seed<S: DeserializeSeed<'a>>(&mut self, seed: S) -> Result<S::Value, Unreadable> {
        let (key, node) = self.value.ok_or(Unreadable::Other)?;
        let read = seed.deserialize(NodeReader { reader: &mut *self.reader, node, key, entry: self.entry });
        if read.is_err() {
            self.reader.failed.push(node.start);
        }
        read
    }
}

pub struct Items<'r, 'n, 'a> {
    pub list: NodeReader<'r, 'n, 'a>,
    pub rest: std::slice::Iter<'n, Node<'a>>,
}

impl<'a> SeqAccess<'a> for Items<'_, '_, 'a> {
    type Error = Unreadable;

    fn next_element_seed<S: DeserializeSeed<'a>>(&mut self, seed: S) -> Result<Option<S::Value>, Unreadable> {
        let Some(node) = self.rest.next() else { return Ok(None) };
        seed.deserialize(NodeReader { node, ..self.list.again() }).map(Some)
    }
}

/// For a value that is read on its own: its place, and attempts at it, each
/// without what was wrong before.
pub struct Attempts<'r, 'n, 'a> {
    pub value: NodeReader<'r, 'n, 'a>,
    pub step: usize,
    /// How many values had failed before.
    pub failed: usize,
    pub is_read: bool,
}

impl<'a> SeqAccess<'a> for &mut Attempts<'_, '_, 'a> {
    type Error = Unreadable;

    fn next_element_seed<S: DeserializeSeed<'a>>(&mut self, seed: S) -> Result<Option<S::Value>, Unreadable> {
        let Span { start, end } = self.value.node.span();
        self.step += 1;
        match self.step {
            1 => return seed.deserialize(start.into_deserializer()).map(Some),
            2 => return seed.deserialize(end.into_deserializer()).map(Some),
            3 => {}
            _ => return Ok(None),
        }
        let slips = self.value.reader.failed.len() + self.value.reader.missing.len();
        let read = seed.deserialize(self.value.again());
        let reader = &self.value.reader;
        self.is_read = read.is_ok() && reader.failed.len() == self.failed;
        if self.is_read {
            return read.map(Some);
        }
        if read.is_err() && reader.failed.len() + reader.missing.len() > slips {
            self.step = 2;
        }
        Err(Unreadable::Reported)
    }
}
