//! Entries to a vehicle: names resolved, ends joined, defaults filled in.
//!
//! After an error the vehicle is still put together, with something harmless
//! in the place of what is wrong: it will be checked for more errors and then
//! thrown away.

use super::locate::{entry_around, value_span};
use super::names::{Endpoints, Known, Rank, Taken, enter, report_unknown, resolve};
use super::parts::Seed;
use super::reader::wording::{out_of_bounds, shortened};
use super::reader::{Entry, Reader};
use super::schema::*;
use crate::quantity::{Amps, Minutes, Ohms, Volts};
use crate::source::{Diagnostic, Span};
use crate::tables::limits::{BOUNDS, LEAST_OHMS};
use crate::vehicle::check::{Drawn, Links};
use crate::vehicle::*;
use std::collections::{HashMap, HashSet};

/// A vehicle for checking.
pub(super) struct Built {
    pub vehicle: Vehicle,
    pub drawn: Drawn,
}

pub(super) struct Builder<'r, 'a> {
    pub reader: &'r mut Reader<'a>,
    pub taken: Taken,
    pub nominal: Volts,
    /// Where the black point is named; none without a nominal voltage.
    pub black: Option<Span>,
    pub ends: Endpoints,
    pub seeds: Vec<Seed>,
    pub controls: Vec<Control>,
    pub control_names: HashMap<String, Known<ControlId>>,
    pub relays: HashMap<String, Known<(usize, Span)>>,
    pub relay_list: Vec<RelayEntry<'a>>,
    pub relay_places: Vec<Option<PlaceId>>,
    pub plugs: HashMap<String, Known<(usize, ControlId)>>,
    pub plug_list: Vec<PlugEntry<'a>>,
    /// Place of the parts of the run being read that do not name their own.
    pub run_place: Option<PlaceId>,
    pub multicore_names: HashMap<String, Known<usize>>,
    /// Lower-case `cable.core` to positions in the lists.
    pub cores: HashMap<String, (usize, usize)>,
    pub multicores: Vec<MulticoreEntry<'a>>,
    /// Cores and pins that a run has already used, lower-case.
    pub used: HashSet<String>,
    pub gates: Vec<(usize, Name<'a>, Position)>,
    /// Contact part and its relay, to be tied to the coil once all are read.
    pub contacts: Vec<(usize, usize)>,
    /// Relay to the part that is its coil.
    pub coils: HashMap<usize, usize>,
    pub needs: Vec<(usize, Name<'a>, Volts)>,
    /// Regulated part, the control that eases it and its voltage then.
    pub eased: Vec<(usize, Name<'a>, Volts)>,
    /// Load part, the control that puts it to sleep and its current then.
    pub sleeps: Vec<(usize, Name<'a>, Amps)>,
    /// Lower-case unknown names whose likely meanings are doubtful.
    pub doubted: HashSet<String>,
    /// Some run has an end that may belong anywhere.
    pub loose: bool,
    places: Vec<Place>,
    place_names: HashMap<String, Known<PlaceId>>,
    cautions: Vec<Caution>,
}

/// Puts a vehicle together; `None` if there is nothing to check.
pub(super) fn build<'a>(entry: &VehicleEntry<'_, 'a>, reader: &mut Reader<'a>) -> Option<Built> {
    let nominal = nominal(entry, reader);
    let black = nominal.and(entry.black).map(|name| reader.span_of(name));
    let mut builder = Builder {
        reader,
        taken: Taken::default(),
        nominal: nominal.unwrap_or(Volts(12.0)),
        black,
        ends: Endpoints::default(),
        seeds: Vec::new(),
        controls: Vec::new(),
        control_names: HashMap::new(),
        relays: HashMap::new(),
        relay_list: Vec::new(),
        relay_places: Vec::new(),
        plugs: HashMap::new(),
        plug_list: Vec::new(),
        run_place: None,
        multicore_names: HashMap::new(),
        cores: HashMap::new(),
        multicores: Vec::new(),
        used: HashSet::new(),
        gates: Vec::new(),
        contacts: Vec::new(),
        coils: HashMap::new(),
        needs: Vec::new(),
        eased: Vec::new(),
        sleeps: Vec::new(),
        doubted: HashSet::new(),
        loose: false,
        places: Vec::new(),
        place_names: HashMap::new(),
        cautions: Vec::new(),
    };
    builder.read_places(entry);
    builder.read_controls(entry);
    builder.read_supplies(entry);
    builder.read_shared_things(entry);
    let runs = builder.read_runs(entry);
    builder.finish(entry, runs)
}

fn nominal(entry: &VehicleEntry<'_, '_>, reader: &mut Reader<'_>) -> Option<Volts> {
    let span = entry.nominal?;
    let text = &reader.text[span.range()];
    match text.parse::<f64>() {
        Ok(volts) if volts == 12.0 || volts == 24.0 => Some(Volts(volts)),
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
        Ok(spread) if (0.0..=1.5).contains(&spread) => spread,
        _ => {
            reader.findings.push(Diagnostic::error(
                span,
                format!("`spread` must be a number between 0 and 1.5, but is `{}`", shortened(text)),
                "this value",
                "0.35 stands for parts within a factor of two of what is drawn, nineteen times in twenty",
            ));
            0.0
        }
    }
}

fn is_bounded(key: &str, value: f64) -> bool {
    let bound = BOUNDS.iter().find(|bound| bound.key == key);
    bound.is_none_or(|bound| (bound.least..=bound.most).contains(&value))
}

impl<'a> Builder<'_, 'a> {
    /// A number within its bounds; one outside is reported, and the bound
    /// stands in for it.
    pub fn bounded(&mut self, span: Span, key: &str, value: f64) -> f64 {
        let bound = BOUNDS.iter().find(|bound| bound.key == key);
        let Some(bound) = bound.filter(|_| !is_bounded(key, value)) else {
            return value;
        };
        self.reader.spoiled.push(span);
        self.reader.findings.push(Diagnostic::error(
            value_span(self.reader.text, span, key),
            format!("`{key}` must be between {} and {} {}, but is {value}", bound.least, bound.most, bound.unit),
            "this value",
            out_of_bounds(bound, value),
        ));
        if value > bound.most { bound.most } else { bound.least }
    }

    /// The same for an entry inside another, known by a name in it.
    pub fn bounded_inside(&mut self, outer: Span, name: Name<'a>, key: &str, value: f64) -> f64 {
        if is_bounded(key, value) {
            return value;
        }
        let span = entry_around(self.reader.text, outer, self.reader.span_of(name));
        self.bounded(span, key, value)
    }

    /// A given resistance within bounds and not below the floor.
    pub fn given_ohms(&mut self, span: Span, ohms: Option<Ohms>) -> Option<Ohms> {
        ohms.map(|ohms| Ohms(self.bounded(span, "ohms", ohms.0).max(LEAST_OHMS)))
    }

    /// Reports something about an entry that spoils it.
    pub fn reject(&mut self, entry: Span, finding: Diagnostic) {
        self.reader.spoiled.push(entry);
        self.reader.findings.push(finding);
    }

    pub fn place(&mut self, name: Option<Name<'a>>) -> Option<PlaceId> {
        let name = name?;
        resolve(self.reader, "place", name, &self.place_names)
    }

    pub fn add_control(&mut self, name: &str, control: Control) -> ControlId {
        let id = ControlId::new(self.controls.len());
        self.controls.push(control);
        enter(&mut self.control_names, name, id);
        id
    }

    fn read_places(&mut self, entry: &VehicleEntry<'_, 'a>) {
        for Entry { value, span } in self.reader.entries::<PlaceEntry>(entry.list("places")) {
            let minutes = Minutes(self.bounded(span, "minutes", value.minutes.0));
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
            });
        }
        for Entry { value, span } in self.reader.entries::<CautionEntry>(entry.list("cautions")) {
            if let Some(place) = self.place(Some(value.at)) {
                self.cautions.push(Caution { hazard: value.hazard, place, text: value.text, span });
            }
        }
    }

