//! Which checks prove a repair: a look at what was complained of, a reading
//! across the repair, and as few more as leave no doubt undetected.

use super::check::{Check, What};
use super::display;
use super::repair::{Repair, Reported};
use super::span::{TestSpan, limit, part_limit, spans};
use super::touched::touched;
use super::watch::Served;
use crate::belief::{Sign, chance};
use crate::case::{Case, CaseError, Standing};
use crate::fault::{FailureMode, Fault, sizes};
use crate::network::Between;
use crate::plan::{Range, Test};
use crate::predict::{Hypothesis, Prediction, Probe, Scale, StateModel, Uncertainties};
use crate::tables::practice::DropLimit;
use crate::tables::proof::Proving;
use crate::vehicle::trace::{settings_for, way_there_and_back};
use crate::vehicle::{PartId, State};
use std::rc::Rc;

/// The checks, and what they leave unshown.
pub struct Chosen {
    pub checks: Vec<Check>,
    pub unshown: Vec<PartId>,
}

/// Works them out.
pub fn checks(case: &Case, then: &Standing, made: &Repair<'_>) -> Result<Chosen, CaseError> {
    let vehicle = case.vehicle();
    let &Repair { repaired, showing, .. } = made;
    let mut chosen = Chosen { checks: display::checks(case, repaired, showing)?, unshown: Vec::new() };
    if !chosen.checks.is_empty() {
        return Ok(chosen);
    }
    let mut watched = None;
    for complaint in made.complaints {
        let of = Served::of(case, complaint, repaired)?;
        let told_by = of.as_ref().and_then(|of| of.told_by(vehicle));
        let runs_unasked = matches!(complaint.sign, Sign::StaysOn | Sign::Glows);
        let blew = (complaint.sign == Sign::BlowsFuse).then_some((complaint.subject, Sign::LooksWhole));
        for (subject, sign) in told_by.filter(|_| !runs_unasked).into_iter().chain(blew) {
            chosen.checks.push(look(complaint.state.clone(), (subject, sign), vec![repaired]));
        }
        watched = watched.or(of);
    }
    let touched = touched(case, then, repaired, watched.as_ref());
    let model = case.predictor().in_state(showing)?;
    if watched.is_none() {
        watched = Served::fed_by(case, showing, repaired)?;
    }
    let (here, elsewhere): (Vec<PartId>, Vec<PartId>) =
        touched.iter().copied().partition(|&part| model.carries_current(part));
    if let Some(watched) = watched {
        let theta = case.predictor().uncertainties().clone();
        let bench = CheckChooser { case, then, model: Rc::clone(&model), made, watched, theta };
        bench.readings(&here, &mut chosen);
    }
    for part in elsewhere {
        match user_of(case, part) {
            Some((load, state)) => {
                let what = What::Shows { subject: load, sign: Sign::WORKS };
                let known = chosen.checks.iter_mut().find(|check| check.what == what);
                match known {
                    Some(check) => check.shows.push(part),
                    None => chosen.checks.push(look(state, (load, Sign::WORKS), vec![part])),
                }
            }
            None => chosen.unshown.push(part),
        }
    }
    Ok(chosen)
}

fn look(state: State, (subject, sign): (PartId, Sign), shows: Vec<PartId>) -> Check {
    Check::open(state, What::Shows { subject, sign }, shows)
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
struct CheckChooser<'c> {
    case: &'c Case,
    /// How things stood after the repair.
    then: &'c Standing,
    model: Rc<StateModel>,
    made: &'c Repair<'c>,
    watched: Served,
    theta: Uncertainties,
}

