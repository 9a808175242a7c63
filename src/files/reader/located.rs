//! What an entry or a value was read as.

use crate::source::Span;
use serde::Deserialize;
use serde::de::{Deserializer, SeqAccess, Visitor};
use std::fmt;
use std::marker::PhantomData;

/// A name with the address of its first byte, from which the reader finds its
/// place in the file (serde itself forgets places).
#[derive(Debug, Clone, Copy, Deserialize)]
#[serde(transparent)]
pub struct Name<'a> {
    pub text: &'a str,
}

/// What a value that is read on its own is asked for as.
pub const LOCATED: &str = "a value of its own";

/// A value that is read on its own: what is wrong with it has been reported, and
/// what stands around it is read all the same.
#[derive(Debug, Clone, Copy)]
pub struct Located<T> {
    /// None if it is absent or could not be read.
    pub value: Option<T>,
    /// Where it stands; none if it is absent.
    pub span: Option<Span>,
}

/// An entry of any kind, which is read elsewhere.
#[derive(Debug, Clone, Copy)]
pub struct AnyEntry;

impl<'de> Deserialize<'de> for AnyEntry {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        serde::de::IgnoredAny::deserialize(deserializer).map(|_| Self)
    }
}

/// The entries of a list.
pub type List<T> = Located<Vec<Located<T>>>;

impl<T> Default for Located<T> {
    fn default() -> Self {
        Self { value: None, span: None }
    }
}

impl<T> Located<T> {
    /// The value and its place, if it could be read.
    pub fn read(self) -> Option<(T, Span)> {
        self.value.zip(self.span)
    }
}

impl<T> List<T> {
    /// The entries that could be read, each with its place.
    pub fn take(&mut self) -> impl Iterator<Item = (T, Span)> {
        self.value.take().into_iter().flatten().filter_map(Located::read)
    }
}

impl<'de, T: Deserialize<'de>> Deserialize<'de> for Located<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Visited<T>(PhantomData<T>);
        impl<'de, T: Deserialize<'de>> Visitor<'de> for Visited<T> {
            type Value = Located<T>;
            fn expecting(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
                write!(out, "a place and attempts at a value")
            }
            fn visit_seq<A: SeqAccess<'de>>(self, mut attempts: A) -> Result<Located<T>, A::Error> {
                let (start, end) = (attempts.next_element()?, attempts.next_element()?);
                let span = Some(Span { start: start.unwrap_or_default(), end: end.unwrap_or_default() });
                // After a slip comes another attempt, without what was wrong.
                loop {
                    if let Ok(value) = attempts.next_element() {
                        return Ok(Located { value, span });
                    }
                }
            }
        }
        deserializer.deserialize_newtype_struct(LOCATED, Visited(PhantomData))
    }
}
