//! A network: branches between points, each with its law.

use super::law::Law;
use crate::quantity::{Volts, Watts};

/// A branch between two points; positive current runs from the first to the second.
#[derive(Debug, Clone, PartialEq)]
pub struct Branch {
    /// Index of the first point.
    pub from: usize,
    /// Index of the second point.
    pub to: usize,
    /// Current at a voltage.
    pub law: Law,
}

/// Points, branches, and the point that voltages are counted from.
#[derive(Debug, Clone, PartialEq)]
pub struct Network {
    /// Number of points.
    pub points: usize,
    /// Branches, in part order, then leads that a test adds.
    pub branches: Vec<Branch>,
    /// Index of the point at 0 V.
    pub reference: usize,
    /// What draws as much as something else gives.
    pub converters: Vec<Converter>,
}

/// A load that draws what a source gives.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Converter {
    /// Index of the branch that draws.
    pub input: usize,
    /// Index of the branch that gives; one input may have several.
    pub output: usize,
    /// What comes out as a share of what goes in.
    pub efficiency: f64,
    /// What the input takes for itself.
    pub idle: Watts,
    /// What the input must have.
    pub least: Volts,
}

impl Network {
    /// What an input feeds.
    pub fn feeds(&self, input: usize) -> impl Iterator<Item = &Converter> {
        self.converters.iter().filter(move |converter| converter.input == input)
    }
}