impl CheckChooser<'_> {
    fn figures(&self) -> &Proving {
        &self.case.engine().tables().proof
    }

    /// Adds the readings.
    fn readings(&self, here: &[PartId], chosen: &mut Chosen) {
        let repaired = self.made.repaired;
        let parts: Vec<PartId> = [repaired].iter().chain(here).copied().collect();
        let spans = self.candidates(&parts);
        let mut doubts: Vec<Doubt> = parts.iter().flat_map(|&part| self.is_outlier(part)).collect();
        // What a look at what was complained of would show needs no reading.
        if chosen.checks.iter().any(|check| self.is_look(check)) {
            doubts.retain(|doubt| self.service_moves(&doubt.hypothesis) < self.figures().seen);
        }
        // Current that people complained of is read as such.
        for probe in self.of_currents().map(|complaint| self.current_of(complaint)) {
            let (caught, rest): (Vec<_>, Vec<_>) =
                doubts.into_iter().partition(|doubt| self.catches(probe, &doubt.hypothesis));
            // Where none at all would be as it should be, it proves nothing.
            if self.band(probe).low > 0.0 || !caught.is_empty() {
                chosen.checks.push(self.check(probe, None, shown_by(&caught, Some(repaired))));
            }
            doubts = rest;
        }
        let catches: Vec<Vec<bool>> = spans
            .iter()
            .map(|span| doubts.iter().map(|doubt| self.catches(span.probe(), &doubt.hypothesis)).collect())
            .collect();
        let mut open: Vec<bool> = vec![true; doubts.len()];
        // The drop across the repair itself comes first: it is what the next
        // person asks for.
        let across = spans.iter().position(|span| span.parts.contains(&repaired));
        let mut next = across;
        while let Some(index) = next {
            let caught = (0..doubts.len()).filter(|&at| open[at] && catches[index][at]).map(|at| &doubts[at]);
            let shows = shown_by(caught, (Some(index) == across).then_some(repaired));
            open.iter_mut().zip(&catches[index]).for_each(|(open, caught)| *open &= !caught);
            let limit = limit(self.case.vehicle(), &spans[index], self.watched.part);
            chosen.checks.push(self.check(spans[index].probe(), limit, shows));
            next = self.best(&spans, &catches, &open);
        }
        let left = (0..doubts.len()).filter(|&at| open[at]).map(|at| doubts[at].part);
        chosen.unshown.extend(left.filter(|&part| part != repaired));
        chosen.unshown.dedup();
    }

    /// Whether a check tells that what is watched is served.
    fn is_look(&self, check: &Check) -> bool {
        let told_by = self.watched.told_by(self.case.vehicle());
        let is_it = |(subject, sign)| check.what == What::Shows { subject, sign };
        told_by.is_some_and(is_it) && check.state == *self.made.showing
    }

    /// Complaints about a current: of a fuse, and into or out of a battery.
    fn of_currents(&self) -> impl Iterator<Item = &Reported> {
        let is_one = |of: &&Reported| {
            of.state == *self.made.showing
                && matches!(of.sign, Sign::BlowsFuse | Sign::GoesFlat | Sign::Uncharged | Sign::ChargesLittle)
        };
        self.made.complaints.iter().filter(is_one)
    }

    /// What is charged is told by what comes out of its source: a clamp goes
    /// round the first lead of it.
    fn current_of(&self, complaint: &Reported) -> Probe {
        let lead =
            self.watched.feed.there.first().filter(|_| matches!(complaint.sign, Sign::Uncharged | Sign::ChargesLittle));
        Probe::Current { part: lead.copied().unwrap_or(complaint.subject) }
    }

    /// The span that settles most doubts; of equals, the one that takes least time.
    fn best(&self, spans: &[TestSpan], catches: &[Vec<bool>], open: &[bool]) -> Option<usize> {
        let settles =
            |index: usize| catches[index].iter().zip(open).filter(|(catches, open)| **catches && **open).count();
        let minutes = |index: usize| {
            let test = Test::Measure(spans[index].probe());
            self.then.situation(self.case.engine().tables()).effort(self.case.vehicle(), test, &[]).minutes.0
        };
        let worth = (0..spans.len()).filter(|&index| settles(index) > 0);
        worth.min_by(|&a, &b| settles(b).cmp(&settles(a)).then(minutes(a).total_cmp(&minutes(b))))
    }

    fn candidates(&self, parts: &[PartId]) -> Vec<TestSpan> {
        let (vehicle, repaired) = (self.case.vehicle(), self.made.repaired);
        let situation = self.then.situation(self.case.engine().tables());
        let mut found = spans(vehicle, &situation, &self.watched, parts);
        // The narrowest around the repair first.
        found.sort_by_key(|span| (!span.parts.contains(&repaired), span.parts.len()));
        let across = |part: PartId| {
            let (from, to) = vehicle.part(part).ends();
            let is_supply = vehicle.part(part).kind.is_supply();
            let (red, black) = if is_supply { (to, from) } else { (from, to) };
            let reaches = situation.can_reach(vehicle, red) && situation.can_reach(vehicle, black);
            reaches.then(|| TestSpan { red, black, parts: vec![part] })
        };
        if !found.iter().any(|span| span.parts.contains(&repaired)) {
            found.splice(0..0, across(repaired));
        }
        found.extend(across(self.watched.part));
        found
    }

    /// How a part may still be wrong: of each way, the smallest size that
    /// anybody would mind; a bigger one is easier to catch.
    fn is_outlier(&self, part: PartId) -> Vec<Doubt> {
        let modes: Vec<FailureMode> = match part == self.made.repaired {
            true => self.case.engine.modes_of(part).collect(),
            // What hands do to a contact is to loosen it.
            false => vec![FailureMode::OpenCircuit, FailureMode::HighResistance],
        };
        let smallest = |mode: FailureMode| {
            sizes(&self.case.engine.tables().faults, mode)
                .into_iter()
                .map(|size| Hypothesis::Faulty { fault: Fault::new(part, mode), size })
                .find(|hypothesis| self.matters(part, hypothesis))
        };
        modes.into_iter().filter_map(smallest).map(|hypothesis| Doubt { part, hypothesis }).collect()
    }

    fn service_moves(&self, hypothesis: &Hypothesis) -> f64 {
        let served = |hypothesis| self.watched.service(self.case.vehicle(), &self.model, hypothesis);
        (served(hypothesis) - served(&Hypothesis::Sound)).abs()
    }

    /// Whether anybody would mind: what is watched is served otherwise, the
    /// complaint would be made again, or the part drops more than practice allows.
    fn matters(&self, part: PartId, hypothesis: &Hypothesis) -> bool {
        let vehicle = self.case.vehicle();
        let (from, to) = vehicle.part(part).ends();
        let drops = match self.model.under(vehicle, hypothesis).between(from.index(), to.index()) {
            Between::Volts(volts) => volts.0.abs(),
            Between::Floating => 0.0,
        };
        let sound = self.model.solution().across(part.index()).0.abs();
        let figures = self.figures();
        // Where sound parts drop nearly what practice allows, only a clear
        // excess over them can be told.
        let is_too_much =
            part_limit(&vehicle.part(part).kind).is_some_and(|limit| drops > limit.0.max(figures.clear_excess * sound));
        is_too_much || self.service_moves(hypothesis) > figures.minded || self.is_complained_of(hypothesis)
    }

    /// Whether a complaint about a current would be made again.
    fn is_complained_of(&self, hypothesis: &Hypothesis) -> bool {
        let vehicle = self.case.vehicle();
        let again = |complaint: &Reported| {
            let chance = |hypothesis| chance(vehicle, &self.model, hypothesis, complaint.subject, complaint.sign);
            chance(hypothesis) > self.figures().again * chance(&Hypothesis::Sound)
        };
        self.of_currents().any(again)
    }

    /// Whether a reading would lie outside its band under a doubt.
    fn catches(&self, probe: Probe, doubt: &Hypothesis) -> bool {
        let band = self.band(probe);
        let shown = self.shown(probe, doubt);
        let reach = self.figures().outside * shown.variance().sqrt();
        shown.mean - reach > band.high || shown.mean + reach < band.low
    }

    fn shown(&self, probe: Probe, hypothesis: &Hypothesis) -> Prediction {
        let (vehicle, figures) = (self.case.vehicle(), self.figures());
        // What is drawn at rest is read in line, to the milliampere.
        let step = match probe {
            Probe::Current { part } if self.model.solution().current(part.index()).0.abs() < figures.at_rest.0 => {
                figures.in_line_digit.0
            }
            _ => 0.0,
        };
        self.model.view(vehicle, hypothesis).shown(probe, self.then.meter, step, &self.theta)
    }

    fn band(&self, probe: Probe) -> Range {
        let figures = self.figures();
        let shown = self.shown(probe, &Hypothesis::Sound);
        let reach = figures.band * shown.variance().sqrt();
        // A renewed contact may well be better than most, so downward there is
        // twice the room; but no drop falls to nothing while current flows.
        let is_plain_drop = probe.scale() == Scale::Volts && shown.mean > figures.band * shown.own_variance.sqrt();
        let low =
            if is_plain_drop { shown.mean * (-figures.better * reach / shown.mean).exp() } else { shown.mean - reach };
        Range { scale: probe.scale(), low, high: shown.mean + reach }
    }

    fn check(&self, probe: Probe, limit: Option<DropLimit>, shows: Vec<PartId>) -> Check {
        let what = What::Read { probe, band: self.band(probe), limit };
        Check::open(self.made.showing.clone(), what, shows)
    }
}

/// The parts that doubts are about, and one more, each once.
fn shown_by<'d>(doubts: impl IntoIterator<Item = &'d Doubt>, also: Option<PartId>) -> Vec<PartId> {
    let mut shows: Vec<PartId> = doubts.into_iter().map(|doubt| doubt.part).chain(also).collect();
    shows.sort_unstable();
    shows.dedup();
    shows
}
