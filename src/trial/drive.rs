//! Somebody who does what the tool says, from the complaint to its answer.

use super::answer::announced;
use super::bench::Bench;
use super::complaint::Noticed;
use super::conditions::{LookedBefore, Misreading, WrongKind};
use super::hidden::Hidden;
use super::options::Options;
use super::panel;
use super::played::{PlayedAnswer, PlayedCase};
use super::trouble::Trouble;
use super::world::{Departure, TakenReading, World};
use crate::belief::{Engine, Explanation, Site, Symptom};
use crate::case::{Assessment, Case, CaseError, Entry};
use crate::fault::{FailureMode, Fault};
use crate::plan::{Advice, Next, Test};
use crate::predict::Probe;
use crate::vehicle::trace::stops;
use crate::vehicle::{PartId, PointId, State};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use std::rc::Rc;

/// Seed: keeps the draw of which reading goes wrong apart from all others.
const WHICH: u64 = 0x6D69_7372_6561_6421;

/// Plays a case by the tool's own tests.
pub fn play(
    bench: &Bench,
    engine: &Rc<Engine>,
    hidden: &Hidden,
    world: &World,
    options: &Options,
    seed: u64,
) -> Result<PlayedCase, CaseError> {
    let Misreading::OneInEach = options.conditions.misreads else {
        return play_with(bench, engine, hidden, &world.untouched(options.conditions.misreads), options, seed);
    };
    // Up to the reading that goes wrong, the case goes as it does when none does.
    let without = play_with(bench, engine, hidden, &world.untouched(Misreading::Share(0.0)), options, seed)?;
    let at = ChaCha8Rng::seed_from_u64(seed ^ WHICH).random_range(0..without.readings.max(1));
    play_with(bench, engine, hidden, &world.untouched(Misreading::At(at)), options, seed)
}

