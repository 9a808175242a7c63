//! What is wrong, drawn until it makes a complaint (rejection sampling).

use super::bench::Bench;
use super::complaint::Noticed;
use super::conditions::{Conditions, Draw, WrongKind};
use super::hidden::{DrawnCase, Hidden};
use super::trouble::{Trouble, beside};
use super::world::{Departure, World, departure, draw_size, joined, log_uniform, real_parts, swapped_behind};
use crate::fault::{FailureMode, Fault, Likely, class_of};
use crate::meter::MeterKind;
use crate::network::SolveError;
use crate::tables::rates::PartClass;
use crate::vehicle::State;
use rand::distr::weighted::WeightedIndex;
use rand::seq::IndexedRandom;
use rand::{Rng, RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rand_distr::Distribution;

/// Numerical: draws of one kind of part and way to fail before another is taken:
/// what nobody notices in so many parts and sizes, nobody would.
const TRIES_EACH: usize = 60;

/// How the next fault is drawn.
struct FaultChoice<'a> {
    bench: &'a Bench,
    /// Of all faults by how often they are, those that are not drawn left out.
    by_weight: WeightedIndex<f64>,
    /// Where kinds are drawn evenly: those that there are, and the one at hand.
    kinds: Vec<(PartClass, FailureMode)>,
    at_hand: Option<((PartClass, FailureMode), usize)>,
}

impl<'a> FaultChoice<'a> {
    /// None where there is nothing to draw.
    fn of(bench: &'a Bench, conditions: &Conditions) -> Option<Self> {
        let is_drawn = |likely: &Likely| match conditions.wrong {
            WrongKind::Resistance | WrongKind::Faint => likely.fault.mode == FailureMode::HighResistance,
            WrongKind::Draws => likely.fault.mode.is_of_draw(),
            WrongKind::Drain => is_of_drain(likely.fault.mode),
            WrongKind::Instrument => likely.fault.mode.is_of_display(),
            WrongKind::Swapped => likely.fault.mode == FailureMode::OpenCircuit,
            WrongKind::Behind => bench.behind.contains_key(&likely.fault.part),
            WrongKind::OnePart | WrongKind::TwoParts | WrongKind::Drawing | WrongKind::Path | WrongKind::Nothing => {
                true
            }
        };
        let weight = |likely: &Likely| match conditions.draw {
            _ if !is_drawn(likely) => 0.0,
            Draw::ByRate => likely.rate,
            Draw::Evenly | Draw::ByKind => 1.0,
        };
        let by_weight = WeightedIndex::new(bench.catalogue.iter().map(weight)).ok()?;
        let mut kinds = Vec::new();
        if conditions.draw == Draw::ByKind {
            kinds = bench
                .catalogue
                .iter()
                .filter(|likely| is_drawn(likely))
                .map(|likely| bench.kind(likely.fault))
                .collect();
            kinds.sort_unstable_by_key(|&(class, mode)| (class as usize, mode));
            kinds.dedup();
        }
        Some(Self { bench, by_weight, kinds, at_hand: None })
    }

    /// The next fault.
    fn fault(&mut self, random: &mut ChaCha8Rng) -> Option<Fault> {
        let catalogue = &self.bench.catalogue;
        if self.kinds.is_empty() {
            return Some(catalogue[self.by_weight.sample(random)].fault);
        }
        let (kind, tries) = match self.at_hand {
            Some((kind, tries)) if tries < TRIES_EACH => (kind, tries + 1),
            _ => (self.kind(random)?, 1),
        };
        self.at_hand = Some((kind, tries));
        let of_kind: Vec<Fault> =
            catalogue.iter().map(|likely| likely.fault).filter(|&fault| self.bench.kind(fault) == kind).collect();
        of_kind.choose(random).copied()
    }

    /// A kind of part evenly, then one of its ways to fail.
    fn kind(&self, random: &mut ChaCha8Rng) -> Option<(PartClass, FailureMode)> {
        let mut classes: Vec<PartClass> = self.kinds.iter().map(|&(class, _)| class).collect();
        classes.dedup();
        let class = *classes.choose(random)?;
        let modes: Vec<_> = self.kinds.iter().filter(|(of, _)| *of == class).collect();
        modes.choose(random).map(|kind| **kind)
    }
}

