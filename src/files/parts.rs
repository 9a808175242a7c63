//! What each kind of part becomes: its points, its resistance, its controls.

use super::builder::Builder;
use super::draft::{DraftPart, given, resistance};
use super::names::Rank;
use super::schema::*;
use crate::quantity::{Amps, Celsius, Metres, Minutes, Ohms, SquareMillimetres, Volts, Watts};
use crate::source::{Diagnostic, Span};
use crate::tables::ampacity::{Laying, Surroundings};
use crate::tables::conductor::{self, ConductorSize};
use crate::tables::contact::spread;
use crate::tables::limits::LEAST_OHMS;
use crate::tables::{Sourced, fuse};
use crate::vehicle::*;

impl<'a> Builder<'_, 'a> {
    /// The place a part must have; a missing one is reported.
    pub fn placed(&mut self, name: Name<'a>, at: Option<Name<'a>>, entry: Span) -> PlaceId {
        let stand_in = PlaceId::new(0);
        if at.is_some() {
            return self.place(at).unwrap_or(stand_in);
        }
        self.run_place.unwrap_or_else(|| {
            self.reject(
                entry,
                Diagnostic::error(
                    self.reader.span_of(name),
                    format!("`{}` has no place", name.text),
                    "where does a probe find it?",
                    "add `at: \"…\"` to its run, or to each part of it but cables",
                ),
            );
            // Once for the whole run.
            self.run_place = Some(stand_in);
            stand_in
        })
    }

    pub fn hand_control(
        &mut self,
        name: Name<'a>,
        label: Option<String>,
        kind: ControlKind,
        rest: Position,
        place: Option<PlaceId>,
    ) -> ControlId {
        let label = label.unwrap_or_else(|| name.text.to_string());
        // From: common practice, no source.
        let minutes = Minutes(match kind {
            ControlKind::Fuse => 0.5,
            ControlKind::Plug => 1.0,
            ControlKind::Switch | ControlKind::Calling | ControlKind::Condition | ControlKind::Sensed => 0.2,
            // No file draws one.
            ControlKind::Aid(_) => 0.0,
        });
        self.add_control(
            name.text,
            Control { name: name.text.to_string(), label, kind, rest, minutes, is_bolted: false, place },
        )
    }

    /// A part whose points are `NAME.in` and `NAME.out`.
    pub fn two_ended(
        &mut self,
        name: Name<'a>,
        kind: PartKind,
        resistance: Sourced<Ohms>,
        spread: f64,
        gates: Vec<(ControlId, Position)>,
        place: Option<PlaceId>,
    ) -> (usize, usize) {
        let span = self.taken.claim(self.reader, name);
        self.in_and_out(name.text, None, kind, resistance, spread, gates, place, span)
    }

    #[allow(clippy::too_many_arguments)]
    pub fn in_and_out(
        &mut self,
        name: &str,
        label: Option<String>,
        kind: PartKind,
        resistance: Sourced<Ohms>,
        spread: f64,
        gates: Vec<(ControlId, Position)>,
        place: Option<PlaceId>,
        span: Span,
    ) -> (usize, usize) {
        let rank = if place.is_none() { Rank::Cable } else { Rank::Device };
        let (from, to) = (self.ends.create(place), self.ends.create(place));
        self.ends.name(from, rank, &format!("{name}.in"));
        self.ends.name(to, rank, &format!("{name}.out"));
        self.push(DraftPart {
            label,
            gates,
            place,
            ..DraftPart::new(name.to_string(), kind, (from, to), resistance, spread, span)
        });
        (from, to)
    }

    pub fn fuse(
        &mut self,
        name: Name<'a>,
        rating: Amps,
        style: fuse::FuseStyle,
        (ohms, holder): (Option<Ohms>, Option<Ohms>),
        tabs: PlaceId,
        terminals: PlaceId,
    ) -> (usize, usize) {
        let span = self.taken.claim(self.reader, name);
        let control = self.hand_control(name, None, ControlKind::Fuse, Position::On, Some(tabs));
        if fuse::is_bolted(style, rating) {
            let under_nuts = &mut self.controls[control.index()];
            (under_nuts.is_bolted, under_nuts.minutes) = (true, fuse::UNDER_NUTS);
        }
        let points = [("in", terminals), ("a", tabs), ("b", tabs), ("out", terminals)].map(|(suffix, place)| {
            let end = self.ends.create(Some(place));
            self.ends.name(end, Rank::Device, &format!("{}.{suffix}", name.text));
            end
        });
        let element = Sourced::given_or(ohms, || fuse::element(style, rating));
        let holder = resistance(holder, || fuse::holder_contact(style));
        let pieces = [
            (format!("{}/in", name.text), Some("input contact of its holder"), PartKind::HolderContact, holder),
            (name.text.to_string(), None, PartKind::Fuse { rating }, element),
            (format!("{}/out", name.text), Some("output contact of its holder"), PartKind::HolderContact, holder),
        ];
        for (index, (piece, label, kind, resistance)) in pieces.into_iter().enumerate() {
            let is_element = kind.is_fuse();
            self.push(DraftPart {
                label: label.map(str::to_string),
                gates: if is_element { vec![(control, Position::On)] } else { Vec::new() },
                place: Some(if is_element { tabs } else { terminals }),
                ..DraftPart::new(
                    piece,
                    kind,
                    (points[index], points[index + 1]),
                    resistance,
                    if is_element { spread::FUSE } else { spread::CONTACT },
                    span,
                )
            });
        }
        (points[0], points[3])
    }

    pub fn size(
        &mut self,
        name: Name<'a>,
        mm2: Option<SquareMillimetres>,
        awg: Option<i32>,
        entry: Span,
    ) -> ConductorSize {
        match (mm2, awg) {
            (Some(area), None) => ConductorSize::Metric(area),
            (None, Some(gauge)) => ConductorSize::Gauge(f64::from(gauge) as i32),
            (given, _) => {
                let found = if given.is_some() { "but has two" } else { "but has none" };
                self.reject(
                    entry,
                    Diagnostic::error(
                        self.reader.span_of(name),
                        format!("cable `{}` needs one size, {found}", name.text),
                        "this cable",
                        "give either `mm2: …` or `awg: …`",
                    ),
                );
                // Format: it is reported; any size will do.
                ConductorSize::Metric(SquareMillimetres(2.5))
            }
        }
    }

    pub fn cable(
        &mut self,
        name: Name<'a>,
        length: Metres,
        size: ConductorSize,
        warmth: Celsius,
        laying: Laying,
        ohms: Option<Ohms>,
    ) -> (usize, usize) {
        let resistance = resistance(ohms, || conductor::cable(size, length, warmth));
        let kind = PartKind::Cable(Cable { length, area: size.area(), around: Surroundings::new(laying, warmth) });
        self.two_ended(name, kind, resistance, spread::CABLE, Vec::new(), None)
    }

    /// The current of a load at its rated voltage.
    pub fn current(
        &mut self,
        name: Name<'a>,
        amps: Option<Amps>,
        watts: Option<Watts>,
        ohms: Option<Ohms>,
        rated: Volts,
        entry: Span,
    ) -> Amps {
        match (amps, watts, ohms) {
            (Some(amps), None, None) => amps,
            (None, Some(watts), None) => watts / rated,
            (None, None, Some(ohms)) => rated / ohms.max(Ohms(LEAST_OHMS)),
            (None, None, None) => self.unsized_load(name, entry, "has none"),
            _ => self.unsized_load(name, entry, "has several"),
        }
    }

    fn unsized_load(&mut self, name: Name<'a>, entry: Span, found: &str) -> Amps {
        self.reject(
            entry,
            Diagnostic::error(
                self.reader.span_of(name),
                format!("load `{}` needs one size, but {found}", name.text),
                "this load",
                "give exactly one of `amps`, `watts` and `ohms`",
            ),
        );
        Amps(1.0)
    }

    pub fn load(
        &mut self,
        name: Name<'a>,
        label: String,
        load: Load,
        gates: Vec<(ControlId, Position)>,
        place: PlaceId,
    ) -> (usize, usize) {
        let span = self.taken.claim(self.reader, name);
        let ohms = load.behaviour.ohms_at(load.rated);
        let (from, to) = (self.ends.create(Some(place)), self.ends.create(Some(place)));
        for (end, main, alias) in [(from, "+", ".in"), (to, "-", ".out")] {
            self.ends.name(end, Rank::Device, &format!("{}{main}", name.text));
            self.ends.name(end, Rank::Alias, &format!("{}{alias}", name.text));
        }
        self.push(DraftPart {
            label: Some(label),
            gates,
            place: Some(place),
            ..DraftPart::new(name.text.to_string(), PartKind::Load(load), (from, to), given(ohms), spread::LOAD, span)
        });
        (from, to)
    }
}
