//! What acts are worth, what justifies a conclusion, and what help there is.

use super::Attempt;
use crate::belief::{Explanation, Site};
use crate::fault::concerns;
use crate::plan::{Advice, Next, Situation, Test, worth};
use crate::predict::Probe;
use crate::training::act::{Act, ActError, Conclusion, Done, Hint, Worth};
use crate::training::instrument::{metered, shows_live};
use crate::vehicle::{PartId, PointId};

impl Attempt {
    /// What a test is worth before it is taken, and what would be better.
    pub(super) fn judged(&self, act: &Act) -> Result<(Worth, Option<Box<Advice>>), ActError> {
        let test = match act {
            Act::Measure(leads, _) => {
                self.check_leads(*leads)?;
                self.instrument.probe(*leads).map(Test::Measure)
            }
            Act::Sense(subject, sense) => Some(Test::Sense { subject: *subject, sense: *sense }),
            _ => return Ok((Worth::NoTest, None)),
        };
        let better = match &self.case.assessment().next {
            Next::Test(advice) => Some(advice.clone()),
            _ => None,
        };
        if !self.is_hunting() {
            return Ok((Worth::Proving, None));
        }
        let Some(test) = test else { return Ok((Worth::Void, better)) };
        // Whoever looks first whether the complaint is true wastes nothing.
        if let Test::Sense { subject, .. } = test
            && subject == self.lesson.hidden.subject
        {
            return Ok((Worth::NoTest, None));
        }
        let (least_bits, figures) = (self.lesson.engine().tables().plan.least_bits, self.figures());
        if self.asked_again(test) {
            return Ok((Worth::Telling { bits: least_bits }, better));
        }
        let (engine, belief) = (self.lesson.engine(), &self.case.assessment().belief);
        let situation = self.situation();
        let is_live_ohms = matches!(test, Test::Measure(Probe::Resistance { red, black })
            if self.is_live(red, black).unwrap_or(false));
        if is_live_ohms {
            return Ok((Worth::Void, better));
        }
        let bits = worth(engine, belief, &situation, test)?;
        let state = self.lesson.complaint_state();
        if *situation.state != state {
            let then = worth(engine, belief, &Situation { state: &state, ..situation }, test)?;
            if then > least_bits && bits < figures.void_share * then {
                return Ok((Worth::Void, better));
            }
        }
        Ok((if bits >= figures.known_below { Worth::Telling { bits } } else { Worth::Known }, better))
    }

    fn is_live(&self, red: PointId, black: PointId) -> Result<bool, ActError> {
        let between = metered(&self.world.network(self.state()), red.index(), black.index(), None)?;
        Ok(shows_live(&self.world.tables().instruments, between))
    }

    /// Whether the engine doubts a reading and asks for it again.
    fn asked_again(&self, test: Test) -> bool {
        let doubt = self.case.assessment().contradiction;
        let read = doubt.and_then(|doubt| self.case.standing().evidence.readings.get(doubt.reading));
        matches!((test, read), (Test::Measure(probe), Some(read)) if probe.is_same(read.probe))
    }

    /// Whether what was seen and read justifies a conclusion.
    pub fn justifies(&self, conclusion: &Conclusion) -> bool {
        let assessment = self.case.assessment();
        let holds = |site: Site| match conclusion {
            Conclusion::Nothing => site == Site::Nothing,
            Conclusion::Undrawn => site == Site::Undrawn,
            Conclusion::Parts(parts) => site.parts().next().is_some() && site.parts().all(|part| parts.contains(&part)),
        };
        // What has failed of one cause in several ways is named by any of them.
        let contains = |one: &Explanation| {
            let Conclusion::Parts(parts) = conclusion else { return false };
            let is_named = |fault| parts.iter().any(|&part| concerns(self.case.vehicle(), fault, part));
            let mut faults = one.hypothesis.faults().map(|(fault, _)| fault).peekable();
            faults.peek().is_some() && faults.all(is_named)
        };
        let explanations = assessment.belief.explanations.iter();
        let held: f64 = explanations.filter(|one| holds(one.site) || contains(one)).map(|one| one.probability).sum();
        let is_likeliest = assessment.belief.suspects.first().is_some_and(|first| holds(first.site));
        let no_test_left = !matches!(assessment.next, Next::Test(_)) && assessment.contradiction.is_none();
        let was_shaken =
            matches!(conclusion, Conclusion::Parts(parts) if parts.iter().any(|part| self.flickered.contains(part)));
        held >= self.figures().justified || (no_test_left && is_likeliest) || was_shaken
    }

    /// Whether a conclusion names several parts that are neither two faults at
    /// once nor what no probe tells apart.
    pub(super) fn is_scattered(&self, conclusion: &Conclusion) -> bool {
        let Conclusion::Parts(parts) = conclusion else { return false };
        let assessment = self.case.assessment();
        let is_pair = assessment.belief.suspects.first().is_some_and(|first| {
            matches!(first.site, Site::Both(..)) && parts.iter().all(|&part| first.site.parts().any(|one| one == part))
        });
        let is_set = match &assessment.next {
            Next::Inseparable { parts: set } => parts.iter().all(|part| set.contains(part)),
            _ => false,
        };
        parts.len() > 1 && !is_pair && !is_set
    }

    /// Help: the further, the more often it was asked for since the last test.
    pub(super) fn hint(&self) -> Hint {
        let is_test = |done: &&Done| matches!(done.act, Act::Measure(..) | Act::Sense(..));
        let asked =
            self.done.iter().rev().take_while(|done| !is_test(done)).filter(|done| done.act == Act::Hint).count();
        let assessment = self.case.assessment();
        match (&assessment.next, asked) {
            (Next::Test(_), 0) => {
                let suspects =
                    assessment.belief.suspects.iter().filter(|suspect| suspect.probability > self.figures().possible);
                let mut parts: Vec<PartId> = suspects.flat_map(|suspect| suspect.site.parts()).collect();
                parts.sort_unstable();
                parts.dedup();
                Hint::Where(parts)
            }
            (Next::Test(advice), 1) => Hint::Kind(advice.clone()),
            (Next::Test(advice), _) => Hint::Test(advice.clone()),
            (Next::Found { .. } | Next::Inseparable { .. } | Next::NothingAmiss, _) => Hint::Enough,
            _ => Hint::NoTest,
        }
    }
}
