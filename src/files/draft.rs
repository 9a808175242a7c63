//! A part while its vehicle is being put together.

use crate::quantity::Ohms;
use crate::source::Span;
use crate::tables::limits::LEAST_OHMS;
use crate::tables::{Origin, Sourced};
use crate::vehicle::{BundleId, ControlId, Markings, Part, PartKind, PlaceId, PointId, Position};

/// A part before its ends have become points.
pub struct DraftPart {
    pub name: String,
    pub label: Option<String>,
    pub kind: PartKind,
    pub from: usize,
    pub to: usize,
    pub resistance: Sourced<Ohms>,
    pub spread: f64,
    pub gates: Vec<(ControlId, Position)>,
    pub place: Option<PlaceId>,
    pub bundle: Option<BundleId>,
    pub marks: Markings,
    pub usual: Vec<String>,
    pub span: Span,
}

impl DraftPart {
    /// Without label, gates, place and bundle.
    pub fn new(
        name: String,
        kind: PartKind,
        (from, to): (usize, usize),
        resistance: Sourced<Ohms>,
        spread: f64,
        span: Span,
    ) -> Self {
        let (label, gates, place, bundle) = (None, Vec::new(), None, None);
        let (marks, usual) = (Markings::default(), Vec::new());
        Self { name, label, kind, from, to, resistance, spread, gates, place, bundle, marks, usual, span }
    }

    pub fn into_part(self, of_end: &[PointId]) -> Part {
        Part {
            name: self.name,
            label: self.label,
            kind: self.kind,
            from: of_end[self.from],
            to: of_end[self.to],
            resistance: self.resistance,
            spread: self.spread,
            gates: self.gates,
            place: self.place,
            bundle: self.bundle,
            marks: self.marks,
            usual: self.usual,
            span: self.span,
        }
    }
}

pub const fn given(ohms: Ohms) -> Sourced<Ohms> {
    Sourced { value: ohms, origin: Origin::Given }
}

/// What is given or else usual, not below the floor.
pub fn resistance(given: Option<Ohms>, usual: impl FnOnce() -> Sourced<Ohms>) -> Sourced<Ohms> {
    let Sourced { value, origin } = Sourced::given_or(given, usual);
    Sourced { value: value.max(Ohms(LEAST_OHMS)), origin }
}
