//! Runs and the parts in them.

use super::build::Builder;
use super::load::Entry;
use super::locate::span_of;
use super::names::{Rank, resolve};
use super::schema::*;
use crate::quantity::{Amps, Celsius, Metres, Minutes, Ohms, SquareMillimetres, Volts};
use crate::source::{Diagnostic, Span};
use crate::tables::ampacity::Laying;
use crate::tables::conductor::{self, Size};
use crate::tables::contact::{self, PinStyle, SwitchStyle, spread};
use crate::tables::limits::{CRITICAL_DROP, LEAST_OHMS, ORDINARY_DROP};
use crate::tables::{Origin, Sourced, fuse};
use crate::vehicle::*;

/// A part before its ends have become points.
pub struct Seed {
    pub name: String,
    pub label: Option<String>,
    pub kind: PartKind,
    pub from: usize,
    pub to: usize,
    pub resistance: Sourced<Ohms>,
    pub spread: f64,
    pub gates: Vec<(ControlId, Position)>,
    pub place: Option<PlaceId>,
    pub span: Span,
}

impl Seed {
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
            span: self.span,
        }
    }
}

const fn given(ohms: Ohms) -> Sourced<Ohms> {
    Sourced { value: ohms, origin: Origin::Given }
}

/// Where a part stands while it is being read.
#[derive(Clone, Copy)]
struct Site {
    span: Span,
    default_place: Option<PlaceId>,
}

