//! Learners that need no teacher: the planner itself, and three ways that
//! people go about it who have not learnt any better.

use super::act::{Act, ActError, Conclusion, Loom, Told};
use super::attempt::Attempt;
use super::instrument::{Dial, Function, Leads};
use super::lesson::Lesson;
use crate::belief::{Appearance, Sign, Site};
use crate::case::ReadingVerdict;
use crate::case::proof::{CheckOutcome, What};
use crate::plan::{Next, Sense, Test};
use crate::predict::{Burden, Probe};
use crate::trial::case_seed;
use crate::vehicle::trace::{stops, way_there_and_back};
use crate::vehicle::{PartId, PartKind, PointId, Reach, State};
use rand::SeedableRng;
use rand::seq::SliceRandom;
use rand_chacha::ChaCha8Rng;
use std::rc::Rc;

/// Who learns.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Learner {
    /// The engine's own next test, always.
    Planner,
    /// Any point on the way through what is complained of, in no order, until
    /// what was read justifies a conclusion: reasons well and chooses badly.
    Random,
    /// From the source on until a reading is amiss, which the part before it is
    /// blamed for: chooses in order and does not reason.
    Walk,
    /// One new part after another.
    Swap,
}

impl Learner {
    pub const ALL: [Self; 4] = [Self::Planner, Self::Random, Self::Walk, Self::Swap];

    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Planner => "planner",
            Self::Random => "random",
            Self::Walk => "walk",
            Self::Swap => "swap",
        }
    }
}

/// Plays a lesson from beginning to end.
///
/// # Errors
/// [`ActError`] if a state has no solution.
pub fn play(lesson: &Rc<Lesson>, learner: Learner, stream: u64) -> Result<Attempt, ActError> {
    let mut hand = Hand { attempt: Attempt::in_stream(Rc::clone(lesson), stream)? };
    match learner {
        Learner::Planner => hand.planner()?,
        Learner::Random => hand.random()?,
        Learner::Walk => hand.walk()?,
        Learner::Swap => hand.swap()?,
    }
    Ok(hand.attempt)
}

/// A learner's hand.
struct Hand {
    attempt: Attempt,
}

impl Hand {
    fn patience(&self) -> usize {
        self.attempt.lesson().engine().tables().training.patience
    }

    fn set(&mut self, state: &State) -> Result<(), ActError> {
        let settings = self.attempt.state().settings_to(state, self.attempt.lesson().vehicle());
        if !settings.is_empty() {
            self.attempt.act(Act::Set(settings))?;
        }
        Ok(())
    }

    /// Brings about what is complained of.
    fn switch_on(&mut self) -> Result<(), ActError> {
        let state = self.attempt.lesson().complaint_state();
        self.set(&state)
    }

    /// Sees what is complained of; whether it is as it should be.
    fn look(&mut self) -> Result<bool, ActError> {
        let (subject, sign) = (self.attempt.lesson().hidden.subject, self.attempt.lesson().hidden.sign);
        let vehicle = self.attempt.lesson().vehicle();
        if !vehicle.part(subject).kind.is_load() {
            return Ok(true);
        }
        let seen = match &self.attempt.act(Act::Sense(subject, Sense::Look))?.told {
            Told::Seen(seen) => *seen,
            _ => sign,
        };
        Ok(match sign {
            Sign::StaysOn | Sign::Glows => seen != Sign::StaysOn,
            _ => seen == Sign::Looks(Appearance::Works),
        })
    }

    fn measure(&mut self, probe: Probe) -> Result<(), ActError> {
        // A lesson is done with the instrument in hand.
        let (function, leads) = match probe.by_hand() {
            Probe::Voltage { red, black, burden: Burden::Bare | Burden::Each(_) } => {
                (Function::Volts, Leads::Between(red, black))
            }
            Probe::Voltage { red, black, burden: Burden::Lamp } => (Function::Lamp, Leads::Between(red, black)),
            Probe::Resistance { red, black } => (Function::Ohms, Leads::Between(red, black)),
            Probe::Current { part } | Probe::Fixed { instrument: part, .. } => (Function::Clamp, Leads::Round(part)),
        };
        if self.attempt.instrument().dial != Dial::of(function) {
            self.attempt.act(Act::Turn(Dial::of(function)))?;
        }
        let loom = if self.attempt.lesson().comes_and_goes { Loom::Moved } else { Loom::Still };
        self.attempt.act(Act::Measure(leads, loom))?;
        Ok(())
    }

