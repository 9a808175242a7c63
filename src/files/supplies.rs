//! Batteries, chargers and other sources.

use super::build::Builder;
use super::names::Rank;
use super::parts::Seed;
use super::reader::Entry;
use super::schema::*;
use crate::quantity::{Amps, Ohms, Volts};
use crate::source::Span;
use crate::tables::limits::LEAST_OHMS;
use crate::tables::{Origin, Sourced, contact};
use crate::vehicle::*;

/// Largest current that a source of unstated resistance drops 0.3 V at.
const REGULATED_OHMS: Sourced<Ohms> =
    Sourced { value: Ohms(0.01), origin: Origin::Default("common practice for a regulated source") };

impl<'a> Builder<'_, 'a> {
    pub fn read_supplies(&mut self, entry: &VehicleEntry<'_, 'a>) {
        for Entry { value, span } in self.reader.entries::<SupplyEntry>(entry.list("supplies")) {
            match value {
                SupplyEntry::Battery { name, label, chemistry, ah, rest, ohms, amps, at } => {
                    let ampere_hours = self.bounded(span, "ah", ah);
                    let rest = Volts(self.bounded(span, "rest", rest.0));
                    if let Some(amps) = amps {
                        self.bounded(span, "amps", amps.0);
                    }
                    let ohms = self.given_ohms(span, Some(ohms)).unwrap_or(Ohms(LEAST_OHMS));
                    let resistance = Sourced { value: ohms, origin: Origin::Given };
                    let supply = Supply::Battery { chemistry, ampere_hours, rest };
                    let place = self.place(Some(at));
                    self.add_supply(name, label, supply, resistance, place);
                    if let Some(place) = place {
                        self.caution(Hazard::Battery, place, span);
                    }
                }
                SupplyEntry::Alternator { name, label, volts, ohms, amps, runs_with, at } => {
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
                        let volts = self.bounded_inside(span, need.load, "min_volts", need.min_volts.0);
                        self.needs.push((index, need.load, Volts(volts)));
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
        amps: Amps,
        at: Name<'a>,
    ) -> usize {
        let set = Volts(self.bounded(span, "volts", volts.0));
        let limit = Amps(self.bounded(span, "amps", amps.0));
        let resistance = Sourced::given_or(self.given_ohms(span, ohms), || REGULATED_OHMS);
        let place = self.place(Some(at));
        let supply = Supply::Regulated { set, limit, needs: Vec::new() };
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
        self.push(Seed {
            name: name.text.to_string(),
            label,
            kind,
            from: minus,
            to: plus,
            resistance,
            spread,
            gates: Vec::new(),
            place,
            span,
        })
    }
}
