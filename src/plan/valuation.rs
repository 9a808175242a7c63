//! Value of a measurement: expected information in bits, in rough for many and
//! exactly for a few.

use super::advice::{Advice, Test};
use super::effort::Situation;
use super::outcome::{Range, of_measurement};
use super::phone;
use super::value::{Blank, Live, RoughPartition, exact_bits, site_entropy};
use super::views::Views;
use crate::belief::{Appearance, Belief, Engine, Joint, Sign, Site};
use crate::network::SolveError;
use crate::predict::{Hypothesis, Prediction, Probe, Scale, StateModel, View};
use crate::vehicle::returns::return_bars;
use crate::vehicle::trace::feed_and_return;
use crate::vehicle::{ControlId, PartId, PointId, Position, State, Vehicle};
use rustc_hash::FxHashMap;
use std::rc::Rc;

/// Numerical: rates are ranked to this part of a bit a minute.
const RANKS: f64 = 1e6;

/// What is set for a test.
type Settings<'a> = &'a [(ControlId, Position)];

/// A measurement valued in rough.
pub(super) struct Rough {
    pub probe: Probe,
    pub settings: Vec<(ControlId, Position)>,
    pub rate: f64,
}

/// What every valuation needs.
pub(super) struct Valuation<'a> {
    pub engine: &'a Engine,
    pub vehicle: &'a Vehicle,
    pub belief: &'a Belief,
    pub live: &'a [Live<'a>],
    pub sites: &'a [Site],
    pub situation: &'a Situation<'a>,
    /// Bars of the return.
    pub bars: Vec<PointId>,
    /// Bits that a test tells at least.
    pub least_bits: f64,
}

/// Order of a rate, the highest first; rounded, so that what tells the same
/// stands in drawing order on every machine.
pub(super) fn rank(rate: f64) -> i64 {
    -(rate * RANKS).round() as i64
}

