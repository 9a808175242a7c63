//! What is uncertain about a healthy vehicle and a meter.

use super::StateModel;
use super::known::{Informed, Known};
use crate::meter::MeterKind;
use crate::tables::Tables;
use crate::tables::conductor::COPPER_PER_KELVIN;
use crate::vehicle::{PartId, PartKind, Supply, Vehicle};

/// One uncertain quantity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Uncertain {
    /// ln of a part's resistance.
    Resistance(PartId),
    /// A supply's voltage when testing began.
    SupplyVoltage(PartId),
    /// Temperature of all conductors.
    Warmth,
    /// Forward voltage of a diode.
    Forward(PartId),
    /// A meter's gain, shared by all its readings.
    Gain(MeterKind),
    /// A meter's offset in digits, shared by all its readings.
    Offset(MeterKind),
}

impl Uncertain {
    /// Whether it is the same on another day; supplies and meters are others.
    pub fn lasts(self) -> bool {
        matches!(self, Self::Resistance(_) | Self::Forward(_))
    }

    /// The part that it is of.
    pub fn part(self) -> Option<PartId> {
        match self {
            Self::Resistance(part) | Self::SupplyVoltage(part) | Self::Forward(part) => Some(part),
            Self::Warmth | Self::Gain(_) | Self::Offset(_) => None,
        }
    }
}

/// The uncertain quantities that matter in some states, with their spreads.
#[derive(Debug, Clone, Default)]
pub struct Theta {
    entries: Vec<(Uncertain, f64)>,
    informed: Option<Informed>,
    /// How many of the entries are supplies; they come first.
    supplies: usize,
    /// Positions of the resistances that are copper.
    copper: Vec<usize>,
    /// Readings taken so far.
    moment: usize,
}

impl Theta {
    /// Those that matter in any of `models` read with any of `meters`, which may
    /// repeat.
    pub fn of(tables: &Tables, vehicle: &Vehicle, models: &[&StateModel], meters: &[MeterKind]) -> Self {
        let spreads = &tables.spreads;
        let deviation = |id: PartId| match &vehicle.part(id).kind {
            PartKind::Supply(Supply::Battery { rest, .. }) => rest.0 * spreads.battery_voltage,
            PartKind::Supply(Supply::Regulated { set, .. }) => set.0 * spreads.regulated_voltage,
            _ => 0.0,
        };
        let mut entries: Vec<(Uncertain, f64)> =
            vehicle.supplies().map(|id| (Uncertain::SupplyVoltage(id), deviation(id))).collect();
        let supplies = entries.len();
        let mut copper = Vec::new();
        for id in vehicle.part_ids() {
            let part = vehicle.part(id);
            if let Some(forward) = part.kind.forward() {
                if models.iter().any(|model| model.carries_current(id)) {
                    entries.push((Uncertain::Forward(id), spreads.forward_voltage * forward.0));
                }
                continue;
            }
            let matters = |model: &&StateModel| {
                let effect = model.solution.across(id.index()).abs() * part.spread;
                effect > spreads.least_effect && model.carries_current(id)
            };
            let is_supply = matches!(part.kind, PartKind::Supply(_));
            if is_supply || models.iter().any(matters) {
                if matches!(part.kind, PartKind::Cable { .. }) {
                    copper.push(entries.len());
                }
                entries.push((Uncertain::Resistance(id), upward(part.spread)));
            }
        }
        if !copper.is_empty() {
            entries.push((Uncertain::Warmth, spreads.conductor_temperature * COPPER_PER_KELVIN));
        }
        let mut meters = meters.to_vec();
        meters.sort_unstable_by_key(|kind| kind.word());
        meters.dedup();
        for kind in meters {
            let sheet = kind.meter(&tables.instruments);
            entries.push((Uncertain::Gain(kind), sheet.gain_deviation()));
            entries.push((Uncertain::Offset(kind), sheet.digits / 2.0));
        }
        Self { entries, informed: None, supplies, copper, moment: 0 }
    }

    /// The same with what is known of this one vehicle. Loadings then belong to
    /// mixtures of its quantities that are independent of each other again.
    pub fn knowing(self, known: &Known) -> Self {
        let informed = known.among(self.entries.iter().map(|(quantity, _)| *quantity));
        Self { informed: Some(informed), ..self }
    }

    /// Whether another has the same quantities and what is known of them, whenever
    /// it is asked.
    pub fn is_like(&self, other: &Self) -> bool {
        self.entries == other.entries && self.informed == other.informed
    }

    /// What is known of them.
    pub(super) fn informed(&self) -> Option<&Informed> {
        self.informed.as_ref()
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
        self.supplies
    }

    /// Gain and offset of each meter, with their positions; they come last.
    pub(super) fn of_meters(&self) -> impl Iterator<Item = (usize, &(Uncertain, f64))> {
        let is_of_meter = |(_, (quantity, _)): &(usize, &(Uncertain, f64))| {
            matches!(quantity, Uncertain::Gain(_) | Uncertain::Offset(_))
        };
        self.entries.iter().enumerate().rev().take_while(is_of_meter)
    }

    /// Gives the temperature its loading: that of all conductors at once.
    pub(super) fn warm(&self, loadings: &mut [f64]) {
        let Some(at) = self.entries.iter().position(|(quantity, _)| *quantity == Uncertain::Warmth) else { return };
        let each = self.copper.iter().map(|&copper| loadings[copper] / self.entries[copper].1);
        loadings[at] = self.entries[at].1 * each.sum::<f64>();
    }

    /// Each quantity and its standard deviation.
    pub fn entries(&self) -> &[(Uncertain, f64)] {
        &self.entries
    }
}

/// Spread of a resistance that is log-normal, for a first order in ln R: two
/// deviations up are where they are, since real contacts lie far above their
/// usual resistance more often than far below.
fn upward(spread: f64) -> f64 {
    0.5 * ((2.0 * spread).exp() - 1.0)
}
