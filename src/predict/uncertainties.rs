//! The vector θ of standardised uncertain quantities, which all readings share:
//! each of its entries has mean 0 and deviation 1, and a reading's loading on it
//! is what one deviation does to the reading.

use super::knowledge::{Informed, PartKnowledge};
use super::loadings::Loadings;
use super::uncertain::Uncertain;
use crate::vehicle::{PartId, PlaceId, Role, Vehicle};
use std::rc::Rc;

/// The uncertain quantities of a vehicle, with their spreads.
#[derive(Debug, Clone, Default)]
pub struct Uncertainties {
    quantities: Quantities,
    /// Readings taken so far.
    moment: usize,
}

/// The quantities alone, whenever it is that they are uncertain.
#[derive(Debug, Clone, Default)]
pub struct Quantities(Rc<Content>);

impl PartialEq for Quantities {
    fn eq(&self, other: &Self) -> bool {
        Rc::ptr_eq(&self.0, &other.0) || self.0 == other.0
    }
}

#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Content {
    pub(super) entries: Vec<(Uncertain, f64)>,
    pub(super) informed: Option<Informed>,
    /// How many of the entries are supplies; they come first.
    pub(super) supplies: usize,
    /// Of each of the first, whether it is the resistance of copper.
    pub(super) copper: Vec<bool>,
}

impl Uncertainties {
    pub(super) fn new(content: Content) -> Self {
        Self { quantities: Quantities(Rc::new(content)), moment: 0 }
    }

    fn content(&self) -> &Content {
        &self.quantities.0
    }

    /// The same with what is known of this one vehicle. Loadings then belong to
    /// mixtures of its quantities that are independent of each other again.
    pub fn knowing(self, known: &PartKnowledge) -> Self {
        let informed = known.among(self.entries().iter().map(|(quantity, _)| *quantity));
        let content = Content { informed: Some(informed), ..self.content().clone() };
        Self { quantities: Quantities(Rc::new(content)), ..self }
    }

    /// The quantities and what is known of them, whenever they are asked for.
    pub fn quantities(&self) -> &Quantities {
        &self.quantities
    }

    /// What is known of them.
    pub(super) fn informed(&self) -> Option<&Informed> {
        self.content().informed.as_ref()
    }

    /// The same with a supply whose voltage may be off by so much more.
    pub fn with_supply(self, part: PartId, deviation: f64) -> Self {
        let Some((at, known)) = self.of_supply(part) else { return self };
        let mut content = self.content().clone();
        content.entries[at].1 = known.max(deviation);
        Self { quantities: Quantities(Rc::new(content)), ..self }
    }

    /// The same after so many readings.
    pub fn after(self, moment: usize) -> Self {
        Self { moment, ..self }
    }

    /// Readings taken so far.
    pub(super) fn moment(&self) -> usize {
        self.moment
    }

    /// How many of the quantities are supplies; they come first.
    pub(super) fn supplies(&self) -> usize {
        self.content().supplies
    }

    /// What is uncertain of a part, with its position and deviation.
    pub(super) fn of_part(&self, part: PartId) -> Option<(usize, Uncertain, f64)> {
        let at = self.supplies() + part.index();
        self.entries().get(at).map(|&(quantity, deviation)| (at, quantity, deviation))
    }

    /// Deviation of a quantity that is the resistance of a part that only conducts, where
    /// no more is known of it than of any.
    pub fn of_conductor(&self, vehicle: &Vehicle, at: usize) -> Option<f64> {
        let conducts = |part: PartId| matches!(vehicle.part(part).kind.role(), Role::Connection | Role::Conductor);
        match *self.entries().get(at)? {
            (Uncertain::Resistance(part), deviation) => {
                (self.informed().is_none() && conducts(part)).then_some(deviation)
            }
            _ => None,
        }
    }

    /// Position and deviation of the voltage of a supply.
    pub(super) fn of_supply(&self, part: PartId) -> Option<(usize, f64)> {
        let supplies = self.entries().iter().take(self.supplies()).enumerate();
        let mut found = supplies.filter(|(_, (quantity, _))| quantity.part() == Some(part));
        found.next().map(|(at, &(_, deviation))| (at, deviation))
    }

    /// Position and deviation of the ground of a place.
    pub(super) fn of_ground(&self, place: PlaceId) -> Option<(usize, f64)> {
        let behind = self.entries().iter().enumerate().skip(self.content().copper.len());
        let mut found = behind.filter(|(_, (quantity, _))| *quantity == Uncertain::Ground(place));
        found.next().map(|(at, &(_, deviation))| (at, deviation))
    }

    /// Gain, offset and zero of each meter, with their positions; they come last.
    pub(super) fn of_meters(&self) -> impl Iterator<Item = (usize, &(Uncertain, f64))> {
        let is_of_meter = |(_, (quantity, _)): &(usize, &(Uncertain, f64))| {
            matches!(quantity, Uncertain::Gain(_) | Uncertain::Offset(_) | Uncertain::Zero(_))
        };
        self.entries().iter().enumerate().rev().take_while(is_of_meter)
    }

    /// Gain and offset of an instrument that the vehicle carries, with their
    /// positions and deviations. Offsets stand behind all parts and the temperature.
    pub(super) fn of_instrument(&self, part: PartId) -> impl Iterator<Item = (usize, Uncertain, f64)> {
        let offset = |&(_, (quantity, _)): &(usize, &(Uncertain, f64))| *quantity == Uncertain::InstrumentOffset(part);
        let behind = self.entries().iter().enumerate().skip(self.content().copper.len());
        let offset = behind.into_iter().find(offset).map(|(at, &(quantity, deviation))| (at, quantity, deviation));
        self.of_part(part).into_iter().chain(offset)
    }

    /// Takes what is of a meter in hand out of loadings.
    pub(super) fn without_meters(&self, loadings: &mut Loadings) {
        let meters: Vec<usize> = self.of_meters().map(|(at, _)| at).collect();
        loadings.retain(|at| !meters.contains(&at));
    }

    /// Gives the temperature its loading: that of all conductors at once.
    pub(super) fn warm(&self, loadings: &mut Loadings) {
        let Content { entries, copper, .. } = self.content();
        let is_copper = |&(at, _): &(usize, f64)| copper.get(at).is_some_and(|&is_copper| is_copper);
        let each = loadings.iter().filter(is_copper).map(|(at, loading)| loading / entries[at].1);
        // It stands behind all of the parts.
        let warmth = copper.len();
        loadings.add(warmth, entries[warmth].1 * each.sum::<f64>());
    }

    /// Each quantity and its standard deviation.
    pub fn entries(&self) -> &[(Uncertain, f64)] {
        &self.content().entries
    }
}
