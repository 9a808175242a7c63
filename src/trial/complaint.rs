//! Complaint: what somebody would notice of what is wrong, if anything.

use super::bench::Bench;
use super::conditions::{Conditions, MeterQuality, WrongKind};
use super::world::{Look, World, in_order_of_naming, likeliest};
use crate::fault::{FailureMode, Fault, ways};
use crate::network::SolveError;
use crate::quantity::{Amps, TWELVE_VOLTS};
use crate::tables::supply::{charging_resistance, hours_to_flat, rest_voltage};
use crate::tables::world::LogUniform;
use crate::vehicle::{
    Battery, BatteryChemistry, ControlId, ControlKind, PartId, PartKind, Position, Protection, State, Supply, Vehicle,
};
use rand::{Rng, RngExt};

/// What is complained of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ailment {
    /// A load looks so.
    Looks(Look),
    /// A load runs that should be off.
    StaysOn,
    /// A battery is flat too soon.
    GoesFlat,
}

/// What one fault came to.
pub enum Noticed {
    Yes { subject: PartId, ailment: Ailment, is_mistaken: bool, settings: Vec<(ControlId, Position)> },
    No,
    Chatters,
}

/// From: a battery as small vehicles have it, A·h.
const SMALL_BATTERY: f64 = 70.0;

/// A vehicle with a battery that can go flat: its own, or a lead-acid one in the place
/// of what feeds it.
pub fn with_battery(mut vehicle: Vehicle) -> Vehicle {
    let Some(supply) = vehicle.supplies().next() else { return vehicle };
    if vehicle.supplies().any(|id| vehicle.part(id).kind.is_battery()) {
        return vehicle;
    }
    let (chemistry, ampere_hours) = (BatteryChemistry::LeadAcid, SMALL_BATTERY);
    let rest = rest_voltage(chemistry, 1.0) * (vehicle.nominal.0 / TWELVE_VOLTS.0);
    let charging = charging_resistance(chemistry, ampere_hours);
    let protection = Protection { least: None, most: None };
    let battery = Battery { chemistry, ampere_hours, rest, charging, protection };
    vehicle.parts[supply.index()].kind = PartKind::Supply(Supply::Battery(battery));
    vehicle
}

impl Bench {
    /// The complaint that somebody makes, of one load of those that are not as
    /// they should be: what is before one's eyes rather than what is not.
    pub(super) fn complaint(
        &self,
        world: &World,
        conditions: &Conditions,
        random: &mut impl Rng,
    ) -> Result<Noticed, SolveError> {
        let of = &self.tables.world;
        let rest = State::rest(&self.vehicle);
        if conditions.wrong == WrongKind::Drain {
            let LogUniform { least, most } = of.drains;
            // Everything off: what calls for current by itself is switched off too.
            let calls = |&control: &ControlId| self.vehicle.control(control).kind == ControlKind::Calling;
            let off = self.vehicle.control_ids().filter(calls).map(|control| (control, Position::Off));
            let is_drained = |given: Amps, sound: Amps, _| (least..=most).contains(&(given - sound).0);
            let drained = self.flat(world, off.collect(), is_drained)?;
            return Ok(drained.unwrap_or(Noticed::No));
        }
        // What only an instrument shows is told by what it shows.
        if let (WrongKind::Instrument, Some((fault, size))) = (conditions.wrong, world.trouble().faults().next()) {
            let mut states = self.loads.values().map(|settings| rest.with_all(settings)).chain([rest.clone()]);
            let is_seen = states.try_fold(false, |seen, state| {
                Ok::<_, SolveError>(seen || world.shows_wrong(&state, (fault, size))?)
            })?;
            if !is_seen {
                return Ok(Noticed::No);
            }
            let ailment = Ailment::Looks(Look::Right);
            return Ok(Noticed::Yes { subject: fault.part, ailment, is_mistaken: false, settings: Vec::new() });
        }
        let order = in_order_of_naming(of, &self.vehicle, self.loads.keys().copied(), random);
        let mut weak = None;
        for &load in &order {
            let settings = &self.loads[&load];
            let state = rest.with_all(settings);
            if !self.may_touch(world, load, &state)? || !world.is_served(&state, load)? {
                continue;
            }
            if conditions.wrong == WrongKind::Faint {
                if self.is_faint(world, &state, load)? {
                    let (ailment, settings) = (Ailment::Looks(Look::Weak), settings.clone());
                    return Ok(Noticed::Yes { subject: load, ailment, is_mistaken: false, settings });
                }
                continue;
            }
            let look = match conditions.instrument {
                MeterQuality::Real => world.look_truly(&state, load)?,
                MeterQuality::Perfect => likeliest(&world.looks(&state, load)?),
            };
            if look == Look::Right {
                continue;
            }
            if world.is_restless(&state)? {
                return Ok(Noticed::Chatters);
            }
            let told = match world.look_at(&state, load, random)? {
                Look::Right => look,
                told => told,
            };
            let noticed = Noticed::Yes {
                subject: load,
                ailment: Ailment::Looks(told),
                is_mistaken: told != look,
                settings: settings.clone(),
            };
            // Whoever finds something weak mostly goes on to what is dead.
            if look == Look::Dead || weak.is_some() || !random.random_bool(of.dead_first) {
                return Ok(match look {
                    Look::Dead => noticed,
                    _ => weak.unwrap_or(noticed),
                });
            }
            weak = Some(noticed);
        }
        match weak {
            Some(noticed) => Ok(noticed),
            None => self.other_complaint(world, &rest, &order),
        }
    }