impl<'a> Builder<'_, 'a> {
    pub fn read_runs(&mut self, entry: &VehicleEntry<'a>) -> Vec<Run> {
        let mut runs = Vec::new();
        let mut links = Vec::new();
        let mut names = std::collections::HashMap::new();
        for Entry { value, span } in self.reader.entries::<RunEntry<'a>>(&entry.runs) {
            let name_span = span_of(self.reader.text, value.name.text);
            if let Some(first) = names.insert(value.name.text, name_span) {
                let headline = format!("two runs are called `{}`", value.name.text);
                let finding = Diagnostic::error(name_span, headline, "second one", "give one of them another name");
                self.reader.findings.push(finding.with_also(first, "first one"));
            }
            let first_part = self.seeds.len();
            let ends = self.read_run(&value);
            links.push((value.from, value.to, ends));
            runs.push(Run {
                name: value.name.text.to_string(),
                label: value.label.unwrap_or_else(|| value.name.text.to_string()),
                parts: (first_part..self.seeds.len()).map(PartId::new).collect(),
                span,
            });
        }
        // Only now are all points known that a run may start from.
        for (from, to, ends) in links {
            let (from, to) = (self.end_of(from), to.and_then(|name| self.end_of(name)));
            if let Some((first, last)) = ends {
                from.into_iter().for_each(|point| self.ends.join(point, first));
                to.into_iter().for_each(|point| self.ends.join(point, last));
            }
        }
        runs
    }

    /// Reads the parts of a run in order; the ends are those of the whole run.
    fn read_run(&mut self, run: &RunEntry<'a>) -> Option<(usize, usize)> {
        let default_place = self.place(run.at);
        let mut ends: Option<(usize, usize)> = None;
        for Entry { value, span } in self.reader.entries::<PartEntry<'a>>(&run.parts) {
            let Some((start, stop)) = self.read_part(value, Site { span, default_place }) else { continue };
            ends = Some(match ends {
                Some((first, last)) => {
                    self.ends.join(last, start);
                    (first, stop)
                }
                None => (start, stop),
            });
        }
        ends
    }

    fn read_part(&mut self, part: PartEntry<'a>, site: Site) -> Option<(usize, usize)> {
        match part {
            PartEntry::Fuse { name, amps, style, ohms, at, back } => {
                self.bounded(site.span, "amps", amps.0);
                let ohms = self.given_ohms(site.span, ohms);
                let tabs = self.place(at).or(site.default_place);
                let terminals = self.place(back).or(tabs);
                self.fuse(name, amps, style, ohms, tabs, terminals)
            }
            PartEntry::Breaker { name, amps, ohms, at } => {
                self.bounded(site.span, "amps", amps.0);
                let resistance = self.resistance(site, ohms, || contact::breaker(amps.0));
                let place = self.placed(name, at, site)?;
                let control = self.hand_control(name, None, ControlKind::Switch, Position::On, Some(place));
                let gates = vec![(control, Position::On)];
                self.two_ended(name, PartKind::Breaker { rating: amps }, resistance, spread::CONTACT, gates, Some(place))
            }
            PartEntry::Cable { name, metres, mm2, awg, celsius, laying, ohms } => {
                let length = self.bounded(site.span, "metres", metres.0).then_some(metres);
                let size = self.size(name, mm2, awg, site);
                if let Some(temperature) = celsius {
                    self.bounded(site.span, "celsius", temperature.0);
                }
                let ohms = self.given_ohms(site.span, ohms);
                self.cable(name, name.text, length?, size?, celsius, laying, ohms)
            }
            PartEntry::Core { of, core } => self.core(of, core),
            PartEntry::Joint { name, style, ohms, at } => {
                let resistance = self.resistance(site, ohms, || contact::joint(style));
                let place = self.placed(name, at, site)?;
                self.two_ended(name, PartKind::Joint, resistance, spread::CONTACT, Vec::new(), Some(place))
            }
            PartEntry::Pin { of, pin, ohms } => self.pin(of, pin, ohms, site),
            PartEntry::Switch { name, label, style, rest, works_with, closed, ohms, at } => {
                let resistance = self.resistance(site, ohms, || contact::switch(style));
                let place = self.placed(name, at, site)?;
                let closed = closed.unwrap_or(Position::On);
                let own = match works_with {
                    Some(_) => None,
                    None => {
                        let kind = match style {
                            SwitchStyle::Pressure | SwitchStyle::Thermostat => ControlKind::Sensed,
                            _ => ControlKind::Switch,
                        };
                        let rest = rest.unwrap_or(Position::Off);
                        Some(self.hand_control(name, label.clone(), kind, rest, None))
                    }
                };
                let gates = own.map(|control| (control, closed)).into_iter().collect();
                let ends = self.two_ended(name, PartKind::Switch, resistance, spread::CONTACT, gates, Some(place));
                let index = self.seeds.len() - 1;
                self.seeds[index].label = label;
                if let Some(control) = works_with {
                    self.gates.push((index, control, closed));
                }
                ends
            }
            PartEntry::Isolator { name, label, style, rest, ohms, at } => {
                let resistance = self.resistance(site, ohms, || contact::isolator(style));
                let place = self.placed(name, at, site)?;
                let rest = rest.unwrap_or(Position::On);
                let control = self.hand_control(name, label.clone(), ControlKind::Switch, rest, Some(place));
                let gates = vec![(control, Position::On)];
                let ends = self.two_ended(name, PartKind::Isolator, resistance, spread::CONTACT, gates, Some(place));
                let index = self.seeds.len() - 1;
                self.seeds[index].label = label;
                ends
            }
            PartEntry::Contact { of, rest, amps, ohms } => self.contact(of, rest, amps, ohms, site),
            PartEntry::Coil { of } => self.coil(of),
            PartEntry::Shunt { name, ohms, at } => {
                let resistance = self.resistance(site, Some(ohms), || given(Ohms(LEAST_OHMS)));
                let place = self.placed(name, at, site)?;
                self.two_ended(name, PartKind::Shunt, resistance, 0.02, Vec::new(), Some(place))
            }
            PartEntry::Diode { name, forward, at } => {
                self.bounded(site.span, "forward", forward.0);
                let slope = Sourced { value: Ohms(0.01), origin: Origin::Default("common practice for a power diode") };
                let place = self.placed(name, at, site)?;
                self.two_ended(name, PartKind::Diode { forward }, slope, spread::CONTACT, Vec::new(), Some(place))
            }
            PartEntry::Chassis { name, ohms } => {
                let resistance = self.resistance(site, Some(ohms), || given(Ohms(LEAST_OHMS)));
                self.two_ended(name, PartKind::Chassis, resistance, spread::CHASSIS, Vec::new(), None)
            }
            PartEntry::Load { name, label, kind, amps, watts, ohms, volts, behaves, duty, rest, at } => {
                if let Some(volts) = volts {
                    self.bounded(site.span, "volts", volts.0);
                }
                let rated = volts.unwrap_or(self.nominal);
                let behaviour = self.behaviour(name, amps, watts, ohms, rated, behaves, site)?;
                let place = self.placed(name, at, site)?;
                let allowed_drop = match duty {
                    Duty::Critical => CRITICAL_DROP,
                    Duty::Ordinary => ORDINARY_DROP,
                };
                let kind_of_part = PartKind::Load { kind, behaviour, rated, allowed_drop };
                let calling = rest.map(|rest| {
                    let label = format!("{label} calling");
                    self.hand_control(name, Some(label), ControlKind::Calling, rest, None)
                });
                let gates = calling.map(|control| (control, Position::On)).into_iter().collect();
                if kind == LoadKind::Inverter {
                    self.caution(Hazard::Mains, place, site.span);
                }
                self.load(name, label, kind_of_part, gates, place)
            }
            PartEntry::Capped { name, at } => {
                self.taken.claim(self.reader, name);
                let place = self.placed(name, at, site)?;
                let end = self.ends.create(Some(place));
                self.ends.name(end, Rank::Device, name.text);
                Some((end, end))
            }
        }
    }

    fn resistance(
        &mut self,
        site: Site,
        ohms: Option<Ohms>,
        fallback: impl FnOnce() -> Sourced<Ohms>,
    ) -> Sourced<Ohms> {
        let mut resistance = Sourced::given_or(self.given_ohms(site.span, ohms), fallback);
        resistance.value = Ohms(resistance.value.0.max(LEAST_OHMS));
        resistance
    }

    /// The place a part must have, or a finding.
    fn placed(&mut self, name: Name<'a>, at: Option<Name<'a>>, site: Site) -> Option<PlaceId> {
        if at.is_some() {
            return self.place(at);
        }
        if site.default_place.is_none() {
            self.reader.findings.push(Diagnostic::error(
                span_of(self.reader.text, name.text),
                format!("`{}` has no place", name.text),
                "where does a probe find it?",
                "add `at: \"…\"` here or to its run",
            ));
        }
        site.default_place
    }

    fn hand_control(
        &mut self,
        name: Name<'a>,
        label: Option<String>,
        kind: ControlKind,
        rest: Position,
        place: Option<PlaceId>,
    ) -> ControlId {
        let label = label.unwrap_or_else(|| name.text.to_string());
        let minutes = Minutes(match kind {
            ControlKind::Fuse => 0.5,
            ControlKind::Plug => 1.0,
            _ => 0.2,
        });
        self.add_control(name.text, Control { name: name.text.to_string(), label, kind, rest, minutes, place })
    }

    /// A part whose points are `NAME.in` and `NAME.out`.
    fn two_ended(
        &mut self,
        name: Name<'a>,
        kind: PartKind,
        resistance: Sourced<Ohms>,
        spread: f64,
        gates: Vec<(ControlId, Position)>,
        place: Option<PlaceId>,
    ) -> Option<(usize, usize)> {
        let span = self.taken.claim(self.reader, name);
        self.in_and_out(name.text, None, kind, resistance, spread, gates, place, span)
    }

    #[allow(clippy::too_many_arguments)]
    fn in_and_out(
        &mut self,
        name: &str,
        label: Option<String>,
        kind: PartKind,
        resistance: Sourced<Ohms>,
        spread: f64,
        gates: Vec<(ControlId, Position)>,
        place: Option<PlaceId>,
        span: Span,
    ) -> Option<(usize, usize)> {
        let rank = if place.is_none() { Rank::Cable } else { Rank::Device };
        let (from, to) = (self.ends.create(place), self.ends.create(place));
        self.ends.name(from, rank, &format!("{name}.in"));
        self.ends.name(to, rank, &format!("{name}.out"));
        self.push(Seed { name: name.to_string(), label, kind, from, to, resistance, spread, gates, place, span });
        Some((from, to))
    }

    fn fuse(
        &mut self,
        name: Name<'a>,
        rating: Amps,
        style: fuse::FuseStyle,
        ohms: Option<Ohms>,
        tabs: Option<PlaceId>,
        terminals: Option<PlaceId>,
    ) -> Option<(usize, usize)> {
        let span = self.taken.claim(self.reader, name);
        if tabs.is_none() {
            self.placed(name, None, Site { span, default_place: None });
        }
        let control = self.hand_control(name, None, ControlKind::Fuse, Position::On, tabs);
        let points = [("in", terminals), ("a", tabs), ("b", tabs), ("out", terminals)].map(|(suffix, place)| {
            let end = self.ends.create(place);
            self.ends.name(end, Rank::Device, &format!("{}.{suffix}", name.text));
            end
        });
        let element = Sourced::given_or(ohms, || fuse::element(style, rating));
        let holder = fuse::holder_contact(style);
        let pieces = [
            (format!("{}/in", name.text), Some("input contact of its holder"), PartKind::HolderContact, holder),
            (name.text.to_string(), None, PartKind::Fuse { rating }, element),
            (format!("{}/out", name.text), Some("output contact of its holder"), PartKind::HolderContact, holder),
        ];
        for (index, (piece, label, kind, resistance)) in pieces.into_iter().enumerate() {
            let is_element = matches!(kind, PartKind::Fuse { .. });
            self.push(Seed {
                name: piece,
                label: label.map(str::to_string),
                kind,
                from: points[index],
                to: points[index + 1],
                resistance,
                spread: if is_element { spread::FUSE } else { spread::CONTACT },
                gates: if is_element { vec![(control, Position::On)] } else { Vec::new() },
                place: if is_element { tabs } else { terminals },
                span,
            });
        }
        Some((points[0], points[3]))
    }

    fn size(
        &mut self,
        name: Name<'a>,
        mm2: Option<SquareMillimetres>,
        awg: Option<i32>,
        site: Site,
    ) -> Option<Size> {
        match (mm2, awg) {
            (Some(area), None) => self.bounded(site.span, "mm2", area.0).then_some(Size::Metric(area)),
            (None, Some(gauge)) => self.bounded(site.span, "awg", f64::from(gauge)).then_some(Size::Gauge(gauge)),
            _ => {
                self.reader.findings.push(Diagnostic::error(
                    span_of(self.reader.text, name.text),
                    format!("cable `{}` needs one size", name.text),
                    "this cable",
                    "give either `mm2: …` or `awg: …`",
                ));
                None
            }
        }
    }

    #[allow(clippy::too_many_arguments)]
    fn cable(
        &mut self,
        claim: Name<'a>,
        name: &str,
        length: Metres,
        size: Size,
        celsius: Option<Celsius>,
        laying: Laying,
        ohms: Option<Ohms>,
    ) -> Option<(usize, usize)> {
        let span = self.taken.claim(self.reader, claim);
        let resistance = Sourced::given_or(ohms, || conductor::cable(size, length, celsius.unwrap_or(Celsius(20.0))));
        let kind = PartKind::Cable { length, area: size.area(), laying };
        self.in_and_out(name, None, kind, floored(resistance), spread::CABLE, Vec::new(), None, span)
    }

    fn core(&mut self, of: Name<'a>, core: Name<'a>) -> Option<(usize, usize)> {
        let key = format!("{}.{}", of.text, core.text);
        let Some(&(multicore, index)) = self.cores.get(&key.to_lowercase()) else {
            let known: Vec<String> = self.cores.keys().cloned().collect();
            super::names::report_unknown(self.reader, "multi-core cable", of, known.iter().filter_map(|k| k.split('.').next()));
            if self.multicores.iter().any(|known| known.name.text.eq_ignore_ascii_case(of.text)) {
                let finding = Diagnostic::error(
                    span_of(self.reader.text, core.text),
                    format!("`{}` has no core `{}`", of.text, core.text),
                    "no such core",
                    "add it to the cores of the multi-core cable, or correct the name",
                );
                self.reader.findings.retain(|known| known.span != Some(span_of(self.reader.text, of.text)));
                self.reader.findings.push(finding);
            }
            return None;
        };
        let span = span_of(self.reader.text, core.text);
        let size = Size::Metric(self.multicores[multicore].cores[index].mm2);
        let length = self.multicores[multicore].metres;
        let resistance = floored(conductor::cable(size, length, Celsius(20.0)));
        let kind = PartKind::Cable { length, area: size.area(), laying: Laying::Bundled };
        let label = self.multicores[multicore].label.as_ref().map(|label| format!("core {} of {label}", core.text));
        self.in_and_out(&key, label, kind, resistance, spread::CABLE, Vec::new(), None, span)
    }

    fn pin(&mut self, of: Name<'a>, pin: Name<'a>, ohms: Option<Ohms>, site: Site) -> Option<(usize, usize)> {
        let (index, control) = resolve(self.reader, "plug", of, &self.plugs)?;
        let style = self.plug_list[index].style.unwrap_or(PinStyle::Sealed);
        let at = self.plug_list[index].at;
        let label = self.plug_list[index].label.as_ref().map(|label| format!("pin {} of {label}", pin.text));
        let place = self.place(Some(at));
        let resistance = self.resistance(site, ohms, || contact::pin(style));
        let name = format!("{}.{}", of.text, pin.text);
        if self.ends.find(&format!("{name}.in")).is_some() {
            self.reader.findings.push(Diagnostic::error(
                span_of(self.reader.text, pin.text),
                format!("pin `{}` of plug `{}` is used twice", pin.text, of.text),
                "second use",
                "each pin carries one wire; give one of them another pin",
            ));
        }
        let gates = vec![(control, Position::On)];
        let span = span_of(self.reader.text, pin.text);
        self.in_and_out(&name, label, PartKind::Pin, resistance, spread::CONTACT, gates, place, span)
    }

    fn contact(
        &mut self,
        of: Name<'a>,
        rest: ContactRest,
        amps: Option<Amps>,
        ohms: Option<Ohms>,
        site: Site,
    ) -> Option<(usize, usize)> {
        let (relay, _) = resolve(self.reader, "relay", of, &self.relays)?;
        if let Some(amps) = amps {
            self.bounded(site.span, "amps", amps.0);
        }
        let place = self.place(Some(self.relay_list[relay].at));
        let rating = amps.map_or(10.0, |amps| amps.0);
        let resistance = self.resistance(site, ohms, || contact::relay_contact(rating));
        let (terminal, suffix) = match rest {
            ContactRest::Make => ("87", "contact"),
            ContactRest::Break => ("87a", "rest-contact"),
        };
        let from = self.ends.find_or_create(&format!("{}.30", of.text), Rank::Device, place);
        let to = self.ends.find_or_create(&format!("{}.{terminal}", of.text), Rank::Device, place);
        let label = self.relay_list[relay].label.as_ref().map(|label| format!("contact of {label}"));
        // The coil is filled in once every run has been read.
        let kind = PartKind::Contact { coil: PartId::new(0), rest };
        let name = format!("{}.{suffix}", of.text);
        let span = span_of(self.reader.text, of.text);
        let index = self.push(Seed { name, label, kind, from, to, resistance, spread: spread::CONTACT, gates: Vec::new(), place, span });
        self.contacts.push((index, relay));
        Some((from, to))
    }

    fn coil(&mut self, of: Name<'a>) -> Option<(usize, usize)> {
        let (relay, relay_span) = resolve(self.reader, "relay", of, &self.relays)?;
        let span = span_of(self.reader.text, of.text);
        if self.coils.contains_key(&relay) {
            self.reader.findings.push(Diagnostic::error(
                span,
                format!("relay `{}` has two coils", of.text),
                "second coil",
                "a relay has one `Coil`; name another relay",
            ));
            return None;
        }
        let place = self.place(Some(self.relay_list[relay].at));
        let given_ohms = self.relay_list[relay].ohms;
        let nominal = self.nominal.0;
        let site = Site { span: relay_span, default_place: place };
        let resistance = self.resistance(site, given_ohms, || contact::relay_coil(nominal));
        let from = self.ends.find_or_create(&format!("{}.86", of.text), Rank::Device, place);
        let to = self.ends.find_or_create(&format!("{}.85", of.text), Rank::Device, place);
        let pull_in = self.relay_list[relay].min_volts.unwrap_or(Volts(nominal * contact::PULL_IN_SHARE));
        let label = self.relay_list[relay].label.as_ref().map(|label| format!("coil of {label}"));
        let index = self.push(Seed {
            name: format!("{}.coil", of.text),
            label,
            kind: PartKind::Coil { pull_in },
            from,
            to,
            resistance,
            spread: spread::COIL,
            gates: Vec::new(),
            place,
            span,
        });
        self.coils.insert(relay, index);
        Some((from, to))
    }

    #[allow(clippy::too_many_arguments)]
    fn behaviour(
        &mut self,
        name: Name<'a>,
        amps: Option<Amps>,
        watts: Option<crate::quantity::Watts>,
        ohms: Option<Ohms>,
        rated: Volts,
        behaves: Behaves,
        site: Site,
    ) -> Option<LoadBehaviour> {
        let current = match (amps, watts, ohms) {
            (Some(amps), None, None) => self.bounded(site.span, "amps", amps.0).then_some(amps),
            (None, Some(watts), None) => {
                self.bounded(site.span, "watts", watts.0).then(|| Amps(watts.0 / rated.0))
            }
            (None, None, Some(ohms)) => self.given_ohms(site.span, Some(ohms)).map(|ohms| rated / ohms),
            _ => {
                self.reader.findings.push(Diagnostic::error(
                    span_of(self.reader.text, name.text),
                    format!("load `{}` needs one size", name.text),
                    "this load",
                    "give exactly one of `amps`, `watts` and `ohms`",
                ));
                None
            }
        }?;
        Some(match behaves {
            Behaves::Resistance => LoadBehaviour::Resistance(rated / current),
            Behaves::ConstantCurrent => LoadBehaviour::ConstantCurrent(current),
        })
    }

    fn load(
        &mut self,
        name: Name<'a>,
        label: String,
        kind: PartKind,
        gates: Vec<(ControlId, Position)>,
        place: PlaceId,
    ) -> Option<(usize, usize)> {
        let span = self.taken.claim(self.reader, name);
        let ohms = match kind {
            PartKind::Load { behaviour: LoadBehaviour::Resistance(ohms), .. } => ohms,
            PartKind::Load { behaviour: LoadBehaviour::ConstantCurrent(amps), rated, .. } => rated / amps,
            _ => Ohms(LEAST_OHMS),
        };
        let (from, to) = (self.ends.create(Some(place)), self.ends.create(Some(place)));
        for (end, main, alias) in [(from, "+", ".in"), (to, "-", ".out")] {
            self.ends.name(end, Rank::Device, &format!("{}{main}", name.text));
            self.ends.name(end, Rank::Alias, &format!("{}{alias}", name.text));
        }
        self.push(Seed {
            name: name.text.to_string(),
            label: Some(label),
            kind,
            from,
            to,
            resistance: given(ohms),
            spread: spread::LOAD,
            gates,
            place: Some(place),
            span,
        });
        Some((from, to))
    }
}

fn floored(mut resistance: Sourced<Ohms>) -> Sourced<Ohms> {
    resistance.value = Ohms(resistance.value.0.max(LEAST_OHMS));
    resistance
}
