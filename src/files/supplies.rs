//! Batteries, chargers and other sources.

use super::builder::Builder;
use super::draft::{DraftPart, resistance};
use super::names::Rank;
use super::schema::*;
use crate::quantity::{Amps, Ohms, Volts};
use crate::source::{Diagnostic, Span};
use crate::tables::{Origin, Sourced, conductor, contact, supply};
use crate::vehicle::*;

/// From: common practice, no source. Largest current that a source of unstated
/// resistance drops 0.3 V at.
const REGULATED_OHMS: Sourced<Ohms> =
    Sourced { value: Ohms(0.01), origin: Origin::Default("common practice for a regulated source") };

impl<'a> Builder<'_, 'a> {
    pub fn read_supplies(&mut self, entry: &mut VehicleEntry<'a>) {
        for (value, span) in entry.supplies.take() {
            match value {
                SupplyEntry::Battery {
                    name,
                    label,
                    chemistry,
                    ah: ampere_hours,
                    rest,
                    charge,
                    celsius,
                    ohms,
                    tolerance,
                    charge_ohms,
                    amps,
                    min_volts,
                    at,
                } => {
                    let celsius = celsius.unwrap_or(conductor::TABLES_AT);
                    let mut usual = Vec::new();
                    let chemistry = chemistry.unwrap_or_else(|| {
                        usual.push("chemistry: LeadAcid".to_string());
                        BatteryChemistry::LeadAcid
                    });
                    let ampere_hours = ampere_hours.unwrap_or_else(|| {
                        usual.push(format!("ah: {}", supply::USUAL_AMPERE_HOURS));
                        supply::USUAL_AMPERE_HOURS
                    });
                    let rest = self.rest_volts(name, span, rest, charge, chemistry);
                    let protection = Protection { least: min_volts, most: amps };
                    let resistance =
                        resistance(ohms, || supply::internal_resistance(chemistry, ampere_hours, rest, celsius));
                    let charging = charge_ohms.unwrap_or_else(|| supply::charging_resistance(chemistry, ampere_hours));
                    let supply = Supply::Battery(Battery { chemistry, ampere_hours, rest, charging, protection });
                    let place = self.place(Some(at));
                    let index = self.add_supply(name, label, supply, resistance, place);
                    self.seeds[index].usual = usual;
                    self.tolerate(index, tolerance);
                    if let Some(place) = place {
                        self.caution(Hazard::Battery, place, span);
                    }
                }
                SupplyEntry::Alternator { name, label, volts, ohms, amps, runs_with, eased, at } => {
                    let index = self.regulated(name, label, volts, ohms, amps, at);
                    if let Some(eased) = eased {
                        self.eased.push((index, eased.with, eased.volts));
                    }
                    self.gates.push((index, runs_with, Position::On));
                }
                SupplyEntry::Solar { name, label, volts, amps, runs_with, at } => {
                    let index = self.regulated(name, label, volts, None, amps, at);
                    self.gates.push((index, runs_with, Position::On));
                }
                SupplyEntry::Charger { name, label, volts, ohms, amps, needs, at } => {
                    let index = self.regulated(name, label, volts, ohms, amps, at);
                    for need in needs {
                        self.needs.push((index, need.load, need.min_volts));
                    }
                }
                SupplyEntry::Bench { name, label, volts, ohms, amps, at } => {
                    self.regulated(name, label, volts, Some(ohms), amps, at);
                }
            }
        }
    }

    /// Rest voltage as given, or of a state of charge.
    fn rest_volts(
        &mut self,
        name: Name<'a>,
        span: Span,
        rest: Option<Volts>,
        charge: Option<f64>,
        chemistry: BatteryChemistry,
    ) -> Volts {
        match (rest, charge) {
            (Some(rest), None) => rest,
            (None, Some(charge)) => supply::rest_voltage(chemistry, charge),
            (given, _) => {
                let found = if given.is_some() { "but has both" } else { "but has neither" };
                let finding = Diagnostic::error(
                    self.reader.span_of(name),
                    format!("battery `{}` needs a rest voltage or a state of charge, {found}", name.text),
                    "this battery",
                    "give either `rest: …` or `charge: …` (0 to 1)",
                );
                self.reject(span, finding);
                // Format: it is reported; any voltage will do.
                Volts(12.6)
            }
        }
    }

    #[allow(clippy::too_many_arguments)]
    fn regulated(
        &mut self,
        name: Name<'a>,
        label: Option<String>,
        volts: Volts,
        ohms: Option<Ohms>,
        amps: Amps,
        at: Name<'a>,
    ) -> usize {
        let resistance = resistance(ohms, || REGULATED_OHMS);
        let place = self.place(Some(at));
        let supply = Supply::Regulated(Regulated { set: volts, limit: amps, needs: Vec::new(), eased: None });
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
        self.push(DraftPart {
            label,
            place,
            ..DraftPart::new(name.text.to_string(), kind, (minus, plus), resistance, spread, span)
        })
    }
}
