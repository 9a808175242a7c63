//! A state under every explanation that counts. Faults in series that nothing
//! is read between show the same, and are seen as one.

use super::value::Live;
use crate::predict::{Hypothesis, HypothesisKey, Phase, Probe, StateModel, View};
use crate::vehicle::{PointId, Vehicle};
use rustc_hash::FxHashMap;

/// The explanations in one state.
pub struct Views<'v> {
    vehicle: &'v Vehicle,
    model: &'v StateModel,
    live: &'v [Live<'v>],
    /// For each explanation, what shows the same where nothing is read within
    /// the ways it is in, and those ways.
    plain: Vec<(usize, [Option<usize>; 2])>,
    known: FxHashMap<(HypothesisKey, Phase), usize>,
    seen: Vec<View<'v>>,
}

impl<'v> Views<'v> {
    /// Of a state.
    pub fn of(vehicle: &'v Vehicle, model: &'v StateModel, live: &'v [Live<'v>]) -> Self {
        let mut views = Self { vehicle, model, live, plain: Vec::new(), known: FxHashMap::default(), seen: Vec::new() };
        views.plain = live.iter().map(|live| views.plain(live)).collect();
        views
    }

    fn plain(&mut self, live: &Live<'_>) -> (usize, [Option<usize>; 2]) {
        let hypothesis = live.explanation.hypothesis;
        let mut ways = hypothesis.faults().map(|(fault, _)| self.model.series().way_of(fault.part));
        let ways = [ways.next().flatten(), ways.next().flatten()];
        (self.number(self.model.stand_in(self.vehicle, &hypothesis, &[]), live.explanation.phase), ways)
    }

    fn number(&mut self, hypothesis: Hypothesis, phase: Phase) -> usize {
        *self.known.entry((hypothesis.key(), phase)).or_insert_with(|| {
            self.seen.push(self.model.view_in(self.vehicle, &hypothesis, phase));
            self.seen.len() - 1
        })
    }

    /// For each explanation, the number of the view that shows what it does
    /// when this is measured.
    pub fn numbers(&mut self, probe: Probe) -> Vec<usize> {
        (0..self.live.len()).map(|live| self.number_of(live, probe)).collect()
    }

    fn number_of(&mut self, live: usize, probe: Probe) -> usize {
        let explanation = self.live[live].explanation;
        let (plain, ways) = self.plain[live];
        let is_within = |point: PointId| {
            let around = self.model.series().way_around(point);
            around.is_some() && ways.contains(&around)
        };
        match probe.ends() {
            None => self.number(explanation.hypothesis, explanation.phase),
            Some(ends) if ends.into_iter().any(is_within) => {
                self.number(self.model.stand_in(self.vehicle, &explanation.hypothesis, &ends), explanation.phase)
            }
            Some(_) => plain,
        }
    }

    /// What each explanation makes of a measurement.
    pub fn each<T: Clone>(&mut self, probe: Probe, of: impl Fn(&View<'v>) -> T) -> Vec<T> {
        let numbers = self.numbers(probe);
        let mut known: Vec<Option<T>> = vec![None; self.seen.len()];
        let value = |number: usize| known[number].get_or_insert_with(|| of(&self.seen[number])).clone();
        numbers.into_iter().map(value).collect()
    }

    /// Whether any of them has something.
    pub fn any(&self, has: impl Fn(&View<'v>) -> bool) -> bool {
        self.seen.iter().any(has)
    }
}