    /// Renews parts with everything off, and says first that they are it.
    fn repair(&mut self, parts: Vec<PartId>) -> Result<(), ActError> {
        self.attempt.act(Act::Conclude(Conclusion::Parts(parts.clone())))?;
        let rest = State::rest(self.attempt.lesson().vehicle());
        self.set(&rest)?;
        for part in parts {
            self.attempt.act(Act::Replace(part))?;
        }
        self.switch_on()
    }

    fn planner(&mut self) -> Result<(), ActError> {
        self.switch_on()?;
        self.look()?;
        let mut tests = 0;
        let mut retaken = Vec::new();
        loop {
            let assessment = self.attempt.case().assessment();
            let doubt = assessment.contradiction.map(|doubt| self.attempt.case().standing().number_of(doubt.reading));
            let doubt = doubt.filter(|number| !retaken.contains(number));
            if let Some(number) = doubt
                && tests < self.patience()
            {
                retaken.push(number);
                let reading = self.attempt.case().standing().readings[number - 1].reading.clone();
                self.set(&reading.state)?;
                self.measure(reading.probe)?;
                tests += 1;
                continue;
            }
            match &assessment.next {
                Next::Test(advice) if tests < self.patience() => {
                    let advice = advice.clone();
                    if !advice.settings.is_empty() {
                        self.attempt.act(Act::Set(advice.settings.clone()))?;
                    }
                    tests += 1;
                    match advice.test {
                        Test::Measure(probe) => self.measure(probe)?,
                        Test::Sense { subject, sense } => {
                            self.attempt.act(Act::Sense(subject, sense))?;
                        }
                        // A lesson has no complaint tree.
                        Test::Ask(_) => return Ok(()),
                    }
                }
                _ => {
                    let named = self.announced();
                    let nothing = named.is_empty();
                    if nothing {
                        let case = self.attempt.case();
                        let doubted = case.assessment().belief.doubts_drawing(&case.engine().tables().belief);
                        let conclusion = if doubted { Conclusion::Undrawn } else { Conclusion::Nothing };
                        self.attempt.act(Act::Conclude(conclusion))?;
                        return Ok(());
                    }
                    let before = self.attempt.done().len();
                    self.repair(named)?;
                    if self.look()? {
                        return self.prove();
                    }
                    if tests >= self.patience() || before > 8 * self.patience() {
                        return Ok(());
                    }
                }
            }
        }
    }

    /// What the engine announces: one place, or what no probe tells apart.
    fn announced(&self) -> Vec<PartId> {
        let assessment = self.attempt.case().assessment();
        match &assessment.next {
            Next::Found { site } => site.parts().collect(),
            Next::Inseparable { parts } => parts.clone(),
            Next::NothingAmiss | Next::ReadAgain { .. } => Vec::new(),
            _ => match assessment.belief.suspects.first().map(|first| first.site) {
                Some(Site::Nothing | Site::Undrawn) | None => Vec::new(),
                Some(site) => site.parts().collect(),
            },
        }
    }

    /// Does every check of the proof.
    fn prove(&mut self) -> Result<(), ActError> {
        let checks = self.attempt.case().proof()?.map(|proof| proof.checks).unwrap_or_default();
        for check in checks.iter().filter(|check| check.outcome == CheckOutcome::Open) {
            self.set(&check.state)?;
            match check.what {
                What::Shows { subject, sign } => {
                    let sense = Sense::ALL.into_iter().find(|sense| sense.outcomes().contains(&sign));
                    self.attempt.act(Act::Sense(subject, sense.unwrap_or(Sense::Look)))?;
                }
                What::Read { probe, .. } => self.measure(probe)?,
            }
        }
        Ok(())
    }

