//! The shape of a vehicle file, taken from the structures that read it: a
//! deserializer that gives every key something harmless and writes down what it
//! was asked for.

use crate::files::reader::LOCATED;
use serde::de::value::StrDeserializer;
use serde::de::{
    Deserialize, DeserializeSeed, Deserializer, EnumAccess, Error, IntoDeserializer, MapAccess, SeqAccess,
    VariantAccess, Visitor,
};
use serde::forward_to_deserialize_any;
use std::cell::RefCell;
use std::fmt;

/// What a key takes.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub enum KeyTakes {
    /// A number.
    #[default]
    Number,
    /// A name, in quotes.
    Name,
    /// Words, in quotes.
    Text,
    /// One word of these.
    Choice(Vec<&'static str>),
    /// An entry of one of these kinds.
    Entry(Vec<&'static str>),
    /// An entry of any kind.
    Any,
    /// A list.
    List(Box<KeyTakes>),
}

/// A key of a kind of entry.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Key {
    /// As it is written.
    pub name: &'static str,
    /// What follows it.
    pub takes: KeyTakes,
    /// Whether it has to be there.
    pub is_needed: bool,
    /// The choice that it is without being said.
    pub default: Option<&'static str>,
}

/// A kind of entry.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EntryKind {
    /// The word before its bracket.
    pub word: &'static str,
    /// Its keys, in the order of the structure.
    pub keys: Vec<Key>,
}

/// What was written down, and what is left out to see whether it is missed.
#[derive(Default)]
struct Notes {
    kinds: Vec<EntryKind>,
    takes: KeyTakes,
    /// Choices that are kinds of entries, with their number.
    kinds_of: Vec<(&'static str, usize)>,
    /// Of each such choice the one to take.
    pick: Option<(&'static str, usize)>,
    leave_out: Option<(&'static str, &'static str)>,
    is_missed: bool,
}

/// Every kind of entry below a structure.
pub fn kinds_of<'de, T: Deserialize<'de> + fmt::Debug>() -> Vec<EntryKind> {
    let look = |pick, leave_out| {
        let notes = RefCell::new(Notes { pick, leave_out, ..Notes::default() });
        let read = T::deserialize(Recorder { notes: &notes, word: None });
        (notes.into_inner(), read.map(|read| format!("{read:?}")).unwrap_or_default())
    };
    let (first, _) = look(None, None);
    let mut picks: Vec<Option<(&'static str, usize)>> = vec![None];
    for &(choice, count) in &first.kinds_of {
        picks.extend((1..count).map(|number| Some((choice, number))));
    }
    let mut kinds: Vec<EntryKind> = Vec::new();
    for pick in picks {
        for mut kind in look(pick, None).0.kinds {
            if kinds.iter().any(|known| known.word == kind.word) {
                continue;
            }
            for key in &mut kind.keys {
                let (notes, read) = look(pick, Some((kind.word, key.name)));
                key.is_needed = notes.is_missed;
                key.default = chosen(&read, kind.word, key);
            }
            kinds.push(kind);
        }
    }
    kinds
}

/// What a key that was left out became, if it is one of its choices.
fn chosen(read: &str, word: &str, key: &Key) -> Option<&'static str> {
    let KeyTakes::Choice(choices) = &key.takes else { return None };
    let starts = [format!("{word} {{"), format!("{word}Entry {{")];
    let entry = starts.iter().find_map(|start| read.find(start.as_str()).map(|at| &read[at..]))?;
    let value = entry.split_once(&format!(" {}: ", key.name))?.1;
    let value = value.split([',', ' ', '}']).next()?;
    choices.iter().copied().find(|choice| *choice == value)
}

/// Something was left out.
#[derive(Debug)]
struct LeftOut;

impl fmt::Display for LeftOut {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Debug::fmt(self, out)
    }
}

impl std::error::Error for LeftOut {}

impl Error for LeftOut {
    fn custom<T: fmt::Display>(_: T) -> Self {
        Self
    }
}

/// Format: a name that stands for any.
const ANY: &str = "x";

#[derive(Clone, Copy)]
struct Recorder<'n> {
    notes: &'n RefCell<Notes>,
    /// The choice that was made of an entry's kinds.
    word: Option<&'static str>,
}

impl Recorder<'_> {
    fn takes(self, takes: KeyTakes) {
        self.notes.borrow_mut().takes = takes;
    }

    /// Notes a kind of entry and its keys.
    fn entry<'de, V: Visitor<'de>>(
        self,
        word: &'static str,
        keys: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, LeftOut> {
        let mut found = Vec::new();
        let left_out = self.notes.borrow().leave_out.filter(|(of, _)| *of == word).map(|(_, key)| key);
        let keys = keys.iter().filter(|key| Some(**key) != left_out);
        let read = visitor.visit_map(Keys { recorder: self, keys, key: "", found: &mut found });
        let mut notes = self.notes.borrow_mut();
        notes.is_missed |= left_out.is_some() && read.is_err();
        notes.kinds.push(EntryKind { word, keys: found });
        notes.takes = KeyTakes::Entry(vec![word]);
        read
    }
}

macro_rules! numbers {
    ($($method:ident)*) => {
        $(fn $method<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, LeftOut> {
            self.takes(KeyTakes::Number);
            visitor.visit_i64(1)
        })*
    };
}

