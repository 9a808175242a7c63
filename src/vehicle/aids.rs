//! Which aids may be used on a vehicle, and what each does. Each is a control of its
//! own, so that a state holds it like a switch that is on.

use super::aid::{Aid, NoAid};
use super::circuit::Vehicle;
use super::control::{Control, ControlKind, Position};
use super::id::{PartId, PlaceId, PointId};
use super::part::{PartKind, Role};
use super::place::{Hazard, Reach};
use super::state::State;
use super::trace::SupplyLeads;
use crate::quantity::Minutes;

impl Aid {
    /// The ends of the leads that it adds, the first of a fused one first.
    pub fn leads(self, vehicle: &Vehicle) -> Vec<(PointId, PointId)> {
        match self {
            Self::Feed { load, supply, both } => {
                let (load, supply) = (vehicle.part(load), vehicle.part(supply));
                let back = both.then_some((load.to, supply.from));
                std::iter::once((supply.to, load.from)).chain(back).collect()
            }
            Self::Bridge { part } => vec![vehicle.part(part).ends()],
            Self::Off { .. } | Self::Lamp { .. } => Vec::new(),
        }
    }

    /// Where a hand gets at it.
    fn point(self, vehicle: &Vehicle) -> PointId {
        match self {
            Self::Feed { load: part, .. } | Self::Lamp { load: part } | Self::Bridge { part } => {
                vehicle.part(part).from
            }
            Self::Off { at, .. } => at,
        }
    }

    /// Whether it may be used.
    ///
    /// # Errors
    /// [`NoAid`] says why not.
    pub fn is_fit(self, vehicle: &Vehicle) -> Result<(), NoAid> {
        let part = vehicle.part(self.part());
        match self {
            Self::Bridge { .. } if part.kind.is_protection() => return Err(NoAid::RoundProtection),
            Self::Bridge { .. } => match part.kind.role() {
                Role::Switchgear => {}
                // The contact of a fuse holder is beside its fuse.
                Role::Connection if part.kind != PartKind::HolderContact => {}
                _ => return Err(NoAid::NoBridge),
            },
            Self::Off { at, .. } if at != part.from && at != part.to => return Err(NoAid::NoSuchEnd),
            Self::Off { .. } => match part.kind {
                PartKind::HolderContact | PartKind::Fuse { .. } | PartKind::Pin | PartKind::Joint => {
                    return Err(NoAid::StaysOn);
                }
                PartKind::Contact(_) | PartKind::Chassis => return Err(NoAid::StaysOn),
                _ => {}
            },
            Self::Feed { .. } | Self::Lamp { .. } => {}
        }
        let places = &vehicle.point(self.point(vehicle)).places;
        let is_there = |place: PlaceId| part.place == Some(place) || places.contains(&place);
        let is_licensed = |hazard: Hazard| match hazard {
            Hazard::Restraint | Hazard::HighVoltage | Hazard::Mains | Hazard::Gas => true,
            Hazard::Battery | Hazard::Hot | Hazard::Moving => false,
        };
        let mut cautions = vehicle.cautions.iter();
        let is_near = cautions.any(|caution| is_licensed(caution.hazard) && is_there(caution.place));
        if is_near { Err(NoAid::Hazard) } else { Ok(()) }
    }

    fn name(self, vehicle: &Vehicle) -> String {
        let part = &vehicle.part(self.part()).name;
        match self {
            Self::Feed { both: false, .. } => format!("feed {part}"),
            Self::Feed { both: true, .. } => format!("feed {part} both"),
            Self::Bridge { .. } => format!("bridge {part}"),
            Self::Off { at, .. } => format!("disconnect {part} {}", vehicle.point(at).name()),
            Self::Lamp { .. } => format!("lamp {part}"),
        }
    }

    fn label(self, vehicle: &Vehicle) -> String {
        let part = &vehicle.part(self.part()).name;
        match self {
            Self::Feed { supply, both, .. } => {
                let back = if both { " and a lead back to its negative post" } else { "" };
                format!("a fused lead from the positive post of {} to {part}{back}", vehicle.part(supply).name)
            }
            Self::Bridge { .. } => format!("a bridge across {part}"),
            Self::Off { at, .. } => format!("{part} off at {}", vehicle.point(at).name()),
            Self::Lamp { .. } => format!("a lamp in place of {part}"),
        }
    }

    fn control(self, vehicle: &Vehicle) -> Control {
        let place = match vehicle.reach(self.point(vehicle)) {
            Reach::At(place) => Some(place),
            Reach::Never => vehicle.part(self.part()).place,
        };
        Control {
            is_bolted: false,
            name: self.name(vehicle),
            label: self.label(vehicle),
            kind: ControlKind::Aid(self),
            rest: Position::Off,
            minutes: Minutes(0.0),
            place,
        }
    }
}

impl Vehicle {
    /// With every aid that may be used on it.
    pub fn with_aids(mut self) -> Self {
        self.aids = aids_of(&self);
        self
    }
}

fn aids_of(vehicle: &Vehicle) -> Vec<Control> {
    let leads = SupplyLeads::of(vehicle, &State::rest(vehicle));
    let supplies: Vec<PartId> = vehicle.supplies().collect();
    let supply_of = |load: PartId| {
        let (_, post) = leads.there(vehicle, vehicle.part(load).from);
        let at_post = supplies.iter().copied().filter(|&id| vehicle.part(id).to == post);
        at_post.min_by_key(|&id| !vehicle.part(id).kind.is_battery())
    };
    let of_part = |part: PartId| {
        let (from, to) = vehicle.part(part).ends();
        let load = vehicle.part(part).kind.is_load().then_some(part);
        let feeds = load.and_then(|load| Some((load, supply_of(load)?)));
        let of_both = |(load, supply)| [false, true].map(|both| Aid::Feed { load, supply, both });
        let feeds = feeds.into_iter().flat_map(of_both);
        let offs = [to, from].into_iter().map(move |at| Aid::Off { part, at });
        let lamp = load.map(|load| Aid::Lamp { load });
        feeds.chain(offs).chain([Aid::Bridge { part }]).chain(lamp).collect::<Vec<_>>()
    };
    let fit = |aid: &Aid| aid.is_fit(vehicle).is_ok();
    vehicle.part_ids().flat_map(of_part).filter(fit).map(|aid| aid.control(vehicle)).collect()
}