/// Plays it with the readings that go wrong as the world has them.
fn play_with(
    bench: &Bench,
    engine: &Rc<Engine>,
    hidden: &Hidden,
    world: &World,
    options: &Options,
    seed: u64,
) -> Result<PlayedCase, CaseError> {
    let figures = &engine.tables().trial;
    let mut random = ChaCha8Rng::seed_from_u64(!seed);
    let mut case = Case::new(Rc::clone(engine))?;
    let complaint = Entry::Observe { settings: hidden.settings.clone(), subject: hidden.subject, sign: hidden.sign };
    let is_of_display = options.conditions.wrong == WrongKind::Instrument;
    look_before(&mut case, hidden, world, options)?;
    if !is_of_display {
        case.add(complaint)?;
    }
    let (mut tests, mut readings, mut misreads, mut minutes, mut repairs) = (0, 0, 0, 0.0, 0);
    if is_of_display || options.conditions.panel {
        readings += panel::look_over(bench, &mut case, world, &mut random)?;
    }
    // Who doubts an instrument holds a meter beside it sooner or later.
    let mut is_compared = !is_of_display;
    let mut refused = 0;
    let mut answers = vec![PlayedAnswer::of(figures, &case.assessment().belief, hidden)];
    let mut retaken = Vec::new();
    let mut found: Vec<PartId> = Vec::new();
    let mut mended: Option<World> = None;
    let mut told_by_second = false;
    loop {
        let world = mended.as_ref().unwrap_or(world);
        if !is_compared && matches!(case.assessment().next, Next::NothingAmiss) {
            is_compared = true;
            readings += panel::compare(bench, &mut case, world, &mut random)?;
        }
        let doubtful = doubtful(&case).filter(|number| !retaken.contains(number));
        let advice = choose(case.assessment());
        if tests >= figures.patience || refused >= figures.out_of_reach || (doubtful.is_none() && advice.is_none()) {
            // The repair may not have cured it: then the hunt goes on.
            let (_, named) = announced(case.assessment());
            found.extend(&named);
            told_by_second |= repairs < 2 && (tells_elsewhere(&case, hidden) || hidden.is_named_by(&found));
            repairs += 1;
            if named.is_empty() || repairs > figures.repairs {
                break;
            }
            match after_repair(bench, &mut case, (hidden, world), options, &named, &mut random)? {
                Some(next) if tests < figures.patience && refused < figures.out_of_reach => mended = Some(next),
                _ => break,
            }
            continue;
        }
        let (taken, entry) = match (doubtful, advice) {
            (Some(number), _) => {
                retaken.push(number);
                let reading = &case.standing().readings[number - 1].reading;
                let test = Test::Measure(reading.probe);
                let taken = case.standing().situation(case.engine().tables()).effort(case.vehicle(), test, &[]).minutes;
                let again = world.read(&reading.state, reading.probe, reading.meter, &mut random)?;
                misreads += usize::from(again.is_misread);
                (taken, Entry::Retake { number, measured: again.measured })
            }
            (None, Some(advice)) => {
                let (entry, is_misread) = carry_out(&case, &advice, world, &mut random)?;
                misreads += usize::from(is_misread);
                (advice.minutes, entry)
            }
            (None, None) => break,
        };
        minutes += taken.0;
        match entry {
            Entry::OutOfReach { .. } | Entry::Unwanted { .. } => refused += 1,
            _ => tests += 1,
        }
        readings += usize::from(matches!(entry, Entry::Read { .. } | Entry::Retake { .. }));
        case.add(entry)?;
        answers.push(PlayedAnswer::of(figures, &case.assessment().belief, hidden));
    }
    let assessment = case.assessment();
    let (ending, named) = announced(assessment);
    // What has been repaired may well be good by now.
    let left = mended.as_ref().unwrap_or(world).trouble();
    let segment: Vec<PartId> =
        assessment.segment.iter().flat_map(|segment| segment.parts().map(|(part, _)| part)).collect();
    let doubted = assessment.belief.doubts_drawing(&engine.tables().belief);
    Ok(PlayedCase {
        tests,
        readings,
        misreads,
        minutes,
        ending,
        is_right: match hidden.trouble {
            _ if options.conditions.wrong == WrongKind::Swapped => told_by_second,
            Trouble::One(fault, _) if options.conditions.wrong == WrongKind::Behind => {
                hidden.is_named_by(&found) || bench.share_mains(fault.part, &found)
            }
            Trouble::Undrawn { .. } => doubted,
            Trouble::Departed(_) => doubted || hidden.is_named_by(&found),
            _ => hidden.is_named_by(&found),
        },
        instrument_blamed: found
            .iter()
            .any(|&part| case.vehicle().part(part).kind.instrument().is_some() && !hidden.is_at(part)),
        renewed: found.iter().filter(|&&part| !hidden.is_at(part)).count(),
        named,
        segment: (segment.len(), segment.iter().any(|&part| hidden.is_at(part))),
        cleared: left.faults().any(|(fault, _)| assessment.proved_good.contains(&fault.part)),
        doubted,
        answers,
        entries: case.entries().to_vec(),
    })
}

/// From: common practice, no source. Points that somebody reads before the fault.
const LOOKED_AT: usize = 6;

/// Enters what somebody read on the way of what is complained of, before the fault.
fn look_before(case: &mut Case, hidden: &Hidden, world: &World, options: &Options) -> Result<(), CaseError> {
    let symptom = match options.conditions.looked_before {
        LookedBefore::No => return Ok(()),
        LookedBefore::Tagged => Symptom::Absent,
        LookedBefore::Untagged => Symptom::Present,
    };
    let before = world.before_the_fault();
    let mut random = ChaCha8Rng::seed_from_u64(!options.seed);
    let state = State::rest(case.vehicle()).with_all(&hidden.settings);
    let (black, meter) = (case.vehicle().black, case.standing().meter);
    let points = stops(case.vehicle(), &state, hidden.subject).into_iter().map(|stop| stop.point);
    let points: Vec<PointId> = points.step_by(2).filter(|&point| point != black && world.can_reach(point)).collect();
    for red in points.into_iter().take(LOOKED_AT) {
        let probe = Probe::voltage(red, black);
        let measured = before.read(&state, probe, meter, &mut random)?.measured;
        case.add(Entry::Read { settings: hidden.settings.clone(), probe, measured, symptom })?;
    }
    case.add(Entry::Set { settings: case.standing().state.to_rest(case.vehicle()) })
}

