//! How things stand for the person, and what a test costs in minutes.
//! Minutes are common practice, no source; places come from the vehicle file.

use super::advice::{Sense, Test};
use crate::belief::Evidence;
use crate::complaint::{Complaint, Told};
use crate::meter::MeterKind;
use crate::predict::{Burden, Probe};
use crate::quantity::Minutes;
use crate::vehicle::{ControlId, ControlKind, PlaceId, PointId, Position, Reach, State, Vehicle};

/// Taking a reading with both probes at hand, and entering it.
const READ: f64 = 1.5;
/// Getting meter and leads out of their bag, while people can still be asked.
const METER_OUT: f64 = 2.0;
/// Moving to a place that is open already.
const MOVE: f64 = 0.2;
/// Leading a probe from one place to another.
const LONG_LEAD: f64 = 0.5;
/// Looking at a load.
const LOOK: f64 = 1.5;
/// Listening, or glancing at a display or a fuse.
const GLANCE: f64 = 0.7;
/// Making sure that a circuit is dead before it is measured so.
const MAKE_SURE: f64 = 1.0;
/// Holding a lamp to the leads, zeroing a clamp.
const SET_UP: f64 = 0.5;
/// Unplugging or pulling may cure a bad contact for a week.
const DISTURBS: f64 = 3.0;

fn sense_minutes(sense: Sense) -> f64 {
    match sense {
        Sense::Look => LOOK,
        Sense::Listen | Sense::Fuse | Sense::Source | Sense::Feel => GLANCE,
    }
}

fn extra_minutes(probe: Probe) -> f64 {
    match probe {
        Probe::Voltage { burden: Burden::Bare, .. } => 0.0,
        Probe::Voltage { burden: Burden::Lamp, .. } | Probe::Current { .. } => SET_UP,
        Probe::Resistance { .. } => MAKE_SURE,
    }
}

/// How things stand.
#[derive(Debug, Clone, Copy)]
pub struct Situation<'a> {
    /// What is known.
    pub evidence: &'a Evidence,
    /// How everything is set now.
    pub state: &'a State,
    /// Places that are open.
    pub opened: &'a [PlaceId],
    /// Points that cannot be reached.
    pub out_of_reach: &'a [PointId],
    /// Loads that cannot be looked at, and tests not wanted.
    pub unwanted: &'a [Test],
    /// Where the black lead goes unless said otherwise.
    pub black: PointId,
    /// The meter in hand.
    pub meter: MeterKind,
    /// The complaint whose tree asks along.
    pub complaint: Option<&'a Complaint>,
    /// Who looks and reads.
    pub told: Told,
}

/// What a test takes.
#[derive(Debug, Clone, PartialEq)]
pub struct Effort {
    /// Time, with penalties for disturbing the fault.
    pub minutes: Minutes,
    /// Places to open.
    pub opens: Vec<PlaceId>,
}

impl<'a> Situation<'a> {
    /// With nothing said, read or refused so far, and the usual meter in hand.
    pub fn untouched(vehicle: &Vehicle, evidence: &'a Evidence, state: &'a State, opened: &'a [PlaceId]) -> Self {
        Self {
            evidence,
            state,
            opened,
            out_of_reach: &[],
            unwanted: &[],
            black: vehicle.black,
            meter: MeterKind::default(),
            complaint: None,
            told: Told::default(),
        }
    }

    /// Whether a probe can get at a point.
    pub fn can_reach(&self, vehicle: &Vehicle, point: PointId) -> bool {
        vehicle.reach(point) != Reach::Never && !self.out_of_reach.contains(&point)
    }

    /// What a test takes from here.
    pub fn effort(&self, vehicle: &Vehicle, test: Test, settings: &[(ControlId, Position)]) -> Effort {
        let mut effort = Effort { minutes: Minutes(0.0), opens: Vec::new() };
        for &(control, _) in settings {
            let control = vehicle.control(control);
            effort.minutes = effort.minutes + control.minutes;
            if matches!(control.kind, ControlKind::Plug | ControlKind::Fuse) {
                effort.minutes = effort.minutes + Minutes(DISTURBS);
            }
            if let Some(place) = control.place {
                self.go(vehicle, place, &mut effort);
            }
        }
        match test {
            Test::Sense { subject, sense } => {
                effort.minutes = effort.minutes + Minutes(sense_minutes(sense));
                let place = vehicle.part(subject).place.filter(|_| matches!(sense, Sense::Fuse | Sense::Feel));
                place.into_iter().for_each(|place| self.go(vehicle, place, &mut effort));
            }
            Test::Ask(_) => {}
            Test::Measure(probe) => {
                effort.minutes = effort.minutes + Minutes(READ + extra_minutes(probe));
                if self.complaint.is_some() && self.evidence.readings.is_empty() {
                    effort.minutes = effort.minutes + Minutes(METER_OUT);
                }
                let (red, black) = probe.points(vehicle);
                let (at_red, at_black) = (self.place(vehicle, red), self.place(vehicle, black));
                at_red.into_iter().for_each(|place| self.go(vehicle, place, &mut effort));
                // The black lead stays clipped to its usual point; a clamp goes
                // round at one place.
                if black != self.black && !matches!(probe, Probe::Current { .. }) {
                    at_black.into_iter().for_each(|place| self.go(vehicle, place, &mut effort));
                    if at_red != at_black {
                        effort.minutes = effort.minutes + Minutes(LONG_LEAD);
                    }
                }
            }
        }
        effort
    }

    fn go(&self, vehicle: &Vehicle, place: PlaceId, effort: &mut Effort) {
        if self.opened.contains(&place) || effort.opens.contains(&place) {
            effort.minutes = effort.minutes + Minutes(MOVE);
        } else {
            effort.minutes = effort.minutes + vehicle.place(place).effort();
            effort.opens.push(place);
        }
    }

    /// The place from which a point is reached most easily now.
    fn place(&self, vehicle: &Vehicle, point: PointId) -> Option<PlaceId> {
        let places = &vehicle.point(point).places;
        let cost = |place: &PlaceId| if self.opened.contains(place) { 0.0 } else { vehicle.place(*place).effort().0 };
        places.iter().copied().min_by(|a, b| cost(a).total_cmp(&cost(b)))
    }
}
