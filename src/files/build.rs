//! Entries to a vehicle: names resolved, ends joined, defaults filled in.
//!
//! After an error the vehicle is still put together, with something harmless
//! in the place of what is wrong: it will be checked for more errors and then
//! thrown away.

use super::builder::Builder;
use super::names::{Rank, enter, resolve};
use super::reader::wording::shortened;
use super::reader::{Located, Reader};
use super::schema::*;
use crate::quantity::{Minutes, NOMINAL, TWELVE_VOLTS, Volts};
use crate::source::Diagnostic;
use crate::vehicle::check::{Drawn, Links};
use crate::vehicle::*;
use std::collections::HashMap;

/// Format: largest standard deviation of ln(resistance) that a file may give.
const MOST_SPREAD: f64 = 1.5;

/// A vehicle for checking.
pub(super) struct Built {
    pub vehicle: Vehicle,
    pub drawn: Drawn,
}

/// Puts a vehicle together; `None` if there is nothing to check.
pub(super) fn build<'a>(entry: &VehicleEntry<'_, 'a>, reader: &mut Reader<'a>) -> Option<Built> {
    let nominal = nominal(entry, reader);
    let black = nominal.and(entry.black).map(|name| reader.span_of(name));
    let mut builder = Builder::new(reader, nominal.unwrap_or(TWELVE_VOLTS), black);
    builder.read_places(entry);
    builder.read_controls(entry);
    builder.read_supplies(entry);
    builder.read_shared_things(entry);
    let runs = builder.read_runs(entry);
    builder.read_instruments(entry);
    builder.finish(entry, runs)
}

fn nominal(entry: &VehicleEntry<'_, '_>, reader: &mut Reader<'_>) -> Option<Volts> {
    let span = entry.nominal?;
    let text = &reader.text[span.range()];
    match text.parse::<f64>() {
        Ok(volts) if NOMINAL.contains(&Volts(volts)) => Some(Volts(volts)),
        _ => {
            reader.spoiled.push(span);
            reader.findings.push(Diagnostic::error(
                span,
                format!("`nominal` must be 12 or 24, but is `{}`", shortened(text)),
                "this value",
                "write `nominal: 12` or `nominal: 24`; the voltage of a full battery goes into its `rest`",
            ));
            None
        }
    }
}

/// The least spread of every part: none, if the file gives none.
fn spread(entry: &VehicleEntry<'_, '_>, reader: &mut Reader<'_>) -> f64 {
    let Some(span) = entry.spread else { return 0.0 };
    let text = &reader.text[span.range()];
    match text.parse::<f64>() {
        Ok(spread) if (0.0..=MOST_SPREAD).contains(&spread) => spread,
        _ => {
            reader.findings.push(Diagnostic::error(
                span,
                format!("`spread` must be a number between 0 and {MOST_SPREAD}, but is `{}`", shortened(text)),
                "this value",
                "0.35 stands for parts within a factor of two of what is drawn, nineteen times in twenty",
            ));
            0.0
        }
    }
}

