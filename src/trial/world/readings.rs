//! What the instruments show of what is really there, and what is written down.

use super::as_is::{Condition, World};
use crate::meter::MeterKind;
use crate::network::{Between, Branch, Law, SolveError, as_an_ohmmeter_finds_it, solve};
use crate::predict::{Burden, Probe};
use crate::quantity::{Amps, LARGEST_READING, Measured, Ohms, TWELVE_VOLTS, Typed, Volts};
use crate::tables::trial::Simulation;
use crate::trial::conditions::MeterQuality;
use crate::vehicle::{PartId, PointId, State};
use rand::seq::IndexedRandom;
use rand::{Rng, RngExt};
use rand_distr::{Distribution, StandardNormal};

/// Numerical: share of the test voltage that is left at least.
const LEAST_LEFT: f64 = 1e-9;

/// A reading as it was written down.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TakenReading {
    /// What was written down.
    pub measured: Measured,
    /// Whether it was misread, or taken at a wrong pin.
    pub is_misread: bool,
}

impl World {
    /// What somebody writes down for a reading.
    ///
    /// # Errors
    /// As [`Self::blow`].
    pub fn read(
        &self,
        state: &State,
        probe: Probe,
        meter: MeterKind,
        random: &mut impl Rng,
    ) -> Result<TakenReading, SolveError> {
        let is_misread = random.random_bool(self.conditions.misreads.clamp(0.0, 1.0));
        let wrong_pin = is_misread && random.random_bool(self.tables.trial.wrong_pin);
        let mut elsewhere = |point: PointId| if wrong_pin { self.neighbour(point, random) } else { point };
        let measured = match probe {
            Probe::Voltage { red, black, burden } => {
                let red = elsewhere(red);
                let volts = self.volts(state, red, black, burden, meter, random)?;
                let sheet = meter.meter(self.instruments());
                let off = self.misshown(volts, sheet.step(volts));
                let mut shown = Typed { value: sheet.shows(off), step: sheet.step(off) };
                if is_misread && !wrong_pin {
                    shown.value = slip(shown.value, random);
                    shown.step = sheet.step(shown.value);
                }
                Measured::Volts(shown)
            }
            Probe::Resistance { red, black } => self.ohms(state, elsewhere(red), black)?,
            Probe::Current { part } => self.amps(state, part, random)?,
        };
        Ok(TakenReading { measured, is_misread })
    }

    /// What a meter with this one's errors makes of a voltage; `step` is one of
    /// its last digit.
    pub fn misshown(&self, volts: Volts, step: Volts) -> Volts {
        Volts(volts.0 * (1.0 + self.gain) + self.offset * step.0)
    }

    /// What an ohmmeter shows: its test current through what it finds, leads
    /// and all.
    ///
    /// # Errors
    /// As [`Self::blow`].
    pub fn ohms(&self, state: &State, red: PointId, black: PointId) -> Result<Measured, SolveError> {
        let mut network = as_an_ohmmeter_finds_it(&self.network(state));
        let (red, black) = (red.index(), black.index());
        // One volt behind as many ohms as make the test current.
        let inside = Ohms(1.0 / self.instruments().ohmmeter_current.0);
        let law = Law::Battery { emf: Volts(1.0), ohms: inside, charging: inside };
        network.branches.push(Branch { from: black, to: red, law });
        let volts = match solve(network)?.between(red, black) {
            Between::Volts(volts) => volts.0,
            Between::Floating => 1.0,
        };
        let ohms = inside.0 * volts / (1.0 - volts).max(LEAST_LEFT) + self.tables.trial.leads.0;
        Ok(match ohms {
            ohms if ohms > self.tables.trial.most_ohms.0 => Measured::NoPath,
            ohms => {
                let step = 10f64.powf((ohms.max(1.0)).log10().floor() - 2.0).max(self.tables.trial.ohms_digit.0);
                Measured::Ohms(Typed { value: Ohms((ohms.max(0.0) / step).round() * step), step: Ohms(step) })
            }
        })
    }

    /// What a clamp shows.
    ///
    /// # Errors
    /// As [`Self::blow`].
    pub fn amps(&self, state: &State, part: PartId, random: &mut impl Rng) -> Result<Measured, SolveError> {
        let amps = self.solved(state, Condition::Faulty)?.current(part.index()).0;
        let noise: f64 = StandardNormal.sample(random);
        let zero =
            if self.conditions.instrument == MeterQuality::Real { self.tables.trial.clamp_zero.0 * noise } else { 0.0 };
        let step = self.tables.trial.clamp_digit.0;
        Ok(Measured::Amps(Typed { value: Amps(((amps + zero) / step).round() * step), step: Amps(step) }))
    }

    /// Volts at the tips of the probes, with the meter on them.
    ///
    /// # Errors
    /// As [`Self::blow`].
    pub fn volts(
        &self,
        state: &State,
        red: PointId,
        black: PointId,
        burden: Burden,
        meter: MeterKind,
        random: &mut impl Rng,
    ) -> Result<Volts, SolveError> {
        let noise: [f64; 2] = [StandardNormal.sample(random), StandardNormal.sample(random)];
        let [wander, own] = if self.conditions.instrument == MeterQuality::Real { noise } else { [0.0; 2] };
        let (red, black) = (red.index(), black.index());
        let floats = self.solved(state, Condition::Faulty)?.between(red, black) == Between::Floating;
        let mut metered = self.network(state);
        let law = Law::Resistor(meter.meter(self.instruments()).input.conductance());
        metered.branches.push(Branch { from: red, to: black, law });
        if burden == Burden::Lamp {
            let law =
                Law::Resistor((self.instruments().lamp * (self.vehicle.nominal.0 / TWELVE_VOLTS.0)).conductance());
            metered.branches.push(Branch { from: red, to: black, law });
        }
        let volts = match solve(metered)?.between(red, black) {
            Between::Volts(volts) => volts.0,
            Between::Floating => 0.0,
        };
        // What nothing joins but the meter; through a diode that may be a way.
        if floats && volts.abs() < self.tables.trial.stray.0 {
            return Ok(Volts(volts + self.tables.trial.stray.0 * own));
        }
        let Simulation { wander: spread, probe_noise, .. } = &self.tables.trial;
        Ok(Volts(volts * (1.0 + spread * wander) + probe_noise.0 * own))
    }

    /// Another point at the same place.
    fn neighbour(&self, point: PointId, random: &mut impl Rng) -> PointId {
        let places = &self.vehicle.point(point).places;
        let beside: Vec<PointId> = (0..self.vehicle.points.len())
            .map(PointId::new)
            .filter(|&other| other != point)
            .filter(|&other| self.vehicle.point(other).places.iter().any(|place| places.contains(place)))
            .collect();
        beside.choose(random).copied().unwrap_or(point)
    }
}

/// A slip of the pen: the decimal point moved, or another first digit.
fn slip(value: Volts, random: &mut impl Rng) -> Volts {
    // Format: decimal places.
    let wrong = match random.random_range(0..3) {
        0 => value.0 * 10.0,
        1 => value.0 / 10.0,
        _ => value.0 + f64::from(random.random_range(1..=9u8)) * if value.abs().0 < 1.0 { 0.1 } else { 1.0 },
    };
    if wrong.abs() > LARGEST_READING.0 { Volts(value.0 / 10.0) } else { Volts(wrong) }
}
