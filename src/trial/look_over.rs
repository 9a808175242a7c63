//! A look over a vehicle of which nobody complains: somebody takes the short walk of
//! the handover, in every state of it as it comes, and enters what is shown.
//!
//! What the tool doubts is read again: once as before, and once more with another
//! meter on bare metal if it is asked for still. A vehicle that is well is flagged if
//! the tool then says that something is amiss: faults are weighed and tests planned of
//! what is suspect. One with a fault is flagged by that as well, and by being asked to
//! read again what the fault moves by those deviations. The share of cases without a
//! test left is the share of which something is said to be amiss.

use super::bench::Bench;
use super::complaint::{Ailment, Noticed};
use super::hidden::Hidden;
use super::played::{PlayedAnswer, PlayedCase, PlayedEnding};
use super::trouble::Trouble;
use super::world::{Look, World};
use crate::belief::{Engine, LookOver, Symptom};
use crate::case::{CaseError, Entry, Standing};
use crate::meter::MeterKind;
use crate::network::SolveError;
use crate::plan::walk::Scope;
use crate::predict::{Hypothesis, Probe};
use crate::vehicle::State;
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use std::rc::Rc;

impl Bench {
    /// Whether what is wrong moves a reading of the walk by so many of the deviations
    /// that the tool foretells it with before anything is read. Nothing moves none.
    pub(super) fn moved(&self, world: &mut World) -> Result<Noticed, SolveError> {
        let walk = self.walk(Scope::Short)?;
        let faults = world.trouble().faults().next();
        let subject = faults.map(|(fault, _)| fault.part).or_else(|| self.loads.keys().next().copied());
        let Some(subject) = subject else { return Ok(Noticed::No) };
        let mut is_moved = *world.trouble() == Trouble::Nothing;
        for (state, _) in walk.iter() {
            if world.is_restless(state)? {
                return Ok(Noticed::Chatters);
            }
            world.blow(state)?;
        }
        for (state, probe) in walk.iter() {
            is_moved = is_moved || self.is_moved(world, state, *probe)?;
        }
        let (ailment, settings) = (Ailment::Looks(Look::Right), Vec::new());
        Ok(match is_moved {
            true => Noticed::Yes { subject, ailment, is_mistaken: false, settings },
            false => Noticed::No,
        })
    }

    /// Whether what is wrong moves this reading so far.
    fn is_moved(&self, world: &World, state: &State, probe: Probe) -> Result<bool, SolveError> {
        let Some(ends) = probe.plain_voltage() else { return Ok(false) };
        let predictor = self.engine.predictor();
        let sound = predictor.in_state(state)?;
        let sound = sound.view(&self.vehicle, &Hypothesis::Sound);
        let shown = sound.shown(probe, MeterKind::default(), 0.0, predictor.uncertainties());
        Ok(world.moved(state, ends)?.0.abs() >= self.tables.trial.moved * shown.variance().sqrt())
    }
}

/// Plays a look over.
pub(super) fn play(
    bench: &Bench,
    engine: &Rc<Engine>,
    hidden: &Hidden,
    world: &World,
    seed: u64,
) -> Result<PlayedCase, CaseError> {
    let mut look = Walked { engine, entries: Vec::new(), state: State::rest(engine.vehicle()), misreads: 0 };
    let mut random = ChaCha8Rng::seed_from_u64(!seed);
    for (state, probe) in bench.walk(Scope::Short)?.iter() {
        let (red, black) = probe.points(engine.vehicle());
        if world.can_reach(red) && world.can_reach(black) {
            look.read(world, state, *probe, MeterKind::default(), &mut random)?;
        }
    }
    let mut again: Vec<usize> = Vec::new();
    let mut is_aimed = false;
    // Whether something is amiss is told before any fault is weighed.
    let well = engine.known_well();
    let (standing, belief) = loop {
        let standing = Standing::of(engine, &look.entries);
        let belief = well.posterior(&standing.evidence)?;
        let Some(LookOver::ReadAgain { reading, .. }) = belief.look else { break (standing, belief) };
        let number = standing.number_of(reading);
        let reading = standing.readings[number - 1].reading.clone();
        is_aimed = is_aimed || bench.is_moved(world, &reading.state, reading.probe)?;
        match again.iter().filter(|&&other| other == number).count() {
            0 => {
                let taken = world.read(&reading.state, reading.probe, reading.meter, &mut random)?;
                look.misreads += usize::from(taken.is_misread);
                look.entries.push(Entry::Retake { number, measured: taken.measured });
            }
            // Told why, nobody makes the same mistake by habit.
            1 => look.read(&world.told_why(), &reading.state, reading.probe, MeterKind::Good, &mut random)?,
            _ => break (standing, belief),
        }
        again.push(number);
    };
    let is_amiss = belief.look == Some(LookOver::Amiss);
    let is_well = hidden.trouble == Trouble::Nothing;
    Ok(PlayedCase {
        tests: again.len(),
        readings: standing.readings.len() + again.len(),
        misreads: look.misreads,
        minutes: 0.0,
        ending: if is_amiss { PlayedEnding::NothingWorthwhile } else { PlayedEnding::NothingAmiss },
        is_right: if is_well { !is_amiss } else { is_amiss || is_aimed },
        segment: (0, false),
        cleared: false,
        doubted: false,
        instrument_blamed: false,
        renewed: 0,
        named: Vec::new(),
        answers: vec![PlayedAnswer::of(&engine.tables().trial, &belief, hidden)],
        entries: look.entries,
    })
}

/// What has been entered so far.
struct Walked<'a> {
    engine: &'a Rc<Engine>,
    entries: Vec<Entry>,
    state: State,
    misreads: usize,
}

impl Walked<'_> {
    fn read(
        &mut self,
        world: &World,
        state: &State,
        probe: Probe,
        meter: MeterKind,
        random: &mut ChaCha8Rng,
    ) -> Result<(), CaseError> {
        let taken = world.read(state, probe, meter, random)?;
        self.misreads += usize::from(taken.is_misread);
        let settings = self.state.settings_to(state, self.engine.vehicle());
        self.state = state.clone();
        let read = Entry::Read { settings, probe, measured: taken.measured, symptom: Symptom::Present };
        let others = [Entry::TakeMeter { kind: meter }, read, Entry::TakeMeter { kind: MeterKind::default() }];
        let is_usual = meter == MeterKind::default();
        self.entries.extend(others.into_iter().filter(|entry| !is_usual || matches!(entry, Entry::Read { .. })));
        Ok(())
    }
}
