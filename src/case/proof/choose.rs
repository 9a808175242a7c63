//! Which checks prove a repair: a look at what was complained of, a reading
//! across the repair, and as few more as leave no doubt undetected.

use super::span::{Span, limit, part_limit, spans};
use super::{Check, Complaint, Outcome, What};
use crate::belief::Sign;
use crate::case::{Case, CaseError, Standing};
use crate::fault::{Fault, Mode, sizes};
use crate::network::Between;
use crate::plan::{Range, Test};
use crate::predict::{Hypothesis, Probe, Scale, Shown, StateModel, Theta};
use crate::vehicle::trace::{settings_for, way_there_and_back};
use crate::vehicle::{PartId, PartKind, State};
use std::rc::Rc;

/// Deviations of the pass band either way: with several checks, two would
/// fail a sound repair too often.
const BAND: f64 = 3.0;
/// Deviations of a doubt's own reading that must lie outside the band.
const OUTSIDE: f64 = 1.6;
/// Drop over that of a sound part that stands out from what real parts spread.
const CLEAR_EXCESS: f64 = 1.6;
/// Change of a load's service, as a share, that somebody would mind.
const MINDED: f64 = 0.08;
/// Change of a load's service that a look does not miss.
const SEEN: f64 = 0.3;

/// The checks, and what they leave unshown.
pub struct Chosen {
    pub checks: Vec<Check>,
    pub unshown: Vec<PartId>,
}

/// Works them out.
pub fn checks(
    case: &Case,
    then: &Standing,
    repaired: PartId,
    touched: &[PartId],
    complaints: &[Complaint],
    showing: &State,
) -> Result<Chosen, CaseError> {
    let vehicle = case.vehicle();
    let mut chosen = Chosen { checks: Vec::new(), unshown: Vec::new() };
    let mut watched = None;
    for complaint in complaints {
        let load = match complaint.sign {
            Sign::Looks(_) | Sign::Sometimes => Some(complaint.subject),
            Sign::BlowsFuse | Sign::LooksBlown => fed_by(case, &complaint.state, complaint.subject)?,
            _ => None,
        };
        let runs_unasked = matches!(complaint.sign, Sign::StaysOn | Sign::Glows);
        watched = watched.or(load).or_else(|| Some(complaint.subject).filter(|_| runs_unasked));
        if let Some(load) = load.filter(|&load| matches!(vehicle.part(load).kind, PartKind::Load { .. })) {
            chosen.checks.push(look(complaint.state.clone(), load, vec![repaired]));
        }
    }
    let model = case.predictor().in_state(showing)?;
    if watched.is_none() {
        watched = fed_by(case, showing, repaired)?;
    }
    let (here, elsewhere): (Vec<PartId>, Vec<PartId>) =
        touched.iter().copied().partition(|&part| model.carries_current(part));
    if let Some(load) = watched {
        let bench = Bench {
            case,
            then,
            model: Rc::clone(&model),
            state: showing,
            load,
            theta: Theta::of(vehicle, &[&model], &[then.meter]),
        };
        bench.readings(repaired, &here, &mut chosen);
    }
    for part in elsewhere {
        match user_of(case, part) {
            Some((load, state)) => {
                let known = chosen.checks.iter_mut().find(|check| check.what == What::Works(load));
                match known {
                    Some(check) => check.shows.push(part),
                    None => chosen.checks.push(look(state, load, vec![part])),
                }
            }
            None => chosen.unshown.push(part),
        }
    }
    Ok(chosen)
}

fn look(state: State, load: PartId, shows: Vec<PartId>) -> Check {
    Check { state, what: What::Works(load), shows, outcome: Outcome::Open }
}

/// A load that runs in a state and has a part on its way.
fn fed_by(case: &Case, state: &State, part: PartId) -> Result<Option<PartId>, CaseError> {
    let vehicle = case.vehicle();
    let model = case.predictor().in_state(state)?;
    let mut running = vehicle.loads().filter(|&load| model.is_served(vehicle, load));
    Ok(running.find(|&load| load == part || way_there_and_back(vehicle, state, load).contains(&part)))
}

