//! How things stand for the person, and what a test costs in minutes.
//! Minutes come from [`Times`]; places from the vehicle file.

use super::advice::{Sense, Test};
use crate::belief::Evidence;
use crate::complaint::{Channel, Complaint};
use crate::meter::MeterKind;
use crate::predict::{Burden, Probe};
use crate::quantity::Minutes;
use crate::tables::Tables;
use crate::tables::times::Times;
use crate::vehicle::trace::way_there_and_back;
use crate::vehicle::{Aid, ControlId, ControlKind, PartId, PlaceId, PointId, Position, Reach, State, Vehicle};

fn sense_minutes(times: &Times, sense: Sense) -> Minutes {
    match sense {
        Sense::Look => times.look,
        Sense::Listen | Sense::Fuse | Sense::Lamp | Sense::Source | Sense::Feel => times.glance,
    }
}

/// What a measurement takes beside holding the probes.
fn extra_minutes(times: &Times, probe: Probe) -> Minutes {
    match probe {
        Probe::Voltage { burden: Burden::Bare | Burden::Each(_), .. } => Minutes(0.0),
        Probe::Voltage { burden: Burden::Lamp, .. } | Probe::Current { .. } => times.set_up,
        Probe::Resistance { .. } => times.make_sure,
        Probe::Fixed { .. } => Minutes(0.0),
    }
}

/// Putting an aid in and taking it away again. What comes off a contact for it
/// may cure that.
fn aid_minutes(times: &Times, aid: Aid) -> Minutes {
    match aid {
        Aid::Feed { both: false, .. } => times.feed,
        Aid::Feed { both: true, .. } => times.feed + times.feed_back,
        Aid::Bridge { .. } => times.bridge,
        Aid::Off { .. } => times.take_off + times.disturbs,
        Aid::Lamp { .. } => times.lamp + times.disturbs,
    }
}