    fn read_controls(&mut self, entry: &VehicleEntry<'_, 'a>) {
        for Entry { value, span } in self.reader.entries::<ControlEntry>(entry.list("controls")) {
            self.taken.claim(self.reader, value.name);
            let minutes = value.minutes.map(|minutes| Minutes(self.bounded(span, "minutes", minutes.0)));
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

    pub fn push(&mut self, seed: Seed) -> usize {
        self.seeds.push(seed);
        self.seeds.len() - 1
    }

    pub fn caution(&mut self, hazard: Hazard, place: PlaceId, span: Span) {
        if !self.cautions.iter().any(|known| known.hazard == hazard && known.place == place) {
            self.cautions.push(Caution { hazard, place, text: String::new(), span });
        }
    }

    fn read_shared_things(&mut self, entry: &VehicleEntry<'_, 'a>) {
        for Entry { value, .. } in self.reader.entries::<BusEntry>(entry.list("buses")) {
            self.taken.claim(self.reader, value.name);
            let place = self.place(Some(value.at));
            let end = self.ends.create(place);
            self.ends.name(end, Rank::Bus, value.name.text);
            self.ends.label(end, value.label);
        }
        for Entry { value, .. } in self.reader.entries::<PlugEntry>(entry.list("plugs")) {
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

    /// The end of that name, or a finding.
    pub fn end_of(&mut self, name: Name<'a>) -> Option<usize> {
        let found = self.ends.find(name.text);
        if found.is_none() {
            report_unknown(self.reader, "point", name, self.ends.known_names());
        }
        found
    }

    fn settle_gates(&mut self) {
        for (part, name, position) in std::mem::take(&mut self.gates) {
            if let Some(control) = resolve(self.reader, "control", name, &self.control_names) {
                self.seeds[part].gates.push((control, position));
            }
        }
    }

    /// Ties what depends on a control but is not gated by it.
    fn settle_conditions(&mut self) {
        for (part, name, set) in std::mem::take(&mut self.eased) {
            let control = resolve(self.reader, "control", name, &self.control_names);
            if let (Some(with), Some(source)) = (control, self.seeds[part].kind.regulated_mut()) {
                source.eased = Some(Eased { with, set });
            }
        }
        for (part, name, amps) in std::mem::take(&mut self.sleeps) {
            let control = resolve(self.reader, "control", name, &self.control_names);
            if let (Some(with), Some(load)) = (control, self.seeds[part].kind.load_mut()) {
                load.sleep = Some(Sleep { with, amps });
            }
        }
    }

    fn settle_needs(&mut self) {
        let mut loads = HashMap::new();
        for (index, seed) in self.seeds.iter().enumerate().filter(|(_, seed)| seed.kind.is_load()) {
            enter(&mut loads, &seed.name, PartId::new(index));
        }
        for (part, name, volts) in std::mem::take(&mut self.needs) {
            let Some(load) = resolve(self.reader, "load", name, &loads) else {
                continue;
            };
            if let Some(source) = self.seeds[part].kind.regulated_mut() {
                source.needs.push(Need { load, volts });
            }
        }
    }

    fn read_states(&mut self, entry: &VehicleEntry<'_, 'a>) -> Vec<NamedState> {
        let mut states = Vec::new();
        let mut names = HashMap::new();
        for Entry { value, .. } in self.reader.entries::<StateEntry>(entry.list("states")) {
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