impl<'de> Deserializer<'de> for Recorder<'_> {
    type Error = LeftOut;

    numbers!(deserialize_i8 deserialize_i16 deserialize_i32 deserialize_i64);
    numbers!(deserialize_u8 deserialize_u16 deserialize_u32 deserialize_u64);

    fn deserialize_f64<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, LeftOut> {
        self.takes(KeyTakes::Number);
        visitor.visit_f64(1.0)
    }

    fn deserialize_str<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, LeftOut> {
        self.takes(KeyTakes::Name);
        visitor.visit_borrowed_str(ANY)
    }

    fn deserialize_string<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, LeftOut> {
        self.takes(KeyTakes::Text);
        visitor.visit_borrowed_str(ANY)
    }

    fn deserialize_option<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, LeftOut> {
        visitor.visit_some(self)
    }

    fn deserialize_newtype_struct<V: Visitor<'de>>(self, name: &'static str, visitor: V) -> Result<V::Value, LeftOut> {
        if name == LOCATED {
            return visitor.visit_seq(OneValue { recorder: self, step: 0 });
        }
        visitor.visit_newtype_struct(self)
    }

    fn deserialize_seq<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, LeftOut> {
        let read = visitor.visit_seq(One { recorder: self, is_given: false });
        let inner = self.notes.borrow().takes.clone();
        self.takes(KeyTakes::List(Box::new(inner)));
        read
    }

    fn deserialize_struct<V: Visitor<'de>>(
        self,
        word: &'static str,
        keys: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, LeftOut> {
        self.entry(word, keys, visitor)
    }

    fn deserialize_enum<V: Visitor<'de>>(
        self,
        name: &'static str,
        words: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, LeftOut> {
        let pick = self.notes.borrow().pick.filter(|(of, _)| *of == name).map_or(0, |(_, number)| number);
        self.takes(KeyTakes::Choice(words.to_vec()));
        let read = visitor.visit_enum(Self { word: Some(words[pick]), ..self });
        let mut notes = self.notes.borrow_mut();
        if matches!(notes.takes, KeyTakes::Entry(_)) {
            notes.takes = KeyTakes::Entry(words.to_vec());
            if !notes.kinds_of.contains(&(name, words.len())) {
                notes.kinds_of.push((name, words.len()));
            }
        }
        read
    }

    fn deserialize_any<V: Visitor<'de>>(self, _: V) -> Result<V::Value, LeftOut> {
        Err(LeftOut)
    }

    fn deserialize_ignored_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, LeftOut> {
        self.takes(KeyTakes::Any);
        visitor.visit_unit()
    }

    forward_to_deserialize_any! {
        bool f32 char bytes byte_buf unit unit_struct tuple tuple_struct map identifier
    }
}

impl<'de> EnumAccess<'de> for Recorder<'_> {
    type Error = LeftOut;
    type Variant = Self;

    fn variant_seed<S: DeserializeSeed<'de>>(self, seed: S) -> Result<(S::Value, Self), LeftOut> {
        let word: StrDeserializer<'_, LeftOut> = self.word.unwrap_or_default().into_deserializer();
        Ok((seed.deserialize(word)?, self))
    }
}

impl<'de> VariantAccess<'de> for Recorder<'_> {
    type Error = LeftOut;

    fn unit_variant(self) -> Result<(), LeftOut> {
        Ok(())
    }

    fn newtype_variant_seed<S: DeserializeSeed<'de>>(self, _: S) -> Result<S::Value, LeftOut> {
        Err(LeftOut)
    }

    fn tuple_variant<V: Visitor<'de>>(self, _: usize, _: V) -> Result<V::Value, LeftOut> {
        Err(LeftOut)
    }

    fn struct_variant<V: Visitor<'de>>(self, keys: &'static [&'static str], visitor: V) -> Result<V::Value, LeftOut> {
        self.entry(self.word.unwrap_or_default(), keys, visitor)
    }
}

/// The keys of an entry, each noted with what it takes.
struct Keys<'n, 'f, I> {
    recorder: Recorder<'n>,
    keys: I,
    key: &'static str,
    found: &'f mut Vec<Key>,
}

impl<'de, I: Iterator<Item = &'static &'static str>> MapAccess<'de> for Keys<'_, '_, I> {
    type Error = LeftOut;

    fn next_key_seed<S: DeserializeSeed<'de>>(&mut self, seed: S) -> Result<Option<S::Value>, LeftOut> {
        let Some(&key) = self.keys.next() else { return Ok(None) };
        self.key = key;
        let word: StrDeserializer<'_, LeftOut> = key.into_deserializer();
        seed.deserialize(word).map(Some)
    }

    fn next_value_seed<S: DeserializeSeed<'de>>(&mut self, seed: S) -> Result<S::Value, LeftOut> {
        let read = seed.deserialize(Recorder { word: None, ..self.recorder });
        let takes = self.recorder.notes.borrow().takes.clone();
        self.found.push(Key { name: self.key, takes, is_needed: false, default: None });
        read
    }
}

/// One of a list.
struct One<'n> {
    recorder: Recorder<'n>,
    is_given: bool,
}

impl<'de> SeqAccess<'de> for One<'_> {
    type Error = LeftOut;

    fn next_element_seed<S: DeserializeSeed<'de>>(&mut self, seed: S) -> Result<Option<S::Value>, LeftOut> {
        if std::mem::replace(&mut self.is_given, true) {
            return Ok(None);
        }
        seed.deserialize(Recorder { word: None, ..self.recorder }).map(Some)
    }
}

/// A value that is read on its own: its place, and one attempt at it.
struct OneValue<'n> {
    recorder: Recorder<'n>,
    step: usize,
}

impl<'de> SeqAccess<'de> for OneValue<'_> {
    type Error = LeftOut;

    fn next_element_seed<S: DeserializeSeed<'de>>(&mut self, seed: S) -> Result<Option<S::Value>, LeftOut> {
        self.step += 1;
        match self.step {
            1 | 2 => seed.deserialize(0usize.into_deserializer()).map(Some),
            3 => Ok(seed.deserialize(Recorder { word: None, ..self.recorder }).ok()),
            _ => Ok(None),
        }
    }
}