impl<'a> Builder<'_, 'a> {
    fn read_places(&mut self, entry: &VehicleEntry<'_, 'a>) {
        for Located { value, span } in self.reader.entries::<PlaceEntry>(entry.list("places")) {
            let minutes = self.bounded(span, "minutes", value.minutes);
            let id = PlaceId::new(self.places.len());
            if enter(&mut self.place_names, value.name.text, id).is_some() {
                self.reader.findings.push(Diagnostic::error(
                    self.reader.span_of(value.name),
                    format!("two places are called `{}`", value.name.text),
                    "second one",
                    "give one of them another name",
                ));
            }
            self.places.push(Place {
                name: value.name.text.to_string(),
                minutes,
                open: value.open,
                disturbance: match value.disturbs {
                    Disturbs::No => Disturbance::None,
                    Disturbs::Slightly => Disturbance::Slight,
                    Disturbs::Yes => Disturbance::Strong,
                },
                lets_probes_in: value.probes == Probes::Fit,
            });
        }
        for Located { value, span } in self.reader.entries::<CautionEntry>(entry.list("cautions")) {
            if let Some(place) = self.place(Some(value.at)) {
                self.cautions.push(Caution { hazard: value.hazard, place, text: value.text, span });
            }
        }
    }

    fn read_controls(&mut self, entry: &VehicleEntry<'_, 'a>) {
        for Located { value, span } in self.reader.entries::<ControlEntry>(entry.list("controls")) {
            self.taken.claim(self.reader, value.name);
            let minutes = value.minutes.map(|minutes| self.bounded(span, "minutes", minutes));
            let control = Control {
                name: value.name.text.to_string(),
                label: value.label,
                kind: ControlKind::Condition,
                rest: value.rest.unwrap_or(Position::Off),
                minutes: minutes.unwrap_or(Minutes(0.5)),
                place: None,
            };
            self.add_control(value.name.text, control);
        }
    }

    fn read_shared_things(&mut self, entry: &VehicleEntry<'_, 'a>) {
        for Located { value, .. } in self.reader.entries::<BusEntry>(entry.list("buses")) {
            self.taken.claim(self.reader, value.name);
            let place = self.place(Some(value.at));
            let end = self.ends.create(place);
            self.ends.name(end, Rank::Bus, value.name.text);
            self.ends.label(end, value.label);
        }
        for Located { value, .. } in self.reader.entries::<PlugEntry>(entry.list("plugs")) {
            self.taken.claim(self.reader, value.name);
            let place = self.place(Some(value.at));
            let control = Control {
                name: value.name.text.to_string(),
                label: value.label.clone().unwrap_or_else(|| format!("plug {}", value.name.text)),
                kind: ControlKind::Plug,
                rest: value.rest.unwrap_or(Position::On),
                minutes: Minutes(1.0),
                place,
            };
            let id = self.add_control(value.name.text, control);
            enter(&mut self.plugs, value.name.text, (self.plug_list.len(), id));
            self.plug_list.push(value);
        }
        self.read_relays(entry);
        self.read_multicores(entry);
    }

    fn finish(mut self, entry: &VehicleEntry<'_, 'a>, runs: Vec<Run>) -> Option<Built> {
        self.settle_gates();
        self.settle_conditions();
        self.settle_contacts();
        self.settle_needs();
        let black = entry.black.and_then(|name| self.end_of(name));
        let chassis = entry.chassis.and_then(|name| self.end_of(name));
        let states = self.read_states(entry);
        let (points, of_end, doubtful) = self.ends.into_points();
        let spread = spread(entry, self.reader);
        let wider = |mut part: Part| {
            part.spread = part.spread.max(spread);
            part
        };
        let parts = self.seeds.into_iter().map(|seed| wider(seed.into_part(&of_end))).collect();
        let vehicle = Vehicle::new(VehicleParts {
            name: entry.name.map_or_else(String::new, |name| name.text.to_string()),
            nominal: self.nominal,
            notes: entry.notes.clone(),
            cautions: self.cautions,
            places: self.places,
            controls: self.controls,
            // Without a black point the first one stands in.
            black: of_end.get(black.unwrap_or(0)).copied()?,
            points,
            parts,
            runs,
            states,
            chassis: chassis.map(|end| of_end[end]),
        });
        let links = if self.loose || self.reader.has_lost("point") { Links::Lost } else { Links::Known };
        let black = self.black.filter(|_| black.is_some());
        Some(Built { vehicle, drawn: Drawn { doubtful, links, black } })
    }

    fn read_states(&mut self, entry: &VehicleEntry<'_, 'a>) -> Vec<NamedState> {
        let mut states = Vec::new();
        let mut names = HashMap::new();
        for Located { value, .. } in self.reader.entries::<StateEntry>(entry.list("states")) {
            if enter(&mut names, value.name.text, ()).is_some() {
                self.reader.findings.push(Diagnostic::error(
                    self.reader.span_of(value.name),
                    format!("two states are called `{}`", value.name.text),
                    "second one",
                    "give one of them another name",
                ));
            }
            let settings = self.settings(&value);
            states.push(NamedState { name: value.name.text.to_string(), label: value.label, settings });
        }
        states
    }

    fn settings(&mut self, state: &StateEntry<'a>) -> Vec<(ControlId, Position)> {
        let mut settings: Vec<(ControlId, Position)> = Vec::new();
        for (names, position) in [(&state.on, Position::On), (&state.off, Position::Off)] {
            for &name in names {
                let Some(control) = resolve(self.reader, "control", name, &self.control_names) else {
                    continue;
                };
                if settings.contains(&(control, position.opposite())) {
                    self.reader.findings.push(Diagnostic::error(
                        self.reader.span_of(name),
                        format!("state `{}` sets `{}` both on and off", state.name.text, name.text),
                        "second one",
                        "keep one of them",
                    ));
                }
                settings.push((control, position));
            }
        }
        settings
    }
}
