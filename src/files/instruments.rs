//! Instruments that a vehicle carries: what each shows, once all points and
//! parts are known.

use super::builder::Builder;
use super::draft::{DraftPart, given};
use super::names::{enter, resolve};
use super::schema::*;
use crate::quantity::Ohms;
use crate::source::{Diagnostic, Span};
use crate::vehicle::*;
use std::collections::HashMap;

/// Format: last digit of a display of which nothing is said, V or A.
const USUAL_DIGIT: f64 = 0.01;

impl<'a> Builder<'_, 'a> {
    pub fn read_instruments(&mut self, entry: &mut VehicleEntry<'a>) {
        let mut parts = HashMap::new();
        for (index, seed) in self.seeds.iter().enumerate() {
            enter(&mut parts, &seed.name, PartId::new(index));
        }
        for (value, span) in entry.instruments.take() {
            match value {
                InstrumentEntry::Voltmeter { name, label, red, black, resolution, at } => {
                    let ends = (self.end_of(red), self.end_of(black));
                    let (Some(red), Some(black)) = ends else { continue };
                    if red == black {
                        let finding = Diagnostic::error(
                            self.reader.span_of(name),
                            format!("`{}` has both its wires at one point", name.text),
                            "this instrument",
                            "name the two points between which it shows the volts",
                        );
                        self.reject(span, finding);
                    }
                    let resolution = resolution.map(|volts| volts.0);
                    self.instrument(span, name, label, (red, black), None, resolution, at);
                }
                InstrumentEntry::Ammeter { name, label, through, resolution, at } => {
                    let Some(part) = resolve(self.reader, "part", through, &parts) else { continue };
                    let DraftPart { from, to, .. } = self.seeds[part.index()];
                    let resolution = resolution.map(|amps| amps.0);
                    self.instrument(span, name, label, (from, to), Some(part), resolution, at);
                }
            }
        }
    }

    #[allow(clippy::too_many_arguments)]
    fn instrument(
        &mut self,
        entry: Span,
        name: Name<'a>,
        label: Option<String>,
        (from, to): (usize, usize),
        through: Option<PartId>,
        resolution: Option<f64>,
        at: Option<Name<'a>>,
    ) {
        let span = self.taken.claim(self.reader, name);
        if self.seeds.iter().any(|seed| seed.name.eq_ignore_ascii_case(name.text))
            || self.ends.find(name.text).is_some()
        {
            let finding = Diagnostic::error(
                span,
                format!("`{}` is the name of a part or point too", name.text),
                "this instrument",
                "give it a name of its own, as it will be typed with what it shows",
            );
            self.reject(entry, finding);
        }
        let place = self.place(at);
        let instrument = FittedInstrument { through, resolution: resolution.unwrap_or(USUAL_DIGIT) };
        self.push(DraftPart {
            label,
            place,
            ..DraftPart::new(
                name.text.to_string(),
                PartKind::Instrument(instrument),
                (from, to),
                given(Ohms(crate::tables::limits::LEAST_OHMS)),
                0.0,
                span,
            )
        });
    }
}
