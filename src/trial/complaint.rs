//! Complaint: what somebody would notice of what is wrong, if anything.

use super::bench::Bench;
use super::conditions::{Conditions, MeterQuality, WrongKind};
use super::world::{Look, World, in_order_of_naming, likeliest};
use crate::fault::{FailureMode, Fault, ways};
use crate::network::SolveError;
use crate::tables::supply::hours_to_flat;
use crate::vehicle::{ControlId, PartId, Position, State};
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
        Ok(self.flat(world)?.unwrap_or(Noticed::No))
    }

    /// A battery that is flat within days of standing, where a sound vehicle's
    /// would last: nobody sees anything else of what draws while all sleeps.
    fn flat(&self, world: &World) -> Result<Option<Noticed>, SolveError> {
        let asleep: Vec<_> = self.vehicle.sleep_controls().map(|control| (control, Position::On)).collect();
        let state = State::rest(&self.vehicle).with_all(&asleep);
        for battery in self.vehicle.part_ids() {
            let Some(kind) = self.vehicle.part(battery).kind.battery() else { continue };
            let lasts = |amps| hours_to_flat(kind.ampere_hours, amps);
            if lasts(world.given(&state, battery)?) < self.tables.trial.flat_within
                && lasts(world.given_when_sound(&state, battery)?) > self.tables.trial.lasts
            {
                let ailment = Ailment::GoesFlat;
                return Ok(Some(Noticed::Yes { subject: battery, ailment, is_mistaken: false, settings: asleep }));
            }
        }
        Ok(None)
    }
}
