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
use super::valuation::{Valuation, rank};
use super::value::{live, site_entropy};
use super::{phone, questions, senses};
use crate::belief::{Belief, Engine};
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
    exact.retain(|advice| advice.bits > least_bits);
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
    /// What a test takes beside opening what will be opened anyway.
    fn own_minutes(&self, advice: &Advice) -> f64 {
        let anyway = |place: &PlaceId| self.share_at(*place) * self.vehicle.place(*place).effort().0;
        advice.minutes.0 - self.engine.tables().plan.opened_anyway * advice.opens.iter().map(anyway).sum::<f64>()
    }

    /// Belief in the suspects that end at a place.
    fn share_at(&self, place: PlaceId) -> f64 {
        let is_there = |point: PointId| self.vehicle.point(point).places.contains(&place);
        let ends_there = |part: PartId| <[PointId; 2]>::from(self.vehicle.part(part).ends()).into_iter().any(is_there);
        let there: Vec<bool> = self.sites.iter().map(|site| site.parts().any(ends_there)).collect();
        self.live.iter().filter(|live| there[live.class]).map(|live| live.share).sum()
    }
}
