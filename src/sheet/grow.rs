//! Decision tree induction: the tree is grown where most simulated faults come
//! to, by the planner's own tests.

use super::count::counted;
use super::cuts::classes;
use super::fold::folded;
use super::herd::{Head, Herd};
use super::tree::{SheetBranch, SheetStep, TestSheet, Then};
use crate::belief::{Appearance, Engine, Sign};
use crate::case::{Assessment, CaseError, Entry, Standing};
use crate::meter::MeterKind;
use crate::plan::{Advice, Next};
use crate::tables::sheet::Folding;
use crate::vehicle::trace::settings_for;
use crate::vehicle::{PartId, State};
use std::rc::Rc;

/// Layout: steps that two pages hold.
const MOST_STEPS: usize = 52;

/// A place in the tree that may become a step.
struct Open {
    entries: Vec<Entry>,
    heads: Vec<usize>,
    /// The branch that leads here; none for the start.
    from: Option<(usize, usize)>,
}

/// The sheet of a load, by simulated faults drawn from `seed`. None if nothing
/// can be simulated for it.
///
/// # Errors
/// [`CaseError`] if a state has no solution.
pub fn sheet(engine: &Rc<Engine>, load: PartId, seed: u64) -> Result<Option<TestSheet>, CaseError> {
    let vehicle = engine.vehicle();
    let meter = MeterKind::default();
    let settings = settings_for(vehicle, &State::rest(vehicle), load);
    let sign = Sign::Looks(Appearance::Dead);
    let complaint = Entry::Observe { settings: settings.clone(), subject: load, sign };
    let standing = Standing::of(engine, std::slice::from_ref(&complaint));
    let belief = engine.posterior(&standing.evidence)?;
    let Some(herd) = Herd::of(engine.tables(), vehicle, &belief, load, &standing.state) else { return Ok(None) };
    let mut heads = herd.heads(seed, engine.tables().sheet.grown_from)?;
    if heads.is_empty() {
        return Ok(None);
    }
    let mut steps: Vec<SheetStep> = Vec::new();
    let all = (0..heads.len()).collect();
    let mut open = vec![Open { entries: vec![complaint], heads: all, from: None }];
    // The place that most faults come to is worked out first, so that what does
    // not fit is what is rarely reached.
    while let Some(most) = (0..open.len()).max_by_key(|&index| (open[index].heads.len(), usize::MAX - index)) {
        let place = open.remove(most);
        let (then, reached) = grow(engine, place.entries, &place.heads, &mut heads, &mut steps)?;
        open.extend(reached);
        match place.from {
            Some((step, branch)) => steps[step].branches[branch].then = then,
            None if steps.is_empty() => return Ok(None),
            None => {}
        }
    }
    let steps = folded(steps);
    let figures = counted(&herd, &steps, seed)?;
    Ok(Some(TestSheet { load, settings, black: vehicle.black, meter, steps, figures }))
}

/// What a place in the tree leads to, and the places beyond it.
fn grow(
    engine: &Engine,
    mut entries: Vec<Entry>,
    at: &[usize],
    heads: &mut [Head],
    steps: &mut Vec<SheetStep>,
) -> Result<(Then, Vec<Open>), CaseError> {
    let (vehicle, figures) = (engine.vehicle(), &engine.tables().sheet);
    let named = named(figures, at, heads);
    let is_found = named.first().is_some_and(|(_, share)| *share >= figures.enough);
    let is_rare = (at.len() as f64) < figures.rare * heads.len() as f64;
    if at.len() < figures.telling {
        return Ok((Then::Tool(Vec::new()), Vec::new()));
    }
    if is_found {
        return Ok((Then::Parts(named), Vec::new()));
    }
    if is_rare || steps.len() >= MOST_STEPS {
        return Ok((last_word(figures, named), Vec::new()));
    }
    for _ in 0..=figures.passed_over {
        let standing = Standing::of(engine, &entries);
        let advice = match Assessment::of(engine, &standing)?.next {
            Next::Test(advice) => *advice,
            Next::Found { .. } | Next::Inseparable { .. } => return Ok((Then::Parts(named), Vec::new())),
            _ => return Ok((last_word(figures, named), Vec::new())),
        };
        let state = standing.state.with_all(&advice.settings);
        let taken =
            at.iter().map(|&head| heads[head].take(&state, advice.test)).collect::<Result<Option<Vec<_>>, _>>()?;
        let classes = taken.map(|taken| classes(engine.tables(), vehicle, &advice, &taken)).unwrap_or_default();
        if classes.iter().filter(|class| class.members.len() >= figures.telling).count() < 2 {
            entries.push(Entry::Unwanted { test: advice.test });
            continue;
        }
        let step = steps.len();
        let mut open = Vec::new();
        let mut branches = Vec::new();
        for (number, class) in classes.into_iter().enumerate() {
            let heads: Vec<usize> = class.members.iter().map(|&member| at[member]).collect();
            branches.push(SheetBranch {
                when: class.when,
                share: heads.len() as f64 / at.len() as f64,
                then: Then::Tool(Vec::new()),
            });
            let entry = class.stands_for.entered(&advice);
            let entries = entries.iter().cloned().chain([entry]).collect();
            open.push(Open { entries, heads, from: Some((step, number)) });
        }
        let Advice { test, settings, opens, minutes, sound, .. } = advice;
        steps.push(SheetStep { settings, test, opens, minutes, sound, branches });
        return Ok((Then::Step(step), open));
    }
    Ok((last_word(figures, named), Vec::new()))
}

/// Where no test follows: few parts can be looked at, more need the tool.
fn last_word(figures: &Folding, named: Vec<(PartId, f64)>) -> Then {
    let held: f64 = named.iter().map(|(_, share)| share).sum();
    if named.len() <= figures.looked_at && held >= figures.named_hold { Then::Parts(named) } else { Then::Tool(named) }
}

/// The parts that explain most of the faults here, each with what it adds.
fn named(figures: &Folding, at: &[usize], heads: &[Head]) -> Vec<(PartId, f64)> {
    let mut left: Vec<usize> = at.to_vec();
    let mut named: Vec<(PartId, f64)> = Vec::new();
    while named.len() < figures.named && (left.len() as f64) > (1.0 - figures.named_hold) * at.len() as f64 {
        let mut parts: Vec<PartId> = left.iter().flat_map(|&head| heads[head].right.iter().copied()).collect();
        parts.sort_unstable();
        let most = parts.chunk_by(|a, b| a == b).max_by_key(|same| (same.len(), std::cmp::Reverse(same[0])));
        let Some(&part) = most.and_then(|same| same.first()) else { break };
        let before = left.len();
        left.retain(|&head| !heads[head].right.contains(&part));
        named.push((part, (before - left.len()) as f64 / at.len() as f64));
    }
    named
}