/// A load that needs a part, and the state in which it runs; a state that
/// cannot be solved is none.
fn user_of(case: &Case, part: PartId) -> Option<(PartId, State)> {
    let vehicle = case.vehicle();
    let rest = State::rest(vehicle);
    vehicle.loads().find_map(|load| {
        let state = rest.with_all(&settings_for(vehicle, &rest, load));
        let is_on_way = || way_there_and_back(vehicle, &state, load).contains(&part);
        let runs = || {
            let model = case.predictor().in_state(&state).ok()?;
            Some(model.carries_current(part) && model.is_served(vehicle, load))
        };
        (is_on_way() && runs() == Some(true)).then(|| (load, state.clone()))
    })
}

/// A way in which something is still wrong.
struct Doubt {
    part: PartId,
    hypothesis: Hypothesis,
}

/// The state that made the fault show, ready to be read.
struct Bench<'c> {
    case: &'c Case,
    /// How things stood after the repair.
    then: &'c Standing,
    model: Rc<StateModel>,
    state: &'c State,
    load: PartId,
    theta: Theta,
}

impl Bench<'_> {
    /// Adds the readings.
    fn readings(&self, repaired: PartId, here: &[PartId], chosen: &mut Chosen) {
        let parts: Vec<PartId> = [repaired].iter().chain(here).copied().collect();
        let spans = self.candidates(repaired, &parts);
        let mut doubts: Vec<Doubt> = parts.iter().flat_map(|&part| self.doubts(part, repaired)).collect();
        // What a look at the load would show needs no reading.
        if chosen.checks.iter().any(|check| check.what == What::Works(self.load) && check.state == *self.state) {
            doubts.retain(|doubt| self.service_moves(&doubt.hypothesis) < SEEN);
        }
        let catches: Vec<Vec<bool>> =
            spans.iter().map(|span| doubts.iter().map(|doubt| self.catches(span, doubt)).collect()).collect();
        let mut open: Vec<bool> = vec![true; doubts.len()];
        // The drop across the repair itself comes first: it is what the next
        // person asks for.
        let across = spans.iter().position(|span| span.parts.contains(&repaired));
        let mut next = across;
        while let Some(index) = next {
            let caught = |&at: &usize| open[at] && catches[index][at];
            let mut shows: Vec<PartId> = (0..doubts.len()).filter(caught).map(|at| doubts[at].part).collect();
            shows.extend((Some(index) == across).then_some(repaired));
            shows.sort_unstable();
            shows.dedup();
            open.iter_mut().zip(&catches[index]).for_each(|(open, caught)| *open &= !caught);
            chosen.checks.push(self.check(&spans[index], shows));
            next = self.best(&spans, &catches, &open);
        }
        let left = (0..doubts.len()).filter(|&at| open[at]).map(|at| doubts[at].part);
        chosen.unshown.extend(left.filter(|&part| part != repaired));
        chosen.unshown.dedup();
    }

    /// The span that settles most doubts; of equals, the one that takes least time.
    fn best(&self, spans: &[Span], catches: &[Vec<bool>], open: &[bool]) -> Option<usize> {
        let settles =
            |index: usize| catches[index].iter().zip(open).filter(|(catches, open)| **catches && **open).count();
        let minutes = |index: usize| {
            let test = Test::Measure(Probe::voltage(spans[index].red, spans[index].black));
            self.then.situation().effort(self.case.vehicle(), test, &[]).minutes.0
        };
        let worth = (0..spans.len()).filter(|&index| settles(index) > 0);
        worth.min_by(|&a, &b| settles(b).cmp(&settles(a)).then(minutes(a).total_cmp(&minutes(b))))
    }

    fn candidates(&self, repaired: PartId, parts: &[PartId]) -> Vec<Span> {
        let vehicle = self.case.vehicle();
        let situation = self.then.situation();
        let mut found = spans(vehicle, &situation, self.state, self.load, parts);
        // The narrowest around the repair first.
        found.sort_by_key(|span| (!span.parts.contains(&repaired), span.parts.len()));
        let across = |part: PartId| {
            let (from, to) = vehicle.part(part).ends();
            let is_supply = matches!(vehicle.part(part).kind, PartKind::Supply(_));
            let (red, black) = if is_supply { (to, from) } else { (from, to) };
            let reaches = situation.can_reach(vehicle, red) && situation.can_reach(vehicle, black);
            reaches.then(|| Span { red, black, parts: vec![part] })
        };
        if !found.iter().any(|span| span.parts.contains(&repaired)) {
            found.splice(0..0, across(repaired));
        }
        found.extend(across(self.load));
        found
    }

    /// How a part may still be wrong: of each way, the smallest size that
    /// anybody would mind; a bigger one is easier to catch.
    fn doubts(&self, part: PartId, repaired: PartId) -> Vec<Doubt> {
        let modes: Vec<Mode> = match part == repaired {
            true => self.case.engine.modes_of(part).collect(),
            // What hands do to a contact is to loosen it.
            false => vec![Mode::Open, Mode::Resistive],
        };
        let smallest = |mode: Mode| {
            sizes(mode)
                .into_iter()
                .map(|size| Hypothesis::Faulty { fault: Fault::new(part, mode), size })
                .find(|hypothesis| self.matters(part, hypothesis))
        };
        modes.into_iter().filter_map(smallest).map(|hypothesis| Doubt { part, hypothesis }).collect()
    }

    fn service_moves(&self, hypothesis: &Hypothesis) -> f64 {
        let vehicle = self.case.vehicle();
        let served = |hypothesis| self.model.performance(vehicle, hypothesis, self.load);
        (served(hypothesis) - served(&Hypothesis::Sound)).abs()
    }

    /// Whether anybody would mind: the load is served otherwise, or the part
    /// drops more than practice allows.
    fn matters(&self, part: PartId, hypothesis: &Hypothesis) -> bool {
        let vehicle = self.case.vehicle();
        let (from, to) = vehicle.part(part).ends();
        let drops = match self.model.under(vehicle, hypothesis).between(from.index(), to.index()) {
            Between::Volts(volts) => volts.0.abs(),
            Between::Floating => 0.0,
        };
        let sound = self.model.solution().across(part.index()).0.abs();
        // Where sound parts drop nearly what practice allows, only a clear
        // excess over them can be told.
        let is_too_much =
            part_limit(&vehicle.part(part).kind).is_some_and(|limit| drops > limit.0.max(CLEAR_EXCESS * sound));
        is_too_much || self.service_moves(hypothesis) > MINDED
    }

    /// Whether a reading would lie outside its band under a doubt.
    fn catches(&self, span: &Span, doubt: &Doubt) -> bool {
        let band = self.band(span);
        let shown = self.shown(span, &doubt.hypothesis);
        let reach = OUTSIDE * shown.variance().sqrt();
        shown.mean - reach > band.high || shown.mean + reach < band.low
    }

    fn shown(&self, span: &Span, hypothesis: &Hypothesis) -> Shown {
        let view = self.model.view(self.case.vehicle(), hypothesis);
        view.shown(Probe::voltage(span.red, span.black), self.then.meter, 0.0, &self.theta)
    }

    fn band(&self, span: &Span) -> Range {
        let shown = self.shown(span, &Hypothesis::Sound);
        let reach = BAND * shown.variance().sqrt();
        // A renewed contact may well be better than most, so downward there is
        // twice the room; but no drop falls to nothing while current flows.
        let is_plain_drop = shown.mean > BAND * shown.own_variance.sqrt();
        let low = if is_plain_drop { shown.mean * (-2.0 * reach / shown.mean).exp() } else { shown.mean - reach };
        Range { scale: Scale::Volts, low, high: shown.mean + reach }
    }

    fn check(&self, span: &Span, shows: Vec<PartId>) -> Check {
        let limit = limit(self.case.vehicle(), span, self.load);
        let what = What::Read { red: span.red, black: span.black, band: self.band(span), limit };
        Check { state: self.state.clone(), what, shows, outcome: Outcome::Open }
    }
}
