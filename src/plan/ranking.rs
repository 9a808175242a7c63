//! Choice of the next test by expected information and cost.
//!
//! Ranked by w I/r − c: I the expected information in bits, c the minutes, r the best
//! rate of bits per minute at hand, so that a bit is worth w times what it costs
//! where it is cheapest. By rate alone cheap tests that tell little come before those
//! that are needed anyway. Of the minutes that opening a place takes, a share of the
//! belief in suspects there is left out: a later test would open it all the same.
//! Many pairs of points are valued in rough, a short list exactly. Look-ahead of two
//! tests cost 1 to 4 % more minutes in trials on all three samples.

use super::advice::{Advice, Test};
use super::effort::Situation;
use super::outcome::Outcome;
use super::valuation::{Valuation, rank};
use super::value::{Live, live, site_entropy};
use super::{phone, questions, senses};
use crate::belief::{Belief, Engine, Site};
use crate::network::SolveError;
use crate::vehicle::{PartId, PlaceId, PointId};

/// The best tests, each worth taking.
pub fn best(engine: &Engine, belief: &Belief, situation: &Situation<'_>) -> Result<Vec<Advice>, SolveError> {
    above(engine.tables().plan.least_bits, engine, belief, situation)
}

/// The best tests of what is all but certain.
pub fn confirming(engine: &Engine, belief: &Belief, situation: &Situation<'_>) -> Result<Vec<Advice>, SolveError> {
    let figures = &engine.tables().plan;
    let (live, sites) = live(figures, belief);
    let shares: Vec<f64> = live.iter().map(|live| live.share).collect();
    let open = site_entropy(&live, &shares, sites.len());
    above((figures.confirms * open).min(figures.least_bits), engine, belief, situation)
}

/// Those of them that are readings at a suspect itself, as things are set and open: what
/// else is looked at then leaves it where it is, whatever is seen.
pub fn directly(
    engine: &Engine,
    belief: &Belief,
    situation: &Situation<'_>,
    site: Site,
) -> Result<Vec<Advice>, SolveError> {
    let ends: Vec<PointId> =
        site.parts().flat_map(|part| <[PointId; 2]>::from(engine.vehicle().part(part).ends())).collect();
    let is_at_it = |advice: &Advice| {
        let Test::Measure(probe) = advice.test else { return false };
        advice.settings.is_empty()
            && advice.opens.is_empty()
            && probe.ends().is_some_and(|points| points.iter().any(|point| ends.contains(point)))
    };
    Ok(confirming(engine, belief, situation)?.into_iter().filter(is_at_it).collect())
}

/// The best tests that tell more than so many bits.
fn above(
    least_bits: f64,
    engine: &Engine,
    belief: &Belief,
    situation: &Situation<'_>,
) -> Result<Vec<Advice>, SolveError> {
    let figures = &engine.tables().plan;
    let live = live(figures, belief);
    let valuation = Valuation::of(engine, belief, &live, situation, least_bits);
    let mut exact = senses::advices(&valuation)?;
    exact.extend(valuation.exact(&valuation.panel())?);
    let put_back = situation.state.settings_to(&situation.state.without_aids(), engine.vehicle());
    let settings = [Vec::new(), put_back];
    let settings = if situation.state.has_aids() { &settings[..] } else { &settings[..1] };
    // A circuit whose fuse is out drains nothing.
    let fitted = valuation.fitted_again()?;
    let own = [fitted.clone()];
    let settings = if fitted.is_empty() { settings } else { &own[..] };
    let mut rough = valuation.rough(settings)?;
    if valuation.hunts_a_drain() {
        let probes = valuation.drain_probes(&situation.state.with_all(&fitted))?;
        rough.extend(valuation.special(&probes, &fitted)?);
        rough.sort_by_key(|rough| rank(rough.rate));
        exact.extend(valuation.exact(&valuation.pulls()?)?);
    }
    exact.extend(valuation.exact(&rough)?);
    let asked = questions::advices(&valuation);
    // A look is cheap whatever it tells: it does not stand in for a measurement.
    let mut measured = exact.iter().filter(|exact| matches!(exact.test, Test::Measure(_)));
    let good = measured.any(|exact| exact.bits > least_bits && exact.rate() > figures.good_rate);
    if !exact.iter().any(|exact| exact.bits > figures.spares_an_aid) {
        let aids = senses::with_aids(&valuation)?;
        exact.extend(aids.into_iter().filter(|aid| aid.bits > figures.worth_an_aid));
    }
    // What blows a fuse is found by what flows, or with a lamp in its place.
    let blows = situation.evidence.blowing().next().is_some();
    if !good || blows {
        rough = valuation.rough(&valuation.toggles())?;
        rough.extend(valuation.special(&valuation.special_probes()?, &[])?);
        rough.sort_by_key(|rough| rank(rough.rate));
        exact.extend(valuation.exact(&rough)?);
    }
    exact.extend(asked);
    exact.retain(|advice| advice.bits > least_bits && valuation.may_move(advice));
    let cheapest = exact.iter().map(Advice::rate).fold(0.0, f64::max);
    // Each look at what sleeps may wake it: fewer of them are worth their minutes.
    let worth = if valuation.hunts_a_drain() { figures.worth_in_a_drain } else { figures.worth_of_a_bit };
    exact.sort_by_cached_key(|advice| rank(worth * advice.bits / cheapest - valuation.own_minutes(advice)));
    phone::eyes_first(situation, &mut exact);
    // How much runs out of the battery comes before where it goes.
    if let Some(first) = valuation.round_the_battery() {
        let first = valuation.exact(&[first])?.into_iter().filter(|first| first.bits > least_bits);
        for first in first {
            exact.retain(|other| other.test != first.test || other.settings != first.settings);
            exact.insert(0, first);
        }
    }
    exact.truncate(figures.advices);
    Ok(exact)
}