/// How things stand.
#[derive(Debug, Clone, Copy)]
pub struct Situation<'a> {
    /// What the planner goes by.
    pub tables: &'a Tables,
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
    /// Where it stands, once it has been put somewhere.
    pub black_lead: Option<PointId>,
    /// The meter in hand.
    pub meter: MeterKind,
    /// Whether it has been fetched.
    pub is_meter_out: bool,
    /// The complaint whose tree asks along.
    pub complaint: Option<&'a Complaint>,
    /// Who looks and reads.
    pub channel: Channel,
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
    pub fn untouched(
        tables: &'a Tables,
        vehicle: &Vehicle,
        evidence: &'a Evidence,
        state: &'a State,
        opened: &'a [PlaceId],
    ) -> Self {
        Self {
            tables,
            evidence,
            state,
            opened,
            out_of_reach: &[],
            unwanted: &[],
            black: vehicle.black,
            black_lead: None,
            meter: MeterKind::default(),
            is_meter_out: true,
            complaint: None,
            channel: Channel::default(),
        }
    }

    /// Whether a probe can get at a point.
    pub fn can_reach(&self, vehicle: &Vehicle, point: PointId) -> bool {
        vehicle.reach(point) != Reach::Never && !self.out_of_reach.contains(&point)
    }

    /// Whether a black lead stands there for good: the usual point, or a bar.
    pub fn is_negative(&self, bars: &[PointId], point: PointId) -> bool {
        point == self.black || bars.contains(&point)
    }

    /// Where a long black lead goes whatever the red one is on: the usual point, where it
    /// stands already, and a bar at each place that is open.
    pub fn far_negatives(&self, vehicle: &Vehicle, bars: &[PointId]) -> Vec<PointId> {
        let stands = self.black_lead.filter(|&point| self.is_negative(bars, point));
        let bar_at = |place: &PlaceId| bars.iter().copied().find(|bar| vehicle.point(*bar).places.contains(place));
        let mut all: Vec<PointId> = [self.black].into_iter().chain(stands).collect();
        all.extend(self.opened.iter().filter_map(bar_at));
        all.sort_unstable();
        all.dedup();
        all
    }

    /// What a test takes from here.
    pub fn effort(&self, vehicle: &Vehicle, test: Test, settings: &[(ControlId, Position)]) -> Effort {
        let times = &self.tables.times;
        let mut effort = self.settings_effort(vehicle, settings);
        match test {
            Test::Sense { subject, sense } => {
                effort.minutes += sense_minutes(times, sense);
                match vehicle.part(subject).place {
                    Some(place) if matches!(sense, Sense::Fuse | Sense::Lamp | Sense::Feel) => {
                        self.go(vehicle, place, &mut effort)
                    }
                    // What a load does is seen from outside, once one has gone there.
                    Some(place) if !self.opened.contains(&place) => effort.minutes += times.step,
                    _ => {}
                }
            }
            Test::Ask(_) => {}
            // It is in view, and needs no meter.
            Test::Measure(Probe::Fixed { .. }) => effort.minutes += times.panel,
            Test::Measure(probe) => {
                effort.minutes += match self.is_clamped(probe) {
                    true => times.glance,
                    false => times.read + extra_minutes(times, probe),
                };
                if !self.is_meter_out {
                    effort.minutes += times.meter_out;
                }
                let (red, black) = probe.points(vehicle);
                let at_red = self.place(vehicle, red);
                at_red.into_iter().for_each(|place| self.go(vehicle, place, &mut effort));
                // A clamp goes round at one place.
                if !matches!(probe, Probe::Current { .. }) {
                    self.put_black_lead(vehicle, black, at_red, &mut effort);
                }
            }
        }
        effort
    }

    /// The black lead stays clipped to where it was put. What it is moved to is proved
    /// once; on the usual point, the negative of a battery, there is nothing to prove.
    fn put_black_lead(&self, vehicle: &Vehicle, black: PointId, at_red: Option<PlaceId>, effort: &mut Effort) {
        if self.black_lead == Some(black) {
            return;
        }
        let at_black = self.place(vehicle, black);
        if at_black != at_red {
            at_black.into_iter().for_each(|place| self.go(vehicle, place, effort));
        }
        let is_first = self.black_lead.is_none() && black == self.black;
        if !is_first {
            effort.minutes += self.tables.times.black_lead;
        }
        if black != self.black && at_black != at_red {
            effort.minutes += self.tables.times.long_lead;
        }
    }

    /// What it takes to set things.
    pub fn settings_effort(&self, vehicle: &Vehicle, settings: &[(ControlId, Position)]) -> Effort {
        let times = &self.tables.times;
        let mut effort = Effort { minutes: Minutes(0.0), opens: Vec::new() };
        let is_there_to_stay = self.evidence.hunts_a_drain() || self.evidence.blowing().next().is_some();
        let mut board = None;
        for &(control, position) in settings {
            let control = vehicle.control(control);
            // Fuse after fuse of one board goes quickly.
            let is_pulled = control.kind == ControlKind::Fuse && !control.is_bolted;
            let is_beside = is_pulled && control.place.is_some() && board == control.place;
            board = control.place.filter(|_| is_pulled);
            effort.minutes += if is_beside { times.fuse_beside } else { control.minutes };
            effort.minutes += match control.kind {
                // What drains goes on draining, and what is shorted blows again: neither is
                // cured by a hand.
                ControlKind::Plug | ControlKind::Fuse if is_there_to_stay => Minutes(0.0),
                ControlKind::Plug | ControlKind::Fuse => times.disturbs,
                ControlKind::Aid(aid) if position == Position::On => aid_minutes(times, aid),
                ControlKind::Aid(_)
                | ControlKind::Switch
                | ControlKind::Calling
                | ControlKind::Condition
                | ControlKind::Sensed => Minutes(0.0),
            };
            if let Some(place) = control.place.filter(|_| !is_beside) {
                self.go(vehicle, place, &mut effort);
            }
        }
        if self.evidence.hunts_a_drain() {
            effort.minutes += self.falls_asleep(vehicle, settings);
        }
        effort
    }

    /// Whether a clamp has been left there.
    fn is_clamped(&self, probe: Probe) -> bool {
        let mut clamped = self.evidence.readings.iter().rev().map(|reading| reading.probe);
        matches!(probe, Probe::Current { .. })
            && clamped.find(|other| matches!(other, Probe::Current { .. })).is_some_and(|other| other.is_same(probe))
    }

    /// What is woken by fitting its fuse or plug again is waited for until it sleeps;
    /// of what is pulled every other is fitted again.
    fn falls_asleep(&self, vehicle: &Vehicle, settings: &[(ControlId, Position)]) -> Minutes {
        let is_pulled = |&&(control, _): &&(ControlId, Position)| {
            matches!(vehicle.control(control).kind, ControlKind::Fuse | ControlKind::Plug)
        };
        let waits = |&(control, position): &(ControlId, Position)| {
            let is_gated = |part: PartId| vehicle.part(part).gates.iter().any(|&(gate, _)| gate == control);
            let state = self.state.with(control, Position::On);
            let sleeps = vehicle.loads().filter_map(|load| Some((load, vehicle.part(load).kind.load()?.sleep?.with)));
            let woken = sleeps.filter(|&(load, with)| {
                self.state.position(with) == Position::On
                    && way_there_and_back(vehicle, &state, load).into_iter().any(is_gated)
            });
            let wait = woken.map(|(_, with)| vehicle.control(with).minutes.0).fold(0.0, f64::max);
            if position == Position::On { wait } else { 0.5 * wait }
        };
        Minutes(settings.iter().filter(is_pulled).map(waits).fold(0.0, f64::max))
    }

    fn go(&self, vehicle: &Vehicle, place: PlaceId, effort: &mut Effort) {
        if self.opened.contains(&place) || effort.opens.contains(&place) {
            effort.minutes += self.tables.times.step;
        } else {
            effort.minutes += vehicle.place(place).effort();
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
