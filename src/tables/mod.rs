//! Published tables, stated defaults, and the parameters of the program. Every
//! value says where it is from; what no source stands behind is marked "common
//! practice, no source", and what was found by trial "tuned".
//!
//! What a session can be given in other figures stands in `*.ron` here, one
//! row a value and its source (see [`row`]); what a standard fixes stands in
//! the modules.

mod all;
pub mod ampacity;
pub mod belief;
pub mod conductor;
pub mod contact;
pub mod faults;
pub mod fuse;
pub mod instruments;
pub mod limits;
pub mod memory;
pub mod plan;
pub mod practice;
pub mod proof;
pub mod rates;
pub mod review;
pub mod row;
pub mod sheet;
pub mod signs;
pub mod sketch;
pub mod spreads;
pub mod supply;
pub mod telling;
pub mod times;
pub mod training;
pub mod trial;
pub mod world;
pub mod world_rates;

pub use all::{TableReader, Tables};

use std::fmt;

/// Where a number came from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Origin {
    /// Written in the vehicle file.
    Given,
    /// Read from a published table.
    Table(&'static str),
    /// A stated default.
    Default(&'static str),
}

impl fmt::Display for Origin {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Given => write!(out, "given"),
            Self::Table(name) => write!(out, "table: {name}"),
            Self::Default(why) => write!(out, "default: {why}"),
        }
    }
}

/// A number and where it came from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sourced<T> {
    /// The number.
    pub value: T,
    /// Where it came from.
    pub origin: Origin,
}

impl<T> Sourced<T> {
    /// `given` if the file has it, otherwise `fallback`.
    pub fn given_or(given: Option<T>, fallback: impl FnOnce() -> Self) -> Self {
        match given {
            Some(value) => Self { value, origin: Origin::Given },
            None => fallback(),
        }
    }
}

/// Log-log interpolation in a table sorted by its first column; the end
/// slopes continue outside it.
pub(crate) fn interpolate(table: &[(f64, f64)], at: f64) -> f64 {
    let upper = table.partition_point(|&(x, _)| x < at).clamp(1, table.len() - 1);
    let ((x0, y0), (x1, y1)) = (table[upper - 1], table[upper]);
    let share = (at / x0).ln() / (x1 / x0).ln();
    y0 * (y1 / y0).powf(share)
}
