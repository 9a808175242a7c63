//! Entries to a vehicle: names resolved, ends joined, defaults filled in.
//!
//! After an error the vehicle is still put together, with something harmless
//! in the place of what is wrong: it will be checked for more errors and then
//! thrown away.

use super::builder::Builder;
use super::names::{Rank, called_twice, enter, resolve};
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
pub(super) fn build<'a>(mut entry: VehicleEntry<'a>, reader: &mut Reader<'a>) -> Option<Built> {
    let nominal = nominal(entry.nominal, reader);
    let black = nominal.and(entry.black.value).map(|name| reader.span_of(name));
    if let (Some([]), Some(span)) = (entry.supplies.value.as_deref(), entry.supplies.span) {
        let headline = "expected a supply in this vehicle, but found none";
        reader.findings.push(Diagnostic::error(span, headline, "empty", "add a `Battery` or another supply"));
        // Every post would be unknown.
        reader.lost.push("supplies");
    }
    check_differences(&entry, reader);
    if entry.feeds.take().next().is_some() {
        // One that could not be written out: its parts are missing.
        reader.lost.push("feeds");
    }
    let mut builder = Builder::new(reader, nominal.unwrap_or(TWELVE_VOLTS), black);
    builder.read_places(&mut entry);
    builder.read_controls(&mut entry);
    builder.read_supplies(&mut entry);
    builder.read_shared_things(&mut entry);
    let runs = builder.read_runs(&mut entry);
    builder.read_instruments(&mut entry);
    builder.finish(entry, runs)
}

/// Differences are of a master.
fn check_differences(entry: &VehicleEntry<'_>, reader: &mut Reader<'_>) {
    let spans = [entry.changed.span, entry.left_out.span].into_iter().flatten();
    if let (Some(span), None) = (spans.min_by_key(|span| span.start), entry.master.span) {
        let headline = "expected a `master` that this is changed or left out of, but found none";
        let help = "name the file of the other vehicle, such as `master: \"van.ron\"`";
        reader.findings.push(Diagnostic::error(span, headline, "of what?", help));
    }
}

fn nominal(given: Located<f64>, reader: &mut Reader<'_>) -> Option<Volts> {
    let (volts, span) = given.read()?;
    if NOMINAL.contains(&Volts(volts)) {
        return Some(Volts(volts));
    }
    reader.spoiled.push(span);
    reader.findings.push(Diagnostic::error(
        span,
        format!("`nominal` must be 12 or 24, but is {volts}"),
        "this value",
        "write `nominal: 12` or `nominal: 24`; the voltage of a full battery goes into its `rest`",
    ));
    None
}

/// The least spread of every part: none, if the file gives none.
fn spread(given: Located<f64>, reader: &mut Reader<'_>) -> f64 {
    let Some((spread, span)) = given.read() else { return 0.0 };
    if !(0.0..=MOST_SPREAD).contains(&spread) {
        reader.findings.push(Diagnostic::error(
            span,
            format!("`spread` must be a number between 0 and {MOST_SPREAD}, but is {spread}"),
            "this value",
            "0.35 stands for parts within a factor of two of what is drawn, nineteen times in twenty",
        ));
    }
    spread
}

impl<'a> Builder<'_, 'a> {
    fn read_places(&mut self, entry: &mut VehicleEntry<'a>) {
        for (value, _) in entry.places.take() {
            let id = PlaceId::new(self.places.len());
            if enter(&mut self.place_names, value.name.text, id).is_some() {
                let place = self.reader.span_of(value.name);
                self.reader.findings.push(called_twice("places", value.name, place));
            }
            self.places.push(Place {
                name: value.name.text.to_string(),
                minutes: value.minutes,
                open: value.open.unwrap_or_else(|| format!("get at the {}", value.name.text)),
                disturbance: match value.disturbs {
                    Disturbs::No => Disturbance::None,
                    Disturbs::Slightly => Disturbance::Slight,
                    Disturbs::Yes => Disturbance::Strong,
                },
                lets_probes_in: value.probes == Probes::Fit,
            });
        }
        for (value, span) in entry.cautions.take() {
            if let Some(place) = self.place(Some(value.at)) {
                self.cautions.push(Caution { hazard: value.hazard, place, text: value.text, span });
            }
        }
    }

    fn read_controls(&mut self, entry: &mut VehicleEntry<'a>) {
        for (value, _) in entry.controls.take() {
            self.taken.claim(self.reader, value.name);
            let control = Control {
                is_bolted: false,
                name: value.name.text.to_string(),
                label: value.label,
                kind: ControlKind::Condition,
                rest: value.rest.unwrap_or(Position::Off),
                minutes: value.minutes.unwrap_or(Minutes(0.5)),
                place: None,
            };
            self.add_control(value.name.text, control);
        }
    }

    fn read_shared_things(&mut self, entry: &mut VehicleEntry<'a>) {
        for (value, _) in entry.buses.take() {
            self.taken.claim(self.reader, value.name);
            let place = self.place(Some(value.at));
            let end = self.ends.create(place);
            self.ends.name(end, Rank::Bus, value.name.text);
            self.ends.label(end, value.label);
            self.ends.mark(end, Markings { note: value.note, picture: value.picture, ..Markings::default() });
        }
        for (value, _) in entry.plugs.take() {
            self.taken.claim(self.reader, value.name);
            let place = self.place(Some(value.at));
            let control = Control {
                is_bolted: false,
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

    fn finish(mut self, mut entry: VehicleEntry<'a>, runs: Vec<Run>) -> Option<Built> {
        self.settle_gates();
        self.settle_conditions();
        self.settle_contacts();
        self.check_relays();
        self.settle_needs();
        let black = entry.black.value.and_then(|name| self.end_of(name));
        let chassis = entry.chassis.value.and_then(|name| self.end_of(name));
        let states = self.read_states(&mut entry);
        let (points, of_end, doubtful) = self.ends.into_points();
        let spread = spread(entry.spread, self.reader);
        let wider = |mut part: Part| {
            part.spread = part.spread.max(spread);
            part
        };
        let parts = self.seeds.into_iter().map(|seed| wider(seed.into_part(&of_end))).collect();
        let vehicle = Vehicle::new(VehicleParts {
            name: entry.name.value.map_or_else(String::new, |name| name.text.to_string()),
            nominal: self.nominal,
            notes: entry.notes.take().map(|(note, _)| note).collect(),
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
            leads: entry.leads_metres.value,
        });
        let links = if self.loose || self.reader.has_lost("point") { Links::Lost } else { Links::Known };
        let black = self.black.filter(|_| black.is_some());
        Some(Built { vehicle, drawn: Drawn { doubtful, links, black } })
    }

    fn read_states(&mut self, entry: &mut VehicleEntry<'a>) -> Vec<NamedState> {
        let mut states = Vec::new();
        let mut names = HashMap::new();
        for (value, _) in entry.states.take() {
            if enter(&mut names, value.name.text, ()).is_some() {
                let place = self.reader.span_of(value.name);
                self.reader.findings.push(called_twice("states", value.name, place));
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
