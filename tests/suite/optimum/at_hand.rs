//! Outcome table: every test at hand with the partition that it makes of the
//! explanations.

use super::choice::Choice;
use halfsplit::belief::{Appearance, Belief, Engine, Explanation, Site, appearance_chances};
use halfsplit::network::SolveError;
use halfsplit::plan::{Sense, Situation, Test};
use halfsplit::predict::{Probe, StateModel};
use halfsplit::vehicle::trace::settings_for;
use halfsplit::vehicle::{ControlId, ControlKind, PlaceId, PointId, Position, Vehicle};
use rustc_hash::FxHashSet;

/// Settings to try, at most; a bound of time.
const TOGGLES: usize = 3;
/// Deviations between outcomes that are told apart: the usual limit of a control chart.
const APART: f64 = 3.0;
/// V; the last digit of a usual meter.
const LEAST_APART: f64 = 1e-3;
/// Explanations that a deviation is taken over; a bound of time.
const SAMPLED: usize = 6;

/// Where the search begins: what is possible, and how everything stands.
pub struct TestsAtHand<'a> {
    pub engine: &'a Engine,
    pub belief: &'a Belief,
    pub situation: &'a Situation<'a>,
    pub kept: &'a [(&'a Explanation, f64)],
    pub places: &'a [Site],
}