/// Whether two feeds that have changed places are named, or the drawing is
/// doubted.
fn tells_elsewhere(case: &Case, hidden: &Hidden) -> bool {
    let belief = &case.assessment().belief;
    let swapped = |fault: Fault| {
        let departed = |departure: Departure| departure.parts().any(|part| fault.involves(part));
        fault.mode == FailureMode::Crossed && hidden.departure.is_some_and(departed)
    };
    let names = |one: &&Explanation| one.hypothesis.faults().any(|(fault, _)| swapped(fault));
    let named: f64 = belief.explanations.iter().filter(names).map(|one| one.probability.value()).sum();
    named + belief.probability(Site::Undrawn) > case.engine().tables().belief.doubted
}

/// Repairs what was named and makes the complaint that is left, if one is.
fn after_repair(
    bench: &Bench,
    case: &mut Case,
    (hidden, world): (&Hidden, &World),
    options: &Options,
    named: &[PartId],
    random: &mut ChaCha8Rng,
) -> Result<Option<World>, CaseError> {
    let Some(mut next) = world.after_repair(named) else { return Ok(None) };
    // What no repair has touched is complained of as before.
    let (subject, sign, settings) = match (hidden.trouble, bench.complaint(&next, &options.conditions, random)?) {
        (trouble, _) if trouble.is_of_drawing() || next.trouble() == world.trouble() => {
            (hidden.subject, hidden.sign, hidden.settings.clone())
        }
        (_, Noticed::Yes { subject, ailment, settings, .. }) => (subject, ailment.into(), settings),
        _ => return Ok(None),
    };
    next.blow(&State::rest(case.vehicle()).with_all(&settings))?;
    for &part in named {
        case.add(Entry::Repaired { part })?;
    }
    case.add(Entry::Set { settings: case.standing().state.to_rest(case.vehicle()) })?;
    case.add(Entry::Observe { settings, subject, sign })?;
    Ok(Some(next))
}

/// Number of the reading that the tool asks to take again.
fn doubtful(case: &Case) -> Option<usize> {
    case.assessment().contradiction.map(|doubt| case.standing().number_of(doubt.reading))
}

/// The test taken next.
fn choose(assessment: &Assessment) -> Option<Advice> {
    match &assessment.next {
        Next::Test(first) => Some(first.as_ref().clone()),
        _ => None,
    }
}

fn carry_out(case: &Case, advice: &Advice, world: &World, random: &mut ChaCha8Rng) -> Result<(Entry, bool), CaseError> {
    let state = case.standing().state.with_all(&advice.settings);
    let settings = advice.settings.clone();
    Ok(match advice.test {
        // Nobody tells a simulated person in which tree to look.
        Test::Ask(_) => (Entry::Unwanted { test: advice.test }, false),
        Test::Sense { subject, sense } => {
            let sign = world.sense(&state, subject, sense, random)?;
            (Entry::Observe { settings, subject, sign }, false)
        }
        Test::Measure(probe) => {
            let (red, black) = probe.points(case.vehicle());
            let is_closed = |point: &PointId| probe.instrument().is_none() && !world.can_reach(*point);
            let closed = [red, black].into_iter().find(is_closed);
            match (closed, probe) {
                // A clamp goes round a wire, not onto a point; a panel is in view.
                (Some(_), Probe::Current { .. }) => (Entry::Unwanted { test: advice.test }, false),
                (Some(point), _) => (Entry::OutOfReach { point }, false),
                (None, _) => {
                    let TakenReading { measured, is_misread } =
                        world.read(&state, probe, case.standing().meter, random)?;
                    (Entry::Read { settings, probe, measured, symptom: Symptom::Present }, is_misread)
                }
            }
        }
    })
}
