//! Relays: their coils and contacts, wherever the runs put them.

use super::builder::Builder;
use super::draft::{DraftPart, resistance};
use super::names::{Rank, enter, resolve};
use super::schema::*;
use crate::quantity::{Amps, Ohms, Volts};
use crate::source::{Diagnostic, Span};
use crate::tables::contact::{self, spread};
use crate::vehicle::*;
use std::collections::HashSet;

impl<'a> Builder<'_, 'a> {
    pub fn read_relays(&mut self, entry: &mut VehicleEntry<'a>) {
        for (value, span) in entry.relays.take() {
            self.taken.claim(self.reader, value.name);
            self.check_hold(&value, span);
            let place = self.place(Some(value.at));
            self.relay_places.push(place);
            enter(&mut self.relays, value.name.text, self.relay_list.len());
            self.relay_list.push(value);
        }
    }

    /// A relay lets go below where it pulls in, or it would buzz at rest.
    fn check_hold(&mut self, relay: &RelayEntry<'a>, entry: Span) {
        let pull_in = relay.min_volts.unwrap_or(self.nominal * contact::PULL_IN_SHARE);
        if let Some(drop) = relay.drop_volts.filter(|&drop| drop > pull_in) {
            let finding = Diagnostic::error(
                self.reader.span_of(relay.name),
                format!("relay `{}` lets go at {drop}, above where it pulls in ({})", relay.name.text, pull_in),
                "this relay",
                "`drop_volts` must be below `min_volts`",
            );
            self.reject(entry, finding);
        }
    }

    /// Ties every contact to the coil of its relay.
    pub fn settle_contacts(&mut self) {
        let mut reported = HashSet::new();
        for (part, relay) in std::mem::take(&mut self.contacts) {
            match self.coils.get(&relay) {
                Some(&coil) => {
                    if let PartKind::Contact(contact) = &mut self.seeds[part].kind {
                        contact.coil = PartId::new(coil);
                    }
                }
                None if self.reader.has_lost("load") || self.reader.is_broken(self.relay_list[relay].name.text) => {}
                None if !reported.insert(relay) => {}
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

    /// Warns of relays that do nothing as drawn.
    pub fn check_relays(&mut self) {
        if self.reader.has_lost("load") {
            return;
        }
        for relay in 0..self.relay_list.len() {
            let name = self.relay_list[relay].name;
            let switches = |rest: &str| self.ends.find(&format!("{}.{rest}", name.text)).is_some();
            let has_contact = switches("87") || switches("87a");
            let lack = match (has_contact, self.coils.contains_key(&relay)) {
                _ if self.reader.is_broken(name.text) => continue,
                // A contact without a coil is an error of its own.
                (true, _) => continue,
                (false, true) => "has a coil but no contact",
                (false, false) => "has neither contact nor coil",
            };
            self.reader.findings.push(Diagnostic::warning(
                self.reader.span_of(name),
                format!("relay `{}` {lack}: it switches nothing", name.text),
                "this relay",
                format!("put `Contact(of: \"{0}\")` into the run that it switches, `Coil(of: \"{0}\")` into the one that works it", name.text),
            ));
        }
    }

    pub fn contact(
        &mut self,
        of: Name<'a>,
        rest: ContactRest,
        amps: Option<Amps>,
        ohms: Option<Ohms>,
    ) -> Option<(usize, usize)> {
        let relay = resolve(self.reader, "relay", of, &self.relays)?;
        let rating = amps.map_or(contact::RELAY_AMPS, |amps| amps.0);
        let place = self.relay_places[relay];
        let resistance = resistance(ohms, || contact::relay_contact(rating));
        self.check_single_contact(of, rest);
        let (terminal, suffix) = match rest {
            ContactRest::Make => ("87", "contact"),
            ContactRest::Break => ("87a", "rest-contact"),
        };
        let from = self.ends.find_or_create(&format!("{}.30", of.text), Rank::Device, place);
        let to = self.ends.find_or_create(&format!("{}.{terminal}", of.text), Rank::Device, place);
        let label = self.relay_list[relay].label.as_ref().map(|label| format!("contact of {label}"));
        // The coil is filled in once every run has been read.
        let kind = PartKind::Contact(Contact { coil: PartId::new(0), rest });
        let name = format!("{}.{suffix}", of.text);
        let span = self.reader.span_of(of);
        let index = self.push(DraftPart {
            label,
            place,
            ..DraftPart::new(name, kind, (from, to), resistance, spread::CONTACT, span)
        });
        self.contacts.push((index, relay));
        self.mark_last(relay_marks(&self.relay_list[relay]));
        Some((from, to))
    }

    /// A relay has one contact to 87 and one to 87a.
    fn check_single_contact(&mut self, of: Name<'a>, rest: ContactRest) {
        let terminal = match rest {
            ContactRest::Make => "87",
            ContactRest::Break => "87a",
        };
        if self.ends.find(&format!("{}.{terminal}", of.text)).is_some() {
            self.reader.findings.push(Diagnostic::error(
                self.reader.span_of(of),
                format!("relay `{}` has two contacts from 30 to {terminal}", of.text),
                "second contact",
                format!("start another run from `{}.{terminal}`, or add another relay", of.text),
            ));
        }
    }

    pub fn coil(&mut self, of: Name<'a>) -> Option<(usize, usize)> {
        let relay = resolve(self.reader, "relay", of, &self.relays)?;
        let span = self.reader.span_of(of);
        if self.coils.contains_key(&relay) {
            self.reader.findings.push(Diagnostic::error(
                span,
                format!("relay `{}` has two coils", of.text),
                "second coil",
                "a relay has one `Coil`: correct the name of the relay, or add another relay",
            ));
            return None;
        }
        let place = self.relay_places[relay];
        let given_ohms = self.relay_list[relay].ohms;
        let nominal = self.nominal.0;
        let resistance = resistance(given_ohms, || contact::relay_coil(nominal));
        let from = self.ends.find_or_create(&format!("{}.86", of.text), Rank::Device, place);
        let to = self.ends.find_or_create(&format!("{}.85", of.text), Rank::Device, place);
        let pull_in = self.relay_list[relay].min_volts.unwrap_or(Volts(nominal * contact::PULL_IN_SHARE));
        let drop_out = self.relay_list[relay].drop_volts.unwrap_or(pull_in * contact::DROP_OUT_SHARE);
        let label = self.relay_list[relay].label.as_ref().map(|label| format!("coil of {label}"));
        let index = self.push(DraftPart {
            label,
            place,
            ..DraftPart::new(
                format!("{}.coil", of.text),
                PartKind::Coil(Coil { pull_in, drop_out }),
                (from, to),
                resistance,
                spread::COIL,
                span,
            )
        });
        self.coils.insert(relay, index);
        self.mark_last(relay_marks(&self.relay_list[relay]));
        Some((from, to))
    }
}

fn relay_marks(relay: &RelayEntry<'_>) -> Markings {
    Markings { colour: None, slot: relay.slot.clone(), note: relay.note.clone(), picture: relay.picture.clone() }
}