impl<'a> Valuation<'a> {
    /// By the explanations worth considering, and their sites.
    pub fn of(
        engine: &'a Engine,
        belief: &'a Belief,
        (live, sites): &'a (Vec<Live<'a>>, Vec<Site>),
        situation: &'a Situation<'a>,
        least_bits: f64,
    ) -> Self {
        let vehicle = engine.vehicle();
        Self { engine, vehicle, belief, live, sites, situation, bars: return_bars(vehicle), least_bits }
    }

    /// Whether whoever is there can lead a probe to a point, and may.
    pub fn can_probe(&self, point: PointId) -> bool {
        self.situation.can_reach(self.vehicle, point) && phone::may_go(self.vehicle, self.situation, point)
    }

    /// Whether a meter may be held there by who is at the vehicle.
    pub fn may_hold(&self, probe: Probe) -> bool {
        let (red, black) = probe.points(self.vehicle);
        match probe {
            Probe::Current { .. } => !phone::plain_volts_only(self.situation) && self.can_probe(red),
            _ => self.can_probe(red) && self.can_probe(black),
        }
    }

    /// Deviation that leads and hands add to what outcomes differ by, V: nobody
    /// chooses a test by millivolts that the next grip of the tips changes. Who hunts
    /// a drain reads millivolts across fuses, where the tips stay.
    pub fn hands(&self, probe: Probe) -> f64 {
        let is_volts = probe.plain_voltage().is_some() && !self.hunts_a_drain();
        if is_volts { self.engine.tables().plan.hands.0 } else { 0.0 }
    }

    /// What a tip without contact would show of a voltage, and how often it makes none;
    /// who hunts a drain leaves the tips where they are.
    fn blank(&self, probe: Probe) -> Option<Blank> {
        let tables = self.engine.tables();
        let is_volts = probe.scale() == Scale::Volts && probe.instrument().is_none() && !self.hunts_a_drain();
        // A black lead on a negative is clipped and proved; else there are two tips.
        let is_clipped = probe.ends().is_some_and(|[_, black]| self.situation.is_negative(&self.bars, black));
        let contact = (1.0 - tables.plan.no_contact).powi(if is_clipped { 1 } else { 2 });
        is_volts.then(|| Blank {
            chance: 1.0 - contact,
            deviation: tables.plan.hands.0.hypot(tables.instruments.floating_still.0),
        })
    }

    /// Whether a current is known to flow between two points in a state: something was
    /// seen to run, well or weakly, on whose way they lie. Of what nobody calls dead it
    /// is taken for granted.
    fn is_known_to_carry(&self, (red, black): (PointId, PointId), state: &State) -> bool {
        let Self { vehicle, situation, .. } = *self;
        let seen = &situation.evidence.observations;
        let is_dead = seen.iter().any(|seen| seen.is_complaint() && seen.sign == Sign::Looks(Appearance::Dead));
        let runs = |sign: Sign| matches!(sign, Sign::Looks(Appearance::Weak | Appearance::Works));
        let is_on_way = |load: PartId| {
            let sides = feed_and_return(vehicle, state, load);
            sides.iter().any(|side| side.contains(&red) && side.contains(&black))
        };
        !is_dead || seen.iter().any(|seen| runs(seen.sign) && seen.state == *state && is_on_way(seen.subject))
    }

    /// What is at fault, and what it foretells: a small doubt about the complaint itself is
    /// no reason to measure, until nothing else is left to confirm.
    fn at_fault(&self, forecasts: &[(f64, f64)]) -> (Vec<Live<'_>>, Vec<(f64, f64)>) {
        let is_doubt = |live: &Live<'_>| self.sites[live.class] == Site::Nothing;
        let doubt: f64 = self.live.iter().filter(|live| is_doubt(live)).map(|live| live.share).sum();
        let figures = &self.engine.tables().plan;
        let first = self.belief.suspects.first().map_or(0.0, |first| first.probability.value());
        let leaves_out = doubt < figures.stays_open && first < figures.enough * (1.0 - doubt);
        let left = if leaves_out { 1.0 - doubt } else { 1.0 };
        let kept = self.live.iter().zip(forecasts).filter(|(live, _)| !leaves_out || !is_doubt(live));
        kept.map(|(live, &forecast)| (Live { share: live.share / left, ..*live }, forecast)).unzip()
    }

    /// Bits of forecasts. Where no current is known to flow, what differs by the drop of
    /// one alone is told by chance only: nothing reads as little as a sound wire.
    fn bits(&self, probe: Probe, settings: &[(ControlId, Position)], forecasts: &[(f64, f64)]) -> f64 {
        let figures = &self.engine.tables().plan;
        let (blank, classes) = (self.blank(probe), self.sites.len());
        let (live, forecasts) = &self.at_fault(forecasts);
        let bits = exact_bits(live, forecasts, blank, classes);
        let state = self.situation.state.with_all(settings);
        match probe.plain_voltage().filter(|_| !self.hunts_a_drain()) {
            Some(points) if !self.is_known_to_carry(points, &state) => {
                let coarse = |&(mean, deviation): &(f64, f64)| (mean, figures.nothing_or_all.0.hypot(deviation));
                let coarse: Vec<(f64, f64)> = forecasts.iter().map(coarse).collect();
                let certain = exact_bits(live, &coarse, blank, classes);
                certain + figures.flows * (bits - certain)
            }
            _ => bits,
        }
    }

    /// What one measurement taken now is expected to tell, bits.
    pub fn worth(&self, probe: Probe) -> Result<f64, SolveError> {
        let advices = self.exact(&[Rough { probe, settings: Vec::new(), rate: 0.0 }])?;
        Ok(advices.first().map_or(0.0, |advice| advice.bits))
    }

    /// Parts that are suspect enough to be probed at.
    pub fn suspect_parts(&self) -> impl Iterator<Item = PartId> + '_ {
        self.parts_above(self.engine.tables().plan.worth_probing)
    }

    /// Parts that are suspect enough to lay a lead across.
    pub fn doubted_parts(&self) -> impl Iterator<Item = PartId> + '_ {
        self.parts_above(self.engine.tables().plan.doubted)
    }

    /// Parts that are believed to be at fault by more than a share, likeliest first.
    fn parts_above(&self, share: f64) -> impl Iterator<Item = PartId> + '_ {
        let suspects = self.belief.suspects.iter().filter(move |suspect| suspect.probability > share);
        suspects.filter_map(|suspect| suspect.site.parts().next())
    }

    /// A measurement of which each explanation foretells a mean.
    pub fn rough_value(
        &self,
        probe: Probe,
        settings: &[(ControlId, Position)],
        means: &[f64],
        deviation: f64,
    ) -> Option<Rough> {
        let shares: Vec<f64> = self.live.iter().map(|live| live.share).collect();
        let entropy = site_entropy(self.live, &shares, self.sites.len());
        let sketch = RoughPartition::new(self.live, means, self.engine.tables().plan.rough_bin * deviation);
        let bits = sketch.bits(&shares, entropy);
        (bits > 0.5 * self.least_bits).then(|| {
            let minutes = self.situation.effort(self.vehicle, Test::Measure(probe), settings).minutes;
            Rough { probe, settings: settings.to_vec(), rate: bits / minutes.0 }
        })
    }

    /// Whether it has been measured in this state, or is not wanted.
    pub fn is_done(&self, probe: Probe, settings: &[(ControlId, Position)]) -> bool {
        // What was read before the complaint may be of a vehicle that was well.
        let evidence = self.situation.evidence;
        let mut readings = evidence.readings.iter().filter(|reading| !evidence.is_before_complaint(reading));
        let read = readings.any(|reading| probe.is_same(reading.probe) && reading.state == *self.situation.state);
        self.is_unwanted(probe) || (settings.is_empty() && read)
    }

    /// Whether it has been refused.
    pub fn is_unwanted(&self, probe: Probe) -> bool {
        self.situation.unwanted.iter().any(|test| matches!(*test, Test::Measure(other) if probe.is_same(other)))
    }

    /// The first of these, exactly.
    pub fn exact(&self, rough: &[Rough]) -> Result<Vec<Advice>, SolveError> {
        let rough = &rough[..rough.len().min(self.engine.tables().plan.short_list)];
        let mut states: Vec<(Settings<'_>, Rc<StateModel>)> = Vec::new();
        for Rough { settings, .. } in rough {
            if states.iter().all(|(known, _)| known != settings) {
                let model = self.engine.predictor().in_state(&self.situation.state.with_all(settings))?;
                states.push((settings, model));
            }
        }
        let mut seen: Vec<(View<'_>, Views<'_>)> = Vec::new();
        for (_, model) in &states {
            let sound = model.view(self.vehicle, &Hypothesis::Sound);
            seen.push((sound, Views::of(self.vehicle, model, self.live)));
        }
        let value = |rough: &Rough| {
            let at = states.iter().position(|(known, _)| *known == rough.settings)?;
            let (sound, views) = &mut seen[at];
            Some(self.exact_value(rough, sound, views))
        };
        Ok(rough.iter().filter_map(value).collect())
    }

    fn exact_value<'v>(&self, rough: &Rough, sound: &View<'v>, views: &mut Views<'v>) -> Advice {
        let Rough { probe, settings, .. } = rough;
        let next = |view: &View<'_>| {
            Rc::new(view.shown(*probe, self.situation.meter, self.finest(*probe), &self.belief.theta))
        };
        let hands = self.hands(*probe);
        let forecast = |next: &Prediction, joint: Option<&Joint>| {
            let (mean, variance) = match joint {
                Some(joint) => {
                    let forecast = joint.forecast(next);
                    (forecast.mean, forecast.variance)
                }
                None => (next.mean, next.variance()),
            };
            (mean, (variance + hands * hands).sqrt())
        };
        // What showed the same and will show the same is one.
        let mut known: FxHashMap<(*const Joint, *const Prediction), (f64, f64)> = FxHashMap::default();
        let of = |(live, next): (&Live<'_>, Rc<Prediction>)| {
            let joint = live.explanation.joint.as_deref();
            let like = (joint.map_or(std::ptr::null(), std::ptr::from_ref), Rc::as_ptr(&next));
            *known.entry(like).or_insert_with(|| forecast(&next, joint))
        };
        let forecasts: Vec<(f64, f64)> = self.live.iter().zip(views.each(*probe, next)).map(of).collect();
        let sound_joint = self.belief.best_at(Site::Nothing).and_then(|explanation| explanation.joint.as_deref());
        let (mean, deviation) = forecast(&next(sound), sound_joint);
        let sound = Range { scale: probe.scale(), low: mean - 2.0 * deviation, high: mean + 2.0 * deviation };
        let test = Test::Measure(*probe);
        let effort = self.situation.effort(self.vehicle, test, settings);
        Advice {
            test,
            bits: self.bits(*probe, settings, &forecasts),
            settings: settings.clone(),
            opens: effort.opens,
            minutes: effort.minutes,
            sound: Some(sound),
            outcomes: of_measurement(&self.engine.tables().plan, self.live, self.sites, &forecasts, sound),
        }
    }
}
