//! What has to be served again after a repair, and the ways by which it is.

use super::repair::Reported;
use crate::belief::Sign;
use crate::case::{Case, CaseError};
use crate::predict::{Hypothesis, StateModel};
use crate::vehicle::trace::{Feed, charge_of, feed_of};
use crate::vehicle::{PartId, PointId, Role, State, Vehicle};

/// A load or a coil that runs, or a battery that is charged.
pub struct Served {
    pub part: PartId,
    /// Its ways.
    pub feed: Feed,
}

impl Served {
    /// What a complaint is about; of a fuse, what it feeds; of a battery that
    /// is not charged, it itself with the source by way of a part, if one is.
    pub fn of(case: &Case, complaint: &Reported, repaired: PartId) -> Result<Option<Self>, CaseError> {
        let (vehicle, state) = (case.vehicle(), &complaint.state);
        let itself = || Self { part: complaint.subject, feed: feed_of(vehicle, state, complaint.subject) };
        Ok(match complaint.sign {
            Sign::Looks(_) | Sign::Sometimes | Sign::StaysOn | Sign::Glows => Some(itself()),
            Sign::BlowsFuse | Sign::LooksBlown => Self::fed_by(case, state, complaint.subject)?,
            Sign::Uncharged | Sign::ChargesLittle => {
                let model = case.predictor().in_state(state)?;
                let is_battery = |id: PartId| vehicle.part(id).kind.is_battery();
                let gives = |id: &PartId| !is_battery(*id) && model.solution().current(id.index()).0 > 0.0;
                let ways = |source: PartId| charge_of(vehicle, state, source, complaint.subject);
                let mut charging: Vec<Feed> = vehicle.supplies().filter(gives).filter_map(ways).collect();
                let leads_by = |feed: &Feed| feed.parts().any(|part| part == repaired);
                charging.sort_by_key(|feed| !leads_by(feed));
                charging.into_iter().next().map(|feed| Self { part: complaint.subject, feed })
            }
            Sign::GoesFlat | Sign::LooksWhole | Sign::Clicks | Sign::Silent | Sign::Gives | Sign::Idle => None,
            Sign::Hot | Sign::Cool | Sign::Green | Sign::ComesBack | Sign::NoBetter => None,
            Sign::LampBright | Sign::LampDim => None,
        })
    }

    /// A load, or else a coil, that runs in a state and has a part on its way.
    pub fn fed_by(case: &Case, state: &State, part: PartId) -> Result<Option<Self>, CaseError> {
        let vehicle = case.vehicle();
        let model = case.predictor().in_state(state)?;
        let coils = vehicle.part_ids().filter(|&id| vehicle.part(id).kind.is_coil());
        let mut running = vehicle.loads().chain(coils).filter(|&sink| model.is_served(vehicle, sink));
        Ok(running.find_map(|sink| {
            let feed = feed_of(vehicle, state, sink);
            (sink == part || feed.parts().any(|on_way| on_way == part)).then_some(Self { part: sink, feed })
        }))
    }

    /// Whether it is a battery.
    fn is_charged(&self, vehicle: &Vehicle) -> bool {
        vehicle.part(self.part).kind.is_supply()
    }

    /// Where current enters it, and where it leaves it.
    pub fn ends(&self, vehicle: &Vehicle) -> (PointId, PointId) {
        let (from, to) = vehicle.part(self.part).ends();
        if self.is_charged(vehicle) { (to, from) } else { (from, to) }
    }

    /// How well it is served, as a share of what it gets when all is sound.
    pub fn service(&self, vehicle: &Vehicle, model: &StateModel, hypothesis: &Hypothesis) -> f64 {
        match self.is_charged(vehicle) {
            true => model.charge(vehicle, hypothesis, self.part).unwrap_or(1.0),
            false => model.performance(vehicle, hypothesis, self.part),
        }
    }

    /// The sign by which somebody tells that it is served, and of which part.
    pub fn told_by(&self, vehicle: &Vehicle) -> Option<(PartId, Sign)> {
        match vehicle.part(self.part).kind.role() {
            Role::Load => Some((self.part, Sign::WORKS)),
            Role::Coil => Some((self.part, Sign::Clicks)),
            Role::Source => self.feed.source.map(|source| (source, Sign::Gives)),
            Role::Protection
            | Role::Switchgear
            | Role::Connection
            | Role::Conductor
            | Role::Rectifier
            | Role::Display => None,
        }
    }
}