impl TestsAtHand<'_> {
    fn vehicle(&self) -> &Vehicle {
        self.engine.vehicle()
    }

    /// Every test at hand that tells any two explanations apart, cheapest of
    /// those that tell the same.
    pub fn choices(&self) -> Result<Vec<Choice>, SolveError> {
        let mut choices = self.looks()?;
        let pairs = self.pairs();
        for settings in std::iter::once(Vec::new()).chain(self.toggles()) {
            let model = self.engine.predictor().in_state(&self.situation.state.with_all(&settings))?;
            let means: Vec<_> =
                self.kept.iter().map(|(explanation, _)| model.view(self.vehicle(), &explanation.hypothesis)).collect();
            for &(red, black) in &pairs {
                let values: Vec<f64> = means.iter().map(|view| view.volts(red, black)).collect();
                let (low, high) = values.iter().fold((f64::MAX, f64::MIN), |(l, h), &v| (l.min(v), h.max(v)));
                if high - low < LEAST_APART {
                    continue;
                }
                let apart = APART * self.deviation(&model, red, black);
                if high - low > apart {
                    let test = Test::Measure(Probe::voltage(red, black));
                    choices.extend(self.choice(test, &settings, told_apart(&values, apart)));
                }
            }
        }
        choices.sort_by(|a, b| a.minutes.total_cmp(&b.minutes));
        let mut seen = FxHashSet::default();
        choices.retain(|choice| {
            let places: Vec<PlaceId> = choice.opens.iter().map(|&(place, _)| place).collect();
            seen.insert((choice.groups.clone(), places))
        });
        Ok(choices)
    }

    fn choice(
        &self,
        test: Test,
        settings: &[(ControlId, Position)],
        outcomes: impl Iterator<Item = i64>,
    ) -> Option<Choice> {
        let mut groups: Vec<(i64, u64)> = Vec::new();
        for (index, outcome) in outcomes.enumerate() {
            match groups.iter_mut().find(|(known, _)| *known == outcome) {
                Some((_, mask)) => *mask |= 1 << index,
                None => groups.push((outcome, 1 << index)),
            }
        }
        if groups.len() < 2 {
            return None;
        }
        let mut groups: Vec<u64> = groups.into_iter().map(|(_, mask)| mask).collect();
        groups.sort_unstable();
        let now = self.situation.effort(self.vehicle(), test, settings);
        let with_open = |closed: Option<PlaceId>| {
            let mut opened = self.situation.opened.to_vec();
            opened.extend(now.opens.iter().copied().filter(|&place| Some(place) != closed));
            let then = Situation { opened: &opened, ..*self.situation };
            then.effort(self.vehicle(), test, settings).minutes.0
        };
        let minutes = with_open(None);
        let opens = now.opens.iter().map(|&place| (place, with_open(Some(place)) - minutes)).collect();
        Some(Choice { groups, minutes, opens })
    }

    /// What a reading cannot tell apart, given what was read.
    fn deviation(&self, model: &StateModel, red: PointId, black: PointId) -> f64 {
        let variance = |explanation: &Explanation| {
            let view = model.view(self.vehicle(), &explanation.hypothesis);
            let shown = view.shown(Probe::voltage(red, black), self.situation.meter, 0.0, &self.belief.theta);
            explanation.joint.as_ref().map_or(shown.variance(), |joint| joint.forecast(&shown).variance)
        };
        let sampled = &self.kept[..self.kept.len().min(SAMPLED)];
        (sampled.iter().map(|(explanation, _)| variance(explanation)).sum::<f64>() / sampled.len() as f64).sqrt()
    }

    fn pairs(&self) -> Vec<(PointId, PointId)> {
        let parts = self.places.iter().flat_map(|site| site.parts()).map(|part| self.vehicle().part(part).ends());
        let mut points: Vec<PointId> = parts.flat_map(|(from, to)| [from, to]).chain([self.situation.black]).collect();
        points.retain(|&point| self.situation.can_reach(self.vehicle(), point));
        points.sort_unstable();
        points.dedup();
        let from = |index: usize| points[index + 1..].iter().map(move |&other| (other, index));
        (0..points.len()).flat_map(from).map(|(other, index)| (other, points[index])).collect()
    }

    fn looks(&self) -> Result<Vec<Choice>, SolveError> {
        let vehicle = self.vehicle();
        let mut choices = Vec::new();
        for load in vehicle.loads() {
            let Some(kind) = vehicle.part(load).kind.load().map(|load| load.kind) else { continue };
            let settings = settings_for(vehicle, self.situation.state, load);
            let by_hand = settings.len() <= 2 && settings.iter().all(|&(control, _)| self.is_by_hand(control));
            if !by_hand || self.situation.evidence.observations.iter().any(|seen| seen.subject == load) {
                continue;
            }
            let model = self.engine.predictor().in_state(&self.situation.state.with_all(&settings))?;
            let look = |explanation: &Explanation| {
                let chances = appearance_chances(
                    &self.engine.tables().signs,
                    kind,
                    model.performance(vehicle, &explanation.hypothesis, load),
                );
                foretold(&chances).index() as i64
            };
            let outcomes = self.kept.iter().map(|(explanation, _)| look(explanation));
            choices.extend(self.choice(Test::Sense { subject: load, sense: Sense::Look }, &settings, outcomes));
        }
        Ok(choices)
    }

    fn is_by_hand(&self, control: ControlId) -> bool {
        !matches!(self.vehicle().control(control).kind, ControlKind::Sensed | ControlKind::Calling)
    }

    fn toggles(&self) -> Vec<Vec<(ControlId, Position)>> {
        let parts = self.places.iter().flat_map(|site| site.parts()).map(|part| self.vehicle().part(part));
        let mut controls: Vec<ControlId> =
            parts.flat_map(|part| part.gates.iter().map(|&(control, _)| control)).collect();
        controls.retain(|&control| self.is_by_hand(control));
        controls.sort_unstable();
        controls.dedup();
        controls.truncate(TOGGLES);
        controls.into_iter().map(|control| vec![(control, self.situation.state.position(control).opposite())]).collect()
    }
}

/// Numbers of outcomes, the same for values between which there is no gap that
/// can be told.
fn told_apart(values: &[f64], gap: f64) -> impl Iterator<Item = i64> {
    let mut order: Vec<usize> = (0..values.len()).collect();
    order.sort_by(|&a, &b| values[a].total_cmp(&values[b]));
    let mut outcomes = vec![0; values.len()];
    for step in order.windows(2) {
        outcomes[step[1]] = outcomes[step[0]] + i64::from(values[step[1]] - values[step[0]] > gap);
    }
    outcomes.into_iter()
}

/// How a load most likely looks.
fn foretold(chances: &[f64; 3]) -> Appearance {
    let most = |a: &Appearance, b: &Appearance| chances[a.index()].total_cmp(&chances[b.index()]);
    Appearance::ALL.into_iter().max_by(most).unwrap_or(Appearance::Works)
}