impl Valuation<'_> {
    /// Whether an answer that somebody gives changes anything: another part comes first
    /// by one of those that are told, or the first is believed clearly more or less.
    fn may_move(&self, advice: &Advice) -> bool {
        let (figures, least) = (&self.engine.tables().plan, self.engine.tables().telling.beside);
        if matches!(advice.test, Test::Measure(_)) {
            return true;
        }
        let is_part = |site: Site| site.parts().next().is_some();
        let share =
            |class: usize| -> f64 { self.live.iter().filter(|live| live.class == class).map(|live| live.share).sum() };
        let shares = (0..self.sites.len()).map(|class| (self.sites[class], share(class)));
        let Some((first, now)) = shares.filter(|(site, _)| is_part(*site)).max_by(|a, b| a.1.total_cmp(&b.1)) else {
            return true;
        };
        let is_moved = |outcome: &Outcome| match outcome.points_to.iter().find(|(site, _)| is_part(*site)) {
            Some(&(site, then)) => site != first || (then - now).abs() > figures.moves,
            None => true,
        };
        advice.outcomes.iter().filter(|outcome| outcome.probability >= least).any(is_moved)
    }

    /// What a test takes beside opening what will be opened anyway.
    fn own_minutes(&self, advice: &Advice) -> f64 {
        let anyway = |place: &PlaceId| self.share_at(*place) * self.vehicle.place(*place).effort().0;
        advice.minutes.0
            - self.spares(advice)
            - self.engine.tables().plan.opened_anyway * advice.opens.iter().map(anyway).sum::<f64>()
    }

    /// Minutes of the reading of a load's own terminals that is taken before it is named,
    /// as far as it is suspect: with this reading it has been taken.
    fn spares(&self, advice: &Advice) -> f64 {
        let Test::Measure(probe) = advice.test else { return 0.0 };
        let Some((red, black)) = probe.plain_voltage() else { return 0.0 };
        let is_load = |part: PartId| self.vehicle.part(part).kind.is_load();
        let loads: Vec<PartId> = self.vehicle.parts_between(red, black).filter(|&part| is_load(part)).collect();
        let is_of_one = |live: &&Live<'_>| matches!(self.sites[live.class], Site::Part(part) if loads.contains(&part));
        let share: f64 = self.live.iter().filter(is_of_one).map(|live| live.share).sum();
        share * self.engine.tables().times.read.0
    }

    /// Belief in the suspects that end at a place.
    fn share_at(&self, place: PlaceId) -> f64 {
        let is_there = |point: PointId| self.vehicle.point(point).places.contains(&place);
        let ends_there = |part: PartId| <[PointId; 2]>::from(self.vehicle.part(part).ends()).into_iter().any(is_there);
        let there: Vec<bool> = self.sites.iter().map(|site| site.parts().any(ends_there)).collect();
        self.live.iter().filter(|live| there[live.class]).map(|live| live.share).sum()
    }
}
