//! What may be asked of somebody on the phone. Rules are common practice, no
//! source.

use super::advice::{Advice, Test};
use super::effort::Situation;
use crate::complaint::Channel;
use crate::quantity::Minutes;
use crate::vehicle::{Disturbance, Hazard, PlaceId, PointId, Vehicle};

/// What is never asked of somebody without skill.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Never {
    /// A bigger fuse, or foil in its place.
    BiggerFuse,
    /// A wire across a relay socket.
    BridgeRelay,
    /// Jumping or opening a lithium battery.
    OpenLithium,
    /// The mains side of anything.
    Mains,
    /// Studs of a battery or isolator with loads on.
    LiveStuds,
    /// Solar plugs in the sun, with current flowing.
    SolarPlugs,
    /// A hand or body where something can move.
    Moving,
    /// Connectors of airbags and belts, or seats.
    Restraint,
    /// A meter on ohms or amperes.
    OhmsOrAmps,
    /// Gas or traction voltage.
    Licensed,
    /// Anything that has to be taken apart first.
    Dismantling,
}

/// All of them, for whoever helps to have in view.
pub const NEVER: [Never; 11] = [
    Never::BiggerFuse,
    Never::BridgeRelay,
    Never::OpenLithium,
    Never::Mains,
    Never::LiveStuds,
    Never::SolarPlugs,
    Never::Moving,
    Never::Restraint,
    Never::OhmsOrAmps,
    Never::Licensed,
    Never::Dismantling,
];

/// Why nobody is sent to a place by phone.
fn never_at(vehicle: &Vehicle, place: PlaceId, a_lid: Minutes) -> Option<Never> {
    let by_hazard = |hazard: Hazard| match hazard {
        Hazard::Mains => Some(Never::Mains),
        Hazard::Restraint => Some(Never::Restraint),
        Hazard::HighVoltage | Hazard::Gas => Some(Never::Licensed),
        Hazard::Moving => Some(Never::Moving),
        Hazard::Battery | Hazard::Hot => None,
    };
    let mut here = vehicle.cautions.iter().filter(|caution| caution.place == place);
    let of = vehicle.place(place);
    let apart = of.minutes.0 > a_lid.0 || of.disturbance != Disturbance::None;
    here.find_map(|caution| by_hazard(caution.hazard)).or(apart.then_some(Never::Dismantling))
}

/// Whether a probe may be led to a point: anybody on site may go anywhere.
pub fn may_go(vehicle: &Vehicle, situation: &Situation<'_>, point: PointId) -> bool {
    let mut places = vehicle.point(point).places.iter();
    situation.channel == Channel::OnSite
        || places.any(|&place| never_at(vehicle, place, situation.tables.plan.a_lid).is_none())
}

/// Whether ohms, amperes, test lamps and changes of plugs and fuses are out.
pub fn plain_volts_only(situation: &Situation<'_>) -> bool {
    situation.channel == Channel::ByPhone
}

/// By phone, eyes and ears come before any meter.
pub fn eyes_first(situation: &Situation<'_>, advices: &mut [Advice]) {
    if situation.channel == Channel::ByPhone {
        advices.sort_by_key(|advice| matches!(advice.test, Test::Measure(probe) if probe.instrument().is_none()));
    }
}
