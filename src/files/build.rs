//! Entries to a vehicle: names resolved, ends joined, defaults filled in.

use super::load::{Entry, Reader};
use super::locate::{span_of, value_span};
use super::names::{Endpoints, Rank, Taken, report_unknown, resolve};
use super::parts::Seed;
use super::schema::*;
use crate::quantity::{Minutes, Ohms, Volts};
use crate::source::{Diagnostic, Span};
use crate::tables::limits::{BOUNDS, LEAST_OHMS};
use crate::tables::{Origin, Sourced, contact};
use crate::vehicle::*;
use std::collections::HashMap;

/// Largest current that a source of unstated resistance drops 0.3 V at.
const REGULATED_OHMS: Sourced<Ohms> =
    Sourced { value: Ohms(0.01), origin: Origin::Default("common practice for a regulated source") };

pub(super) struct Builder<'r, 'a> {
    pub reader: &'r mut Reader<'a>,
    pub taken: Taken,
    pub nominal: Volts,
    pub ends: Endpoints,
    pub seeds: Vec<Seed>,
    pub controls: Vec<Control>,
    pub control_names: HashMap<String, ControlId>,
    pub relays: HashMap<String, (usize, Span)>,
    pub relay_list: Vec<RelayEntry<'a>>,
    pub plugs: HashMap<String, (usize, ControlId)>,
    pub plug_list: Vec<PlugEntry<'a>>,
    pub cores: HashMap<String, (usize, usize)>,
    pub multicores: Vec<MulticoreEntry<'a>>,
    pub gates: Vec<(usize, Name<'a>, Position)>,
    /// Contact part and its relay, to be tied to the coil once all are read.
    pub contacts: Vec<(usize, usize)>,
    /// Relay to the part that is its coil.
    pub coils: HashMap<usize, usize>,
    places: Vec<Place>,
    place_names: HashMap<String, PlaceId>,
    cautions: Vec<Caution>,
    needs: Vec<(usize, Name<'a>, Volts)>,
}

/// Puts a vehicle together; `None` if it makes no sense to go on.
pub(super) fn build<'a>(entry: &VehicleEntry<'a>, reader: &mut Reader<'a>) -> Option<Vehicle> {
    let nominal = nominal(entry, reader)?;
    let mut builder = Builder {
        reader,
        taken: Taken::default(),
        nominal,
        ends: Endpoints::default(),
        seeds: Vec::new(),
        controls: Vec::new(),
        control_names: HashMap::new(),
        relays: HashMap::new(),
        relay_list: Vec::new(),
        plugs: HashMap::new(),
        plug_list: Vec::new(),
        cores: HashMap::new(),
        multicores: Vec::new(),
        gates: Vec::new(),
        contacts: Vec::new(),
        coils: HashMap::new(),
        places: Vec::new(),
        place_names: HashMap::new(),
        cautions: Vec::new(),
        needs: Vec::new(),
    };
    builder.read_places(entry);
    builder.read_controls(entry);
    builder.read_supplies(entry);
    builder.read_shared_things(entry);
    let runs = builder.read_runs(entry);
    builder.finish(entry, runs)
}

fn nominal(entry: &VehicleEntry<'_>, reader: &mut Reader<'_>) -> Option<Volts> {
    let text = entry.nominal.get_ron().trim();
    match text.parse::<f64>() {
        Ok(volts) if volts == 12.0 || volts == 24.0 => Some(Volts(volts)),
        _ => {
            reader.findings.push(Diagnostic::error(
                span_of(reader.text, text),
                format!("nominal voltage `{text}` is neither 12 nor 24"),
                "this value",
                "write `nominal: 12` or `nominal: 24`",
            ));
            None
        }
    }
}

impl<'a> Builder<'_, 'a> {
    /// Reports a number outside its bounds; says whether it is inside.
    pub fn bounded(&mut self, span: Span, key: &str, value: f64) -> bool {
        let Some(bound) = BOUNDS.iter().find(|bound| bound.key == key) else { return true };
        let inside = value.is_finite() && (bound.least..=bound.most).contains(&value);
        if !inside {
            self.reader.findings.push(Diagnostic::error(
                value_span(self.reader.text, span, key),
                format!("`{key}` must be between {} and {} {}, but is {value}", bound.least, bound.most, bound.unit),
                "this value",
                bound.slip,
            ));
        }
        inside
    }

    /// A given resistance within bounds and not below the floor.
    pub fn given_ohms(&mut self, span: Span, ohms: Option<Ohms>) -> Option<Ohms> {
        let ohms = ohms?;
        self.bounded(span, "ohms", ohms.0).then(|| Ohms(ohms.0.max(LEAST_OHMS)))
    }

    pub fn place(&mut self, name: Option<Name<'a>>) -> Option<PlaceId> {
        let name = name?;
        resolve(self.reader, "place", name, &self.place_names)
    }