    fn random(&mut self) -> Result<(), ActError> {
        self.switch_on()?;
        let lesson = Rc::clone(self.attempt.lesson());
        let vehicle = lesson.vehicle();
        let mut random = ChaCha8Rng::seed_from_u64(case_seed(lesson.seed, 0));
        // Nobody with a drawing probes the lift for a dead fridge, or a point
        // twice.
        let way: Vec<PointId> =
            stops(vehicle, &lesson.complaint_state(), lesson.hidden.subject).iter().map(|stop| stop.point).collect();
        let all = (0..vehicle.points.len()).map(PointId::new);
        let mut points: Vec<PointId> = if way.is_empty() { all.collect() } else { way };
        points.retain(|&point| point != vehicle.black && vehicle.reach(point) != Reach::Never);
        points.shuffle(&mut random);
        for point in points.into_iter().take(self.patience()) {
            self.measure(Probe::voltage(point, vehicle.black))?;
            if self.likeliest().is_some_and(|part| self.attempt.justifies(&Conclusion::Parts(vec![part]))) {
                break;
            }
        }
        match self.likeliest() {
            Some(part) => {
                self.repair(vec![part])?;
                self.look().map(drop)
            }
            None => self.attempt.act(Act::Conclude(Conclusion::Nothing)).map(drop),
        }
    }

    fn likeliest(&self) -> Option<PartId> {
        let suspects = &self.attempt.case().assessment().belief.suspects;
        suspects.iter().find_map(|suspect| suspect.site.parts().next())
    }

    fn walk(&mut self) -> Result<(), ActError> {
        self.switch_on()?;
        let lesson = Rc::clone(self.attempt.lesson());
        let vehicle = lesson.vehicle();
        let state = lesson.complaint_state();
        let way = stops(vehicle, &state, lesson.hidden.subject);
        let mut last = None;
        for stop in way.into_iter().filter(|stop| stop.point != vehicle.black) {
            last = stop.by.or(last);
            if vehicle.reach(stop.point) == Reach::Never {
                continue;
            }
            let probe = Probe::voltage(stop.point, vehicle.black);
            let case = self.attempt.case();
            let expected = case.sound_band(&state, case.standing().meter, probe);
            self.measure(probe)?;
            let instruments = &self.attempt.case().engine().tables().instruments;
            let read = self.attempt.case().standing().readings.last().map(|read| read.reading.on_scale(instruments).0);
            if read.is_some_and(|read| ReadingVerdict::of(expected, read).is_amiss()) {
                break;
            }
        }
        if let Some(part) = last {
            self.repair(vec![part])?;
            self.look()?;
        }
        Ok(())
    }

    fn swap(&mut self) -> Result<(), ActError> {
        let lesson = Rc::clone(self.attempt.lesson());
        let vehicle = lesson.vehicle();
        let mut parts = vec![lesson.hidden.subject];
        parts.extend(way_there_and_back(vehicle, &lesson.complaint_state(), lesson.hidden.subject));
        // What is easily had and easily changed comes first.
        parts.sort_by_key(|&part| match vehicle.part(part).kind {
            PartKind::Fuse { .. } => 0,
            PartKind::Load { .. } => 1,
            PartKind::Coil { .. } | PartKind::Contact { .. } | PartKind::Switch => 2,
            PartKind::HolderContact
            | PartKind::Breaker { .. }
            | PartKind::Cable { .. }
            | PartKind::Joint
            | PartKind::Pin
            | PartKind::Isolator
            | PartKind::Shunt
            | PartKind::Diode { .. }
            | PartKind::Chassis
            | PartKind::Supply(_)
            | PartKind::Instrument(_) => 3,
        });
        self.switch_on()?;
        for part in parts.into_iter().take(lesson.engine().tables().training.swaps) {
            let rest = State::rest(vehicle);
            self.set(&rest)?;
            self.attempt.act(Act::Replace(part))?;
            self.switch_on()?;
            if self.look()? {
                self.attempt.act(Act::Conclude(Conclusion::Parts(vec![part])))?;
                return Ok(());
            }
        }
        Ok(())
    }
}
