//! What the instruments show of what is really there, and what is written down.

use super::as_is::{Condition, World};
use super::hand::{Now, Slip, SlipKind, decades, digit, kinds};
use super::instruments::sheet;
use crate::meter::MeterKind;
use crate::network::{Between, Branch, Law, SolveError, as_an_ohmmeter_finds_it, solve};
use crate::predict::{Burden, Probe};
use crate::quantity::{Amps, LARGEST_READING, Measured, Ohms, TWELVE_VOLTS, Typed, Volts};
use crate::trial::conditions::{MeterQuality, WrongKind};
use crate::vehicle::{PartId, PointId, State};
use rand::seq::IndexedRandom;
use rand::{Rng, RngExt};
use rand_distr::{Distribution, StandardNormal};

/// Numerical: share of the test voltage that is left at least.
const LEAST_LEFT: f64 = 1e-9;
/// Numerical: last digits by which a misread reading differs at least.
const SEEN: f64 = 2.5;
/// Format: a decimal place.
const TENTH: f64 = 0.1;

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
        let now = self.hand.takes(&self.tables.world, probe, random);
        let right = self.shown(state, probe, meter, random)?;
        let slips: Vec<Slip> = match now {
            Now::Right => Vec::new(),
            Now::Again(slip) => vec![slip],
            Now::Wrong => kinds(&self.tables.world, random)
                .into_iter()
                .filter_map(|kind| self.slip(kind, probe, random))
                .collect(),
        };
        for slip in slips {
            let measured = self.with_slip(slip, right, (state, probe, meter), random)?;
            if differ(measured, right) {
                self.hand.remember(probe, slip);
                return Ok(TakenReading { measured, is_misread: true });
            }
        }
        Ok(TakenReading { measured: right, is_misread: false })
    }

    /// What is shown where nobody slips.
    fn shown(
        &self,
        state: &State,
        probe: Probe,
        meter: MeterKind,
        random: &mut impl Rng,
    ) -> Result<Measured, SolveError> {
        match probe {
            Probe::Voltage { red, black, burden } => {
                let volts = self.volts(state, red, black, burden, meter, random)?;
                Ok(self.volts_shown(volts, meter))
            }
            Probe::Resistance { red, black } => self.ohms(state, red, black),
            Probe::Current { part } => self.amps(state, part, random),
            Probe::Fixed { instrument, shows } => self.displayed(state, (instrument, shows), random),
        }
    }

    fn volts_shown(&self, volts: Volts, meter: MeterKind) -> Measured {
        let sheet = sheet(&self.tables.world, meter);
        let off = self.misshown(volts, sheet.step(volts));
        Measured::Volts(Typed { value: sheet.shows(off), step: sheet.step(off) })
    }

    /// A slip of a kind, if it can be made here.
    fn slip(&self, kind: SlipKind, probe: Probe, random: &mut impl Rng) -> Option<Slip> {
        match (kind, probe) {
            (SlipKind::Next, Probe::Voltage { red, .. } | Probe::Resistance { red, .. }) => {
                self.next_pin(red, random).map(Slip::NextPin)
            }
            // Eyes slip by a digit or a decimal point; there are no leads.
            (SlipKind::Next | SlipKind::NoContact | SlipKind::Sign | SlipKind::Range, Probe::Fixed { .. }) => None,
            (SlipKind::Next, Probe::Current { part }) => self.next_wire(part, random).map(Slip::NextWire),
            (SlipKind::NoContact, Probe::Voltage { .. } | Probe::Resistance { .. }) => Some(Slip::NoContact),
            (SlipKind::Decades, _) => Some(decades(random)),
            (SlipKind::Sign, Probe::Voltage { .. } | Probe::Current { .. }) => Some(Slip::Sign),
            (SlipKind::Range, Probe::Voltage { .. }) => Some(Slip::Alternating(random.random_bool(0.5))),
            (SlipKind::Digit, _) => Some(digit(random)),
            (SlipKind::NoContact | SlipKind::Range, Probe::Current { .. })
            | (SlipKind::Sign | SlipKind::Range, Probe::Resistance { .. }) => None,
        }
    }

    /// What is written down with a slip instead of what is right.
    fn with_slip(
        &self,
        slip: Slip,
        right: Measured,
        (state, probe, meter): (&State, Probe, MeterKind),
        random: &mut impl Rng,
    ) -> Result<Measured, SolveError> {
        let otherwise = match (slip, probe) {
            (Slip::NextPin(red), Probe::Voltage { black, burden, .. }) => Some(Probe::Voltage { red, black, burden }),
            (Slip::NextPin(red), Probe::Resistance { black, .. }) => Some(Probe::Resistance { red, black }),
            (Slip::NextWire(part), Probe::Current { .. }) => Some(Probe::Current { part }),
            _ => None,
        };
        if let Some(probe) = otherwise {
            return self.shown(state, probe, meter, random);
        }
        let sheet = sheet(&self.tables.world, meter);
        Ok(match right {
            Measured::Volts(shown) => {
                let volts = match slip {
                    Slip::NoContact => {
                        let own: f64 = StandardNormal.sample(random);
                        Volts(self.tables.world.probe_noise.0 * own)
                    }
                    Slip::Alternating(true) => Volts(self.tables.world.alternating * shown.value.abs().0),
                    Slip::Alternating(false) => Volts(0.0),
                    slip => Volts(miswritten(slip, shown.value.0)),
                };
                let volts = if volts.abs().0 > LARGEST_READING.0 { Volts(TENTH * shown.value.0) } else { volts };
                Measured::Volts(Typed { value: sheet.shows(volts), step: sheet.step(volts) })
            }
            Measured::Amps(shown) => {
                let amps = Amps(miswritten(slip, shown.value.0));
                Measured::Amps(Typed { value: amps, ..shown })
            }
            Measured::Ohms(_) if slip == Slip::NoContact => Measured::NoPath,
            Measured::Ohms(shown) => self.ohms_shown(miswritten(slip, shown.value.0).abs()),
            other => other,
        })
    }

    /// What a meter with this one's errors makes of a voltage; `step` is one of
    /// its last digit.
    pub fn misshown(&self, volts: Volts, step: Volts) -> Volts {
        let sheet = sheet(&self.tables.world, self.meter);
        let (gain, digits) = (self.errors.gain * sheet.accuracy, self.errors.offset * sheet.digits);
        Volts(volts.0 * (1.0 + gain) + digits * step.0)
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
        let inside = Ohms(1.0 / self.tables.world.ohmmeter_amps.0);
        let law = Law::Battery { emf: Volts(1.0), ohms: inside, charging: inside };
        network.branches.push(Branch { from: black, to: red, law });
        let volts = match solve(network)?.between(red, black) {
            Between::Volts(volts) => volts.0,
            Between::Floating => 1.0,
        };
        let ohms = inside.0 * volts / (1.0 - volts).max(LEAST_LEFT);
        Ok(self.ohms_shown(ohms * (1.0 + self.errors.ohms) + self.errors.leads))
    }

    fn ohms_shown(&self, ohms: f64) -> Measured {
        if ohms > self.tables.world.most_ohms.0 {
            return Measured::NoPath;
        }
        let step = 10f64.powf((ohms.max(1.0)).log10().floor() - 2.0).max(self.tables.world.ohms_digit.0);
        Measured::Ohms(Typed { value: Ohms((ohms.max(0.0) / step).round() * step), step: Ohms(step) })
    }

    /// What a clamp shows.
    ///
    /// # Errors
    /// As [`Self::blow`].
    pub fn amps(&self, state: &State, part: PartId, random: &mut impl Rng) -> Result<Measured, SolveError> {
        let amps = self.solved(state, Condition::Faulty)?.current(part.index()).0;
        let noise: f64 = StandardNormal.sample(random);
        let of = &self.tables.world;
        // Who hunts a drain takes a clamp for milliamperes.
        let [zero, jitter, step] = match self.conditions.wrong {
            WrongKind::Drain => of.fine_clamp,
            _ => [of.clamp_zero.0, of.clamp_noise.0, of.clamp_digit.0],
        };
        let noise = if self.is_real() { jitter * noise } else { 0.0 };
        let shown = amps * (1.0 + self.errors.clamp) + zero * self.errors.zero + noise;
        Ok(Measured::Amps(Typed { value: Amps((shown / step).round() * step), step: Amps(step) }))
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
        let noise: f64 = StandardNormal.sample(random);
        let (own, supply) = if self.is_real() { (noise, self.wandered(random)) } else { (0.0, 1.0) };
        let (red, black) = (red.index(), black.index());
        let floats = self.solved(state, Condition::Faulty)?.between(red, black) == Between::Floating;
        let mut metered = self.network(state);
        let law = Law::Resistor(sheet(&self.tables.world, meter).input.conductance());
        metered.branches.push(Branch { from: red, to: black, law });
        if burden == Burden::Lamp {
            let lamp = self.tables.world.test_lamp * (self.vehicle.nominal.0 / TWELVE_VOLTS.0);
            metered.branches.push(Branch { from: red, to: black, law: Law::Resistor(lamp.conductance()) });
        }
        let volts = match solve(metered)?.between(red, black) {
            Between::Volts(volts) => volts.0,
            Between::Floating => 0.0,
        };
        // What nothing joins but the meter; through a diode that may be a way.
        if floats && volts.abs() < self.tables.world.stray.0 {
            return Ok(Volts(volts + self.tables.world.stray.0 * own));
        }
        Ok(Volts(volts * supply + self.tables.world.probe_noise.0 * own))
    }

    pub(super) fn is_real(&self) -> bool {
        self.conditions.instrument == MeterQuality::Real
    }

    /// Another pin of the same plug, or another point at the same place.
    fn next_pin(&self, point: PointId, random: &mut impl Rng) -> Option<PointId> {
        let parts = || self.vehicle.parts.iter();
        let is_at = |from: PointId, to: PointId| from == point || to == point;
        let plugs: Vec<_> = parts().filter(|part| is_at(part.from, part.to)).filter_map(|part| part.bundle).collect();
        let in_plug = parts().filter(|part| part.bundle.is_some_and(|bundle| plugs.contains(&bundle)));
        let places = &self.vehicle.point(point).places;
        let is_near = |other: PointId| self.vehicle.point(other).places.iter().any(|place| places.contains(place));
        let mut beside: Vec<PointId> = in_plug.flat_map(|part| [part.from, part.to]).collect();
        beside.retain(|&other| other != point && is_near(other));
        if beside.is_empty() {
            beside = (0..self.vehicle.points.len()).map(PointId::new).collect();
            beside.retain(|&other| other != point && is_near(other));
        }
        beside.choose(random).copied()
    }

    /// Another part with an end at the same place.
    fn next_wire(&self, part: PartId, random: &mut impl Rng) -> Option<PartId> {
        let (from, _) = self.vehicle.part(part).ends();
        let places = &self.vehicle.point(from).places;
        let is_near = |other: &PartId| {
            let (near, _) = self.vehicle.part(*other).ends();
            *other != part && self.vehicle.point(near).places.iter().any(|place| places.contains(place))
        };
        let beside: Vec<PartId> = self.vehicle.part_ids().filter(is_near).collect();
        beside.choose(random).copied()
    }
}

/// A number with a slip of the pen.
fn miswritten(slip: Slip, value: f64) -> f64 {
    match slip {
        Slip::Decades(decades) => value * 10f64.powi(decades),
        Slip::Sign => -value,
        Slip::Digit(tenths) => {
            let decade = if value == 0.0 { TENTH } else { 10f64.powf(value.abs().log10().floor()) };
            value + value.signum() * f64::from(tenths) * TENTH * decade
        }
        Slip::NextPin(_) | Slip::NextWire(_) | Slip::NoContact | Slip::Alternating(_) => value,
    }
}

/// Whether what was written differs from what is right for anybody to see.
fn differ(written: Measured, right: Measured) -> bool {
    match (written, right) {
        (Measured::Volts(a), Measured::Volts(b)) => (a.value.0 - b.value.0).abs() > SEEN * a.step.0.max(b.step.0),
        (Measured::Amps(a), Measured::Amps(b)) => (a.value.0 - b.value.0).abs() > SEEN * a.step.0.max(b.step.0),
        (Measured::Ohms(a), Measured::Ohms(b)) => (a.value.0 - b.value.0).abs() > SEEN * a.step.0.max(b.step.0),
        (written, right) => written != right,
    }
}