    pub fn add_control(&mut self, name: &str, control: Control) -> ControlId {
        let id = ControlId::new(self.controls.len());
        self.controls.push(control);
        self.control_names.insert(name.to_lowercase(), id);
        id
    }

    fn read_places(&mut self, entry: &VehicleEntry<'a>) {
        for Entry { value, span } in self.reader.entries::<PlaceEntry<'a>>(&entry.places) {
            let name_span = span_of(self.reader.text, value.name.text);
            self.bounded(span, "minutes", value.minutes.0);
            let id = PlaceId::new(self.places.len());
            if self.place_names.insert(value.name.text.to_lowercase(), id).is_some() {
                self.reader.findings.push(Diagnostic::error(
                    name_span,
                    format!("two places are called `{}`", value.name.text),
                    "second one",
                    "give one of them another name",
                ));
            }
            self.places.push(Place {
                name: value.name.text.to_string(),
                minutes: value.minutes,
                open: value.open,
                disturbance: match value.disturbs {
                    Disturbs::No => Disturbance::None,
                    Disturbs::Slightly => Disturbance::Slight,
                    Disturbs::Yes => Disturbance::Strong,
                },
            });
        }
        for Entry { value, span } in self.reader.entries::<CautionEntry<'a>>(&entry.cautions) {
            if let Some(place) = self.place(Some(value.at)) {
                self.cautions.push(Caution { hazard: value.hazard, place, text: value.text, span });
            }
        }
    }

    fn read_controls(&mut self, entry: &VehicleEntry<'a>) {
        for Entry { value, span } in self.reader.entries::<ControlEntry<'a>>(&entry.controls) {
            self.taken.claim(self.reader, value.name);
            if let Some(minutes) = value.minutes {
                self.bounded(span, "minutes", minutes.0);
            }
            let control = Control {
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

    fn read_supplies(&mut self, entry: &VehicleEntry<'a>) {
        for Entry { value, span } in self.reader.entries::<SupplyEntry<'a>>(&entry.supplies) {
            match value {
                SupplyEntry::Battery { name, label, chemistry, ah, rest, ohms, amps, at } => {
                    self.bounded(span, "ah", ah);
                    self.bounded(span, "rest", rest.0);
                    if let Some(amps) = amps {
                        self.bounded(span, "amps", amps.0);
                    }
                    let ohms = self.given_ohms(span, Some(ohms)).unwrap_or(Ohms(LEAST_OHMS));
                    let resistance = Sourced { value: ohms, origin: Origin::Given };
                    let supply = Supply::Battery { chemistry, ampere_hours: ah, rest };
                    let place = self.place(Some(at));
                    self.add_supply(name, label, supply, resistance, place);
                    if let Some(place) = place {
                        self.caution(Hazard::Battery, place, span);
                    }
                }
                SupplyEntry::Alternator { name, label, volts, ohms, amps, runs_with, at }  => {
                    let index = self.regulated(span, name, label, volts, ohms, amps, at);
                    self.gates.push((index, runs_with, Position::On));
                }
                SupplyEntry::Solar { name, label, volts, amps, runs_with, at } => {
                    let index = self.regulated(span, name, label, volts, None, amps, at);
                    self.gates.push((index, runs_with, Position::On));
                }
                SupplyEntry::Charger { name, label, volts, ohms, amps, needs, at } => {
                    let index = self.regulated(span, name, label, volts, ohms, amps, at);
                    for need in needs {
                        self.bounded(span, "min_volts", need.min_volts.0);
                        self.needs.push((index, need.load, need.min_volts));
                    }
                }
                SupplyEntry::Bench { name, label, volts, ohms, amps, at } => {
                    self.regulated(span, name, label, volts, Some(ohms), amps, at);
                }
            }
        }
    }

    #[allow(clippy::too_many_arguments)]
    fn regulated(
        &mut self,
        span: Span,
        name: Name<'a>,
        label: Option<String>,
        volts: Volts,
        ohms: Option<Ohms>,
        amps: crate::quantity::Amps,
        at: Name<'a>,
    ) -> usize {
        self.bounded(span, "volts", volts.0);
        self.bounded(span, "amps", amps.0);
        let resistance = Sourced::given_or(self.given_ohms(span, ohms), || REGULATED_OHMS);
        let place = self.place(Some(at));
        let supply = Supply::Regulated { set: volts, limit: amps, needs: Vec::new() };
        self.add_supply(name, label, supply, resistance, place)
    }

    fn add_supply(
        &mut self,
        name: Name<'a>,
        label: Option<String>,
        supply: Supply,
        resistance: Sourced<Ohms>,
        place: Option<PlaceId>,
    ) -> usize {
        let span = self.taken.claim(self.reader, name);
        let minus = self.ends.find_or_create(&format!("{}-", name.text), Rank::Post, place);
        let plus = self.ends.find_or_create(&format!("{}+", name.text), Rank::Post, place);
        let spread = contact::spread::SOURCE;
        let kind = PartKind::Supply(supply);
        self.push(Seed { name: name.text.to_string(), label, kind, from: minus, to: plus, resistance, spread, gates: Vec::new(), place, span })
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

    fn read_shared_things(&mut self, entry: &VehicleEntry<'a>) {
        for Entry { value, .. } in self.reader.entries::<BusEntry<'a>>(&entry.buses) {
            self.taken.claim(self.reader, value.name);
            let place = self.place(Some(value.at));
            let end = self.ends.create(place);
            self.ends.name(end, Rank::Bus, value.name.text);
            self.ends.label(end, value.label);
        }
        for Entry { value, span } in self.reader.entries::<RelayEntry<'a>>(&entry.relays) {
            self.taken.claim(self.reader, value.name);
            self.given_ohms(span, value.ohms);
            if let Some(volts) = value.min_volts {
                self.bounded(span, "min_volts", volts.0);
            }
            self.relays.insert(value.name.text.to_lowercase(), (self.relay_list.len(), span));
            self.relay_list.push(value);
        }
        for Entry { value, .. } in self.reader.entries::<PlugEntry<'a>>(&entry.plugs) {
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
            self.plugs.insert(value.name.text.to_lowercase(), (self.plug_list.len(), id));
            self.plug_list.push(value);
        }
        for Entry { value, span } in self.reader.entries::<MulticoreEntry<'a>>(&entry.multicores) {
            self.taken.claim(self.reader, value.name);
            self.bounded(span, "metres", value.metres.0);
            for (index, core) in value.cores.iter().enumerate() {
                self.bounded(span, "mm2", core.mm2.0);
                let key = format!("{}.{}", value.name.text, core.name.text).to_lowercase();
                self.cores.insert(key, (self.multicores.len(), index));
            }
            self.multicores.push(value);
        }
    }

    fn finish(mut self, entry: &VehicleEntry<'a>, runs: Vec<Run>) -> Option<Vehicle> {
        self.settle_gates();
        self.settle_contacts();
        self.settle_needs();
        let black = self.end_of(entry.black);
        let chassis = entry.chassis.and_then(|name| self.end_of(name));
        let states = self.read_states(entry);
        let (points, of_end) = self.ends.into_points();
        let parts = self.seeds.into_iter().map(|seed| seed.into_part(&of_end)).collect();
        Some(Vehicle::new(VehicleParts {
            name: entry.name.text.to_string(),
            nominal: self.nominal,
            notes: entry.notes.clone(),
            cautions: self.cautions,
            places: self.places,
            controls: self.controls,
            points,
            parts,
            runs,
            states,
            black: of_end[black?],
            chassis: chassis.map(|end| of_end[end]),
        }))
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

    fn settle_contacts(&mut self) {
        for (part, relay) in std::mem::take(&mut self.contacts) {
            match self.coils.get(&relay) {
                Some(&coil) => {
                    if let PartKind::Contact { coil: slot, .. } = &mut self.seeds[part].kind {
                        *slot = PartId::new(coil);
                    }
                }
                None => {
                    let name = self.relay_list[relay].name;
                    self.reader.findings.push(Diagnostic::error(
                        self.seeds[part].span,
                        format!("relay `{}` has a contact but no coil", name.text),
                        "this contact never moves",
                        format!("put `Coil(of: \"{}\")` into the run that works it", name.text),
                    ));
                }
            }
        }
    }

    fn settle_needs(&mut self) {
        let loads: HashMap<String, PartId> = self
            .seeds
            .iter()
            .enumerate()
            .filter(|(_, seed)| matches!(seed.kind, PartKind::Load { .. }))
            .map(|(index, seed)| (seed.name.to_lowercase(), PartId::new(index)))
            .collect();
        for (part, name, volts) in std::mem::take(&mut self.needs) {
            let Some(load) = resolve(self.reader, "load", name, &loads) else { continue };
            if let PartKind::Supply(Supply::Regulated { needs, .. }) = &mut self.seeds[part].kind {
                needs.push(Need { load, volts });
            }
        }
    }

    fn read_states(&mut self, entry: &VehicleEntry<'a>) -> Vec<NamedState> {
        let entries = self.reader.entries::<StateEntry<'a>>(&entry.states);
        let mut states = Vec::new();
        for Entry { value, .. } in entries {
            let mut settings = Vec::new();
            for (names, position) in [(&value.on, Position::On), (&value.off, Position::Off)] {
                for &name in names {
                    settings.extend(resolve(self.reader, "control", name, &self.control_names).map(|id| (id, position)));
                }
            }
            states.push(NamedState { name: value.name.text.to_string(), label: value.label, settings });
        }
        states
    }
}
