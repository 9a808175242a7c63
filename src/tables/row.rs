//! Tables of parameters: a row is a value with its source, and the program
//! reads each from a file that anybody can edit.
//!
//! The list of a table is written once, as a structure made by
//! `parameters!`; from it come the keys of its file, its reader and the list
//! of its rows. The reader itself, which knows files, is given by [`RowReader`].

use crate::memo::Capacity;
use crate::quantity::{Amps, Minutes, Ohms, Volts, Watts};
use crate::source::Span;
use serde::Serialize;
use serde::de::DeserializeOwned;
use std::ops::RangeInclusive;

/// From what to what each number of a row may go.
pub type Interval = RangeInclusive<f64>;

/// Format: a share or a chance, which may be none or all.
pub const SHARE: Interval = 0.0..=1.0;
/// Format: a chance that is neither nought nor one, since people err.
pub const CHANCE: Interval = 1e-9..=0.999_999_999;
/// Format: a quantity above nought.
pub const POSITIVE: Interval = 1e-12..=1e12;
/// Format: a quantity that may be nought.
pub const NOT_NEGATIVE: Interval = 0.0..=1e12;
/// Format: so many that a list of them fits into memory.
pub const COUNT: Interval = 1.0..=1e6;
/// Format: a logarithm or another number of either sign.
pub const SIGNED: Interval = -1e6..=1e6;

/// What can stand in a row.
pub trait Value: Clone + Serialize + DeserializeOwned {
    /// Every number in it, for comparing with the [`Interval`] of its row.
    fn numbers(&self) -> Vec<f64>;

    /// What is wrong with it though each number is in its [`Interval`], to
    /// follow its key.
    fn disorder(&self) -> Option<&'static str> {
        None
    }
}

impl Value for f64 {
    fn numbers(&self) -> Vec<f64> {
        vec![*self]
    }
}

impl Value for usize {
    fn numbers(&self) -> Vec<f64> {
        vec![*self as f64]
    }
}

impl Value for Capacity {
    fn numbers(&self) -> Vec<f64> {
        self.0.numbers()
    }
}

impl<T: Value, const N: usize> Value for [T; N]
where
    Self: Serialize + DeserializeOwned,
{
    fn numbers(&self) -> Vec<f64> {
        self.iter().flat_map(Value::numbers).collect()
    }

    fn disorder(&self) -> Option<&'static str> {
        self.iter().find_map(Value::disorder)
    }
}

macro_rules! quantities {
    ($($quantity:ident),+) => {
        $(impl Value for $quantity {
            fn numbers(&self) -> Vec<f64> {
                vec![self.0]
            }
        })+
    };
}

quantities!(Volts, Amps, Ohms, Watts, Minutes);

/// A row of a table, for listing.
#[derive(Debug, Clone, PartialEq)]
pub struct Row<'t> {
    /// Word at the start of the table's file.
    pub table: &'static str,
    /// Key of the row.
    pub name: String,
    /// Value as a file writes it.
    pub value: String,
    /// Where it is from.
    pub source: &'t str,
}

impl<'t> Row<'t> {
    pub(super) fn of(table: &'static str, name: String, value: &impl Value, source: &'t str) -> Self {
        // A value without a text would have been none that can be read.
        Self { table, name, value: ron::to_string(value).unwrap_or_default(), source }
    }
}

/// Reads the rows of one table from wherever they are written.
pub trait RowReader {
    /// A row by its key; `known` if it is not written there. None after it has
    /// been reported what is wrong with it, or that it is missing.
    fn row<T: Value>(&mut self, key: &'static str, range: Interval, known: Option<(&T, &str)>) -> Option<(T, String)>;

    /// The entries of a list that has to be there, with their places.
    fn list<T: DeserializeOwned>(&mut self, key: &'static str) -> Vec<(T, Span)>;

    /// Reports that an entry cannot be used as it is.
    fn reject(&mut self, entry: Span, headline: &str, help: &str);
}

/// A table that is read from a file of its own.
pub trait ParameterTable: Clone {
    /// Word at the start of its file.
    const WORD: &'static str;
    /// Its keys.
    const KEYS: &'static [&'static str];

    /// Reads it; a row that is not written is taken from `known`, and where
    /// there is none, every row has to be there.
    fn read(known: Option<&Self>, rows: &mut impl RowReader) -> Option<Self>;

    /// Its rows.
    fn rows(&self) -> Vec<Row<'_>>;
}

/// Makes a table of rows: `name: Type where RANGE`, each with a comment that
/// says what it is and its unit.
macro_rules! parameters {
    (
        $(#[doc = $about:literal])+
        $table:ident {
            $($(#[doc = $doc:literal])+ $name:ident: $kind:ty where $range:expr,)+
        }
    ) => {
        $(#[doc = $about])+
        #[derive(Debug, Clone, PartialEq)]
        pub struct $table {
            $($(#[doc = $doc])+ pub $name: $kind,)+
            /// Where each row is from, in their order.
            sources: Vec<String>,
        }

        impl $crate::tables::row::ParameterTable for $table {
            const WORD: &'static str = stringify!($table);
            const KEYS: &'static [&'static str] = &[$(stringify!($name)),+];

            fn read(known: Option<&Self>, rows: &mut impl $crate::tables::row::RowReader) -> Option<Self> {
                let source = |key| known.and_then(|known| known.source(key)).unwrap_or_default();
                $(let $name = rows.row::<$kind>(
                    stringify!($name),
                    $range,
                    known.map(|known| (&known.$name, source(stringify!($name)))),
                );)+
                $(let $name = $name?;)+
                Some(Self { $($name: $name.0,)+ sources: vec![$($name.1),+] })
            }

            fn rows(&self) -> Vec<$crate::tables::row::Row<'_>> {
                let source = |key| self.source(key).unwrap_or_default();
                vec![$($crate::tables::row::Row::of(
                    stringify!($table),
                    stringify!($name).to_string(),
                    &self.$name,
                    source(stringify!($name)),
                )),+]
            }
        }

        impl $table {
            fn source(&self, key: &str) -> Option<&str> {
                let at = <Self as $crate::tables::row::ParameterTable>::KEYS.iter().position(|known| *known == key)?;
                self.sources.get(at).map(String::as_str)
            }
        }
    };
}

pub(super) use parameters;
