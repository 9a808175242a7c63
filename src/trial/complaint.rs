//! Complaint: what somebody would notice of a fault, if anything.

use super::bench::Bench;
use super::conditions::{Conditions, MeterQuality, WrongKind};
use super::trouble::Trouble;
use super::world::{World, likeliest, seen};
use crate::belief::{Appearance, Sign};
use crate::fault::{FailureMode, Fault, ways};
use crate::network::SolveError;
use crate::tables::supply::hours_to_flat;
use crate::vehicle::{ControlId, PartId, Position, State};
use rand::Rng;
use rand::seq::SliceRandom;

/// What one fault came to.
pub enum Noticed {
    Yes { subject: PartId, sign: Sign, is_mistaken: bool, settings: Vec<(ControlId, Position)> },
    No,
    Chatters,
}

impl Bench {
    /// The complaint that somebody makes, of one load drawn from those that
    /// are not as they should be.
    pub(super) fn complaint(
        &self,
        world: &World,
        conditions: &Conditions,
        random: &mut impl Rng,
    ) -> Result<Noticed, SolveError> {
        let trouble = world.trouble();
        let rest = State::rest(&self.vehicle);
        let mut loads: Vec<&(PartId, Vec<(ControlId, Position)>)> = self.loads.iter().collect();
        loads.shuffle(random);
        for (load, settings) in loads.iter().copied() {
            let state = rest.with_all(settings);
            let sound = self.engine.predictor().in_state(&state)?;
            let idle = |(fault, _): (Fault, f64)| {
                let carries = ways(&self.vehicle, fault)
                    .any(|way| sound.solution().current(way.index()).0.abs() >= self.tables.trial.least_current.0);
                fault.mode.is_in_series() && fault.part != *load && !carries
            };
            if !matches!(trouble, Trouble::Undrawn { .. }) && trouble.faults().all(idle) {
                continue;
            }
            if !sound.is_served(&self.vehicle, *load) {
                continue;
            }
            let chances = world.looks(&state, *load)?;
            let is_well = likeliest(&chances) == Appearance::Works;
            if conditions.wrong == WrongKind::Faint {
                if is_well && chances[Appearance::Weak.index()] > self.tables.trial.faint {
                    let (sign, settings) = (Sign::Looks(Appearance::Weak), settings.clone());
                    return Ok(Noticed::Yes { subject: *load, sign, is_mistaken: false, settings });
                }
                continue;
            }
            if is_well {
                continue;
            }
            if world.is_restless(&state)? {
                return Ok(Noticed::Chatters);
            }
            let [dead, weak, _] = chances;
            let appearance = match conditions.instrument {
                MeterQuality::Real => seen(&[dead, weak, 0.0], random),
                MeterQuality::Perfect => likeliest(&[dead, weak, 0.0]),
            };
            let (sign, settings) = (Sign::Looks(appearance), settings.clone());
            let is_mistaken = appearance != likeliest(&[dead, weak, 0.0]);
            return Ok(Noticed::Yes { subject: *load, sign, is_mistaken, settings });
        }
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
        if matches!(trouble, Trouble::Undrawn { .. }) || trouble.faults().any(closes) {
            let itself = |load: PartId| trouble.faults().any(|(fault, _)| fault.part == load);
            for &&(load, _) in &loads {
                let off = likeliest(&world.looks_when_sound(&rest, load)?) == Appearance::Dead;
                if off && !itself(load) && likeliest(&world.looks(&rest, load)?) != Appearance::Dead {
                    let (sign, settings) = (Sign::StaysOn, Vec::new());
                    return Ok(Noticed::Yes { subject: load, sign, is_mistaken: false, settings });
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
                let noticed =
                    Noticed::Yes { subject: battery, sign: Sign::GoesFlat, is_mistaken: false, settings: asleep };
                return Ok(Some(noticed));
            }
        }
        Ok(None)
    }
}