    /// Whether what is wrong can have to do with a load: what carries nothing for
    /// it when all is sound can be opened without anybody noticing.
    fn may_touch(&self, world: &World, load: PartId, state: &State) -> Result<bool, SolveError> {
        let (trouble, is_departed) = (world.trouble(), world.departure().is_some());
        if trouble.is_of_drawing() || is_departed {
            return Ok(true);
        }
        let sound = self.as_drawn(state)?;
        let least = self.tables.trial.least_current.0;
        let idle = |(fault, _): (Fault, f64)| {
            let carries = ways(&self.vehicle, fault).any(|way| sound.current(way.index()).0.abs() >= least);
            fault.mode.is_in_series() && fault.part != load && !carries
        };
        Ok(!trouble.faults().all(idle))
    }

    /// Whether most people would say that a load is right, and some that it is weak.
    fn is_faint(&self, world: &World, state: &State, load: PartId) -> Result<bool, SolveError> {
        let shares = world.looks(state, load)?;
        Ok(likeliest(&shares) == Look::Right && shares[1] > self.tables.world.one_of_people)
    }

    /// What is complained of where everything does what it should.
    fn other_complaint(&self, world: &World, rest: &State, loads: &[PartId]) -> Result<Noticed, SolveError> {
        let trouble = world.trouble();
        let closes = |(fault, _): (Fault, f64)| {
            matches!(
                fault.mode,
                FailureMode::ContactWelded
                    | FailureMode::ShortAcross
                    | FailureMode::ShortBetweenCircuits
                    | FailureMode::WrongTerminal
                    | FailureMode::Crossed
            )
        };
        if trouble.is_of_drawing() || trouble.faults().any(closes) {
            let itself = |load: PartId| trouble.faults().any(|(fault, _)| fault.part == load);
            for &load in loads {
                let off = likeliest(&world.looks_when_sound(rest, load)?) == Look::Dead;
                if off && !itself(load) && likeliest(&world.looks(rest, load)?) != Look::Dead {
                    let (ailment, settings) = (Ailment::StaysOn, Vec::new());
                    return Ok(Noticed::Yes { subject: load, ailment, is_mistaken: false, settings });
                }
            }
        }
        let figures = &self.tables.trial;
        let is_soon = |given, sound, ampere_hours| {
            hours_to_flat(ampere_hours, given) < figures.flat_within
                && hours_to_flat(ampere_hours, sound) > figures.lasts
        };
        Ok(self.flat(world, Vec::new(), is_soon)?.unwrap_or(Noticed::No))
    }

    /// A battery that is flat too soon by what it gives while all sleeps, what it gives
    /// when sound, and its capacity: nobody sees anything else of what draws then.
    fn flat(
        &self,
        world: &World,
        mut settings: Vec<(ControlId, Position)>,
        is_too_soon: impl Fn(Amps, Amps, f64) -> bool,
    ) -> Result<Option<Noticed>, SolveError> {
        settings.extend(self.vehicle.sleep_controls().map(|control| (control, Position::On)));
        let state = State::rest(&self.vehicle).with_all(&settings);
        for battery in self.vehicle.part_ids() {
            let Some(kind) = self.vehicle.part(battery).kind.battery() else { continue };
            let (given, sound) = (world.given(&state, battery)?, world.given_when_sound(&state, battery)?);
            if is_too_soon(given, sound, kind.ampere_hours) {
                let ailment = Ailment::GoesFlat;
                return Ok(Some(Noticed::Yes { subject: battery, ailment, is_mistaken: false, settings }));
            }
        }
        Ok(None)
    }
}
