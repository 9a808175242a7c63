//! One part of a run: what its entry gives, within bounds, to what builds it.

use super::builder::Builder;
use super::draft::{given, resistance};
use super::names::Rank;
use super::schema::*;
use crate::quantity::Ohms;
use crate::source::{Diagnostic, Span};
use crate::tables::contact::{self, SwitchStyle, spread};
use crate::tables::limits::{CRITICAL_DROP, LEAST_OHMS, ORDINARY_DROP};
use crate::tables::{conductor, supply};
use crate::vehicle::*;

impl<'a> Builder<'_, 'a> {
    /// The two ends of a part; none if it belongs to something unknown.
    pub fn read_part(&mut self, part: PartEntry<'a>, entry: Span) -> Option<(usize, usize)> {
        let first = self.seeds.len();
        let (mut marks, mut allowed, mut usual) = (Markings::default(), None, Vec::new());
        let ends = match part {
            PartEntry::Fuse {
                name,
                amps,
                style,
                ohms,
                holder_ohms: holder,
                tolerance,
                slot,
                note,
                picture,
                at,
                back,
            } => {
                let ohms = ohms.map(|ohms| ohms.max(Ohms(LEAST_OHMS)));
                let tabs = self.placed(name, at, entry);
                let terminals = self.place(back).unwrap_or(tabs);
                marks = Markings { slot, note, picture, ..marks };
                let ends = self.fuse(name, amps, style, (ohms, holder), tabs, terminals);
                // What is said is of the element; its contacts lie as contacts do.
                self.tolerate(first + 1, tolerance);
                ends
            }
            PartEntry::Breaker { name, amps: rating, ohms, tolerance, slot, note, picture, at } => {
                (marks, allowed) = (Markings { slot, note, picture, ..marks }, tolerance);
                let resistance = resistance(ohms, || contact::breaker(rating.0));
                let place = self.placed(name, at, entry);
                let control = self.hand_control(name, None, ControlKind::Switch, Position::On, Some(place));
                let gates = vec![(control, Position::On)];
                self.two_ended(name, PartKind::Breaker { rating }, resistance, spread::CONTACT, gates, Some(place))
            }
            PartEntry::Cable { name, metres, mm2, awg, celsius, laying, ohms, tolerance, colour, note, picture } => {
                (marks, allowed) = (Markings { colour, note, picture, ..marks }, tolerance);
                let size = self.size(name, mm2, awg, entry);
                let warmth = celsius.unwrap_or(conductor::TABLES_AT);
                self.cable(name, metres, size, warmth, laying, ohms)
            }
            PartEntry::Core { of, core } => return self.core(of, core),
            PartEntry::Joint { name, label, style, ohms, tolerance, note, picture, at } => {
                (marks, allowed) = (Markings { note, picture, ..marks }, tolerance);
                let style = or_usual(style, contact::USUAL_JOINT, &mut usual);
                let resistance = resistance(ohms, || contact::joint(style));
                let place = self.placed(name, at, entry);
                let ends = self.two_ended(name, PartKind::Joint, resistance, spread::CONTACT, Vec::new(), Some(place));
                self.label_last(label);
                ends
            }
            PartEntry::Pin { of, pin, ohms, tolerance } => {
                let ends = self.pin(of, pin, ohms)?;
                self.tolerate(first, tolerance);
                return Some(ends);
            }
            PartEntry::Switch { name, label, style, rest, works_with, closed, ohms, tolerance, note, picture, at } => {
                (marks, allowed) = (Markings { note, picture, ..marks }, tolerance);
                let style = or_usual(style, contact::USUAL_SWITCH, &mut usual);
                let resistance = resistance(ohms, || contact::switch(style));
                let place = self.placed(name, at, entry);
                let closed = closed.unwrap_or(Position::On);
                let own = match works_with {
                    Some(_) => None,
                    None => {
                        let kind = match style {
                            SwitchStyle::Pressure | SwitchStyle::Thermostat => ControlKind::Sensed,
                            SwitchStyle::Rocker | SwitchStyle::Momentary | SwitchStyle::Key | SwitchStyle::Plunger => {
                                ControlKind::Switch
                            }
                        };
                        let rest = rest.unwrap_or(Position::Off);
                        Some(self.hand_control(name, label.clone(), kind, rest, None))
                    }
                };
                let gates = own.map(|control| (control, closed)).into_iter().collect();
                let ends = self.two_ended(name, PartKind::Switch, resistance, spread::CONTACT, gates, Some(place));
                self.label_last(label);
                if let Some(control) = works_with {
                    self.gates.push((self.seeds.len() - 1, control, closed));
                }
                ends
            }
            PartEntry::Isolator { name, label, style, rest, ohms, tolerance, note, picture, at } => {
                (marks, allowed) = (Markings { note, picture, ..marks }, tolerance);
                let style = or_usual(style, contact::USUAL_ISOLATOR, &mut usual);
                let resistance = resistance(ohms, || contact::isolator(style));
                let place = self.placed(name, at, entry);
                let rest = rest.unwrap_or(Position::On);
                let control = self.hand_control(name, label.clone(), ControlKind::Switch, rest, Some(place));
                let gates = vec![(control, Position::On)];
                let ends = self.two_ended(name, PartKind::Isolator, resistance, spread::CONTACT, gates, Some(place));
                self.label_last(label);
                ends
            }
            PartEntry::Contact { of, rest, amps, ohms } => return self.contact(of, rest, amps, ohms),
            PartEntry::Coil { of } => return self.coil(of),
            PartEntry::Shunt { name, ohms, tolerance, note, picture, at } => {
                (marks, allowed) = (Markings { note, picture, ..marks }, tolerance);
                let resistance = resistance(Some(ohms), || given(Ohms(LEAST_OHMS)));
                let place = self.placed(name, at, entry);
                self.two_ended(name, PartKind::Shunt, resistance, spread::SHUNT, Vec::new(), Some(place))
            }
            PartEntry::Diode { name, forward, leak_amps: leak, at } => {
                let slope = supply::DIODE_SLOPE;
                let place = self.placed(name, at, entry);
                self.two_ended(name, PartKind::Diode { forward, leak }, slope, spread::CONTACT, Vec::new(), Some(place))
            }
            PartEntry::Chassis { name, ohms } => {
                let resistance = resistance(Some(ohms), || given(Ohms(LEAST_OHMS)));
                self.two_ended(name, PartKind::Chassis, resistance, spread::CHASSIS, Vec::new(), None)
            }
            PartEntry::Load {
                name,
                label,
                kind,
                amps,
                watts,
                ohms,
                volts,
                behaves,
                min_volts,
                forward,
                cut_out,
                sleep,
                efficiency,
                idle_watts: idle,
                bleed_ohms: bleed,
                hold_minutes: hold,
                duty,
                rest,
                tolerance,
                note,
                picture,
                at,
            } => {
                (marks, allowed) = (Markings { note, picture, ..marks }, tolerance);
                let rated = volts.unwrap_or(self.nominal);
                let current = self.current(name, amps, watts, ohms, rated, entry);
                // Half-way between a resistance and constant power.
                let is_supposed = behaves.is_none() && ohms.is_none() && kind.is_electronic();
                let usual = if is_supposed { Behaves::ConstantCurrent } else { Behaves::Resistance };
                let behaviour = match behaves.unwrap_or(usual) {
                    Behaves::Resistance => LoadBehaviour::Resistance(rated / current),
                    Behaves::ConstantCurrent => LoadBehaviour::ConstantCurrent(current),
                    Behaves::ConstantPower => {
                        let fold = min_volts.unwrap_or(rated * supply::FOLD_SHARE);
                        LoadBehaviour::ConstantPower { watts: rated * current, fold }
                    }
                    Behaves::Filament => LoadBehaviour::Filament(current),
                    Behaves::DiodeString => {
                        let forward =
                            forward.unwrap_or(rated * supply::STRING_SHARE).min(rated * supply::MOST_STRING_SHARE);
                        LoadBehaviour::DiodeString { forward, ohms: (rated - forward) / current }
                    }
                };
                let cut_out = cut_out.map(|cut_out| self.cut_out(name, cut_out, entry));
                let allowed_drop = match duty {
                    Duty::Critical => CRITICAL_DROP,
                    Duty::Ordinary => ORDINARY_DROP,
                };
                let place = self.placed(name, at, entry);
                if kind == LoadKind::Inverter {
                    self.caution(Hazard::Mains, place, entry);
                }
                let calling = rest.map(|rest| {
                    let label = format!("{label} calling");
                    self.hand_control(name, Some(label), ControlKind::Calling, rest, None)
                });
                let gates = calling.map(|control| (control, Position::On)).into_iter().collect();
                let load = Load {
                    kind,
                    behaviour,
                    is_supposed,
                    rated,
                    allowed_drop,
                    cut_out,
                    sleep: None,
                    converts: None,
                    bleed,
                    hold,
                };
                let ends = self.load(name, label, load, gates, place);
                if kind == LoadKind::Inverter || kind == LoadKind::Charger {
                    self.inputs.push((self.seeds.len() - 1, efficiency, idle));
                } else if efficiency.is_some() || idle.is_some() {
                    self.reject(entry, no_converter(self.reader.span_of(name), name.text));
                }
                if let Some(sleep) = sleep {
                    self.sleeps.push((self.seeds.len() - 1, sleep.with, sleep.amps));
                }
                ends
            }
            PartEntry::Capped { name, at } => {
                self.taken.claim(self.reader, name);
                let place = self.placed(name, at, entry);
                let end = self.ends.create(Some(place));
                self.ends.name(end, Rank::Device, name.text);
                (end, end)
            }
        };
        for seed in &mut self.seeds[first..] {
            (seed.marks, seed.usual) = (marks.clone(), usual.clone());
        }
        if allowed.is_some() {
            self.tolerate(first, allowed);
        }
        Some(ends)
    }

    /// How far real ones lie from a part, where the file says it: two standard
    /// deviations of ln(resistance).
    pub fn tolerate(&mut self, part: usize, tolerance: Option<f64>) {
        if let (Some(seed), Some(share)) = (self.seeds.get_mut(part), tolerance) {
            seed.spread = share.ln_1p() / 2.0;
        }
    }

    /// Labels the part drafted last.
    fn label_last(&mut self, label: Option<String>) {
        if let Some(seed) = self.seeds.last_mut() {
            seed.label = label;
        }
    }

    fn cut_out(&mut self, name: Name<'a>, given: CutOutEntry, entry: Span) -> CutOut {
        let CutOutEntry { off, on } = given;
        if on < off {
            let finding = Diagnostic::error(
                self.reader.span_of(name),
                format!("`{}` starts again at {on}, below where it stops ({off})", name.text),
                "this load",
                "`on` must be above `off`",
            );
            self.reject(entry, finding);
        }
        CutOut { off, on }
    }
}

/// The style that is given, or the usual one, which is noted.
fn or_usual<T: Copy + std::fmt::Debug>(given: Option<T>, style: T, usual: &mut Vec<String>) -> T {
    given.unwrap_or_else(|| {
        usual.push(format!("style: {style:?}"));
        style
    })
}

/// A load that converts nothing and says how well it does.
pub(super) fn no_converter(span: Span, name: &str) -> Diagnostic {
    Diagnostic::error(
        span,
        format!("`{name}` has an `efficiency` or `idle_watts`, but feeds no output"),
        "this load",
        "only an `Inverter` or `Charger` that a supply `needs` has them; leave them out, or draw its output",
    )
}
