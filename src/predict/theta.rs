//! What is uncertain about a healthy vehicle and a meter.

use super::StateModel;
use super::known::{Informed, Known};
use crate::meter::MeterKind;
use crate::vehicle::{PartId, PartKind, Supply, Vehicle};

/// Drop times spread below which a part's tolerance cannot be seen, V.
const LEAST_EFFECT: f64 = 2e-4;

/// Spread of a battery's rest voltage: state of charge unknown within about
/// half of its range (see the tables of rest voltage in lead-acid handbooks).
const BATTERY_SPREAD: f64 = 0.025;
/// Spread of a diode's forward voltage: temperature and make; common practice,
/// no source.
const FORWARD_SPREAD: f64 = 0.08;
/// Spread of a regulated voltage: temperature compensation, smart control.
const REGULATED_SPREAD: f64 = 0.03;

/// One uncertain quantity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Uncertain {
    /// ln of a part's resistance.
    Resistance(PartId),
    /// A supply's voltage.
    SupplyVoltage(PartId),
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
            Self::Gain(_) | Self::Offset(_) => None,
        }
    }
}

/// The uncertain quantities that matter in some states, with their spreads.
#[derive(Debug, Clone, Default)]
pub struct Theta {
    entries: Vec<(Uncertain, f64)>,
    informed: Option<Informed>,
}

impl Theta {
    /// Those that matter in any of `models` read with any of `meters`, which may
    /// repeat.
    pub fn of(vehicle: &Vehicle, models: &[&StateModel], meters: &[MeterKind]) -> Self {
        let mut entries = Vec::new();
        for id in vehicle.part_ids() {
            let part = vehicle.part(id);
            if let PartKind::Supply(supply) = &part.kind {
                let deviation = match supply {
                    Supply::Battery { rest, .. } => rest.0 * BATTERY_SPREAD,
                    Supply::Regulated { set, .. } => set.0 * REGULATED_SPREAD,
                };
                entries.push((Uncertain::SupplyVoltage(id), deviation));
            }
            if let Some(forward) = part.kind.forward() {
                if models.iter().any(|model| model.carries_current(id)) {
                    entries.push((Uncertain::Forward(id), FORWARD_SPREAD * forward.0));
                }
                continue;
            }
            let matters = |model: &&StateModel| {
                model.solution.across(id.index()).0.abs() * part.spread > LEAST_EFFECT && model.carries_current(id)
            };
            let is_supply = matches!(part.kind, PartKind::Supply(_));
            if is_supply || models.iter().any(matters) {
                entries.push((Uncertain::Resistance(id), upward(part.spread)));
            }
        }
        let mut meters = meters.to_vec();
        meters.sort_unstable_by_key(|kind| kind.word());
        meters.dedup();
        for kind in meters {
            entries.push((Uncertain::Gain(kind), kind.meter().gain_deviation()));
            entries.push((Uncertain::Offset(kind), kind.meter().digits / 2.0));
        }
        Self { entries, informed: None }
    }

    /// The same with what is known of this one vehicle. Loadings then belong to
    /// mixtures of its quantities that are independent of each other again.
    pub fn knowing(self, known: &Known) -> Self {
        let informed = known.among(self.entries.iter().map(|(quantity, _)| *quantity));
        Self { informed: Some(informed), ..self }
    }

    /// What is known of them.
    pub(super) fn informed(&self) -> Option<&Informed> {
        self.informed.as_ref()
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