impl Bench {
    /// Draws what is wrong until it makes a complaint.
    ///
    /// # Errors
    /// [`SolveError`] if the circuit has no solution.
    pub fn draw(&self, conditions: &Conditions, seed: u64) -> Result<DrawnCase, SolveError> {
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let mut drawn = DrawnCase { found: None, unnoticed: 0, restless: 0, alike: 0 };
        let Some(mut choice) = FaultChoice::of(self, conditions) else { return Ok(drawn) };
        for _ in 0..self.tables.trial.draws {
            let Some(trouble) = self.trouble(conditions, &mut choice, &mut random) else { continue };
            let is_swapped = conditions.wrong == WrongKind::Swapped;
            let open = trouble.faults().next().filter(|_| is_swapped);
            let swapped = open.and_then(|(open, _)| swapped_behind(&self.vehicle, open.part, &mut random));
            if is_swapped && swapped.is_none() {
                continue;
            }
            let real = real_parts(&self.tables, &self.vehicle, conditions, &mut random);
            let world = World::new(&self.tables, real, trouble, MeterKind::default(), conditions, &mut random);
            let departure = swapped.or_else(|| self.departure(conditions, &trouble, &mut random));
            let mut world = world.departing(departure);
            // Of two faults each must be one that somebody would notice.
            if let Trouble::Two(..) = trouble
                && !self.are_both_noticed(&world, conditions, &mut random)?
            {
                drawn.unnoticed += 1;
                continue;
            }
            let noticed = match conditions.look_over {
                true => self.moved(&mut world)?,
                false => self.complaint(&world, conditions, &mut random)?,
            };
            match noticed {
                Noticed::Yes { subject, ailment, is_mistaken, settings } => {
                    let state = State::rest(&self.vehicle).with_all(&settings);
                    if self.reads_as_drawn(trouble, &state)? {
                        drawn.alike += 1;
                        continue;
                    }
                    world.blow(&state)?;
                    let blown = world.blown();
                    let beside = beside(&self.vehicle, &trouble);
                    let sign = ailment.into();
                    let departure = world.departure();
                    let hidden = Hidden { trouble, departure, blown, beside, subject, sign, is_mistaken, settings };
                    drawn.found = Some((hidden, world));
                    break;
                }
                Noticed::No => drawn.unnoticed += 1,
                Noticed::Chatters => drawn.restless += 1,
            }
        }
        Ok(drawn)
    }

    /// Its kind of part and way to fail.
    fn kind(&self, fault: Fault) -> (PartClass, FailureMode) {
        (class_of(&self.vehicle.part(fault.part).kind).0, fault.mode)
    }

    /// What is wrong this time.
    fn trouble(
        &self,
        conditions: &Conditions,
        choice: &mut FaultChoice<'_>,
        random: &mut ChaCha8Rng,
    ) -> Option<Trouble> {
        let of = &self.tables.world;
        let mut fault = |random: &mut ChaCha8Rng| {
            let fault = choice.fault(random)?;
            Some((fault, draw_size(of, &self.vehicle, fault, random).unwrap_or(0.0)))
        };
        match conditions.wrong {
            WrongKind::OnePart
            | WrongKind::Resistance
            | WrongKind::Faint
            | WrongKind::Instrument
            | WrongKind::Swapped
            | WrongKind::Behind => {
                let (fault, size) = fault(random)?;
                Some(Trouble::One(fault, size))
            }
            WrongKind::Draws => {
                let (fault, _) = fault(random)?;
                let stretch = if fault.mode == FailureMode::LowDraw { of.draws_less } else { of.draws_more };
                Some(Trouble::One(fault, log_uniform(stretch, random)))
            }
            WrongKind::Drain => {
                let (fault, _) = fault(random)?;
                // Near enough: what it drains in the end is looked at again.
                let ohms = self.vehicle.nominal.0 / log_uniform(of.drains, random);
                Some(Trouble::One(fault, if fault.mode.is_in_ohms() { ohms } else { 0.0 }))
            }
            WrongKind::TwoParts => {
                let (first, second) = (fault(random)?, fault(random)?);
                (first.0.part != second.0.part).then_some(Trouble::Two(first, second))
            }
            WrongKind::Path => joined(of, &self.vehicle, random).map(as_trouble),
            WrongKind::Drawing => departure(of, &self.vehicle, random).map(as_trouble),
            WrongKind::Nothing => Some(Trouble::Nothing),
        }
    }

    /// Where the drawing is wrong besides; not in a part that is at fault.
    fn departure(&self, conditions: &Conditions, trouble: &Trouble, random: &mut ChaCha8Rng) -> Option<Departure> {
        if trouble.is_of_drawing() || !random.random_bool(conditions.departures.clamp(0.0, 1.0)) {
            return None;
        }
        let at_fault = beside(&self.vehicle, trouble);
        let departure = departure(&self.tables.world, &self.vehicle, random)?;
        (!departure.parts().any(|part| at_fault.contains(&part))).then_some(departure)
    }

    fn are_both_noticed(
        &self,
        world: &World,
        conditions: &Conditions,
        random: &mut impl Rng,
    ) -> Result<bool, SolveError> {
        for (mended, _) in world.trouble().faults() {
            let Some(rest) = world.after_repair(&[mended.part]) else { return Ok(false) };
            if !matches!(self.complaint(&rest, conditions, random)?, Noticed::Yes { .. }) {
                return Ok(false);
            }
        }
        Ok(true)
    }
}

/// Whether it may drain a battery while nothing is switched on.
fn is_of_drain(mode: FailureMode) -> bool {
    matches!(
        mode,
        FailureMode::ShortToGround
            | FailureMode::ShortBetweenCircuits
            | FailureMode::Leakage
            | FailureMode::ContactWelded
            | FailureMode::StaysAwake
    )
}

fn as_trouble(departure: Departure) -> Trouble {
    match departure {
        Departure::Joined { from, to, ohms } => Trouble::Undrawn { from, to, ohms },
        departure => Trouble::Departed(departure),
    }
}
