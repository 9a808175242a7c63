//! The tests at hand, best first.
//!
//! Many pairs of points are valued in rough, a short list exactly, and the
//! short list is ranked by what each test tells for its minutes. Looking two tests
//! ahead cost 1 to 4 % more minutes in trials on all three samples.

use super::effort::Situation;
use super::outcome::{Range, of_measurement};
use super::value::{Live, Sketch, exact_bits, live, site_entropy};
use super::views::Views;
use super::{Advice, LEAST_BITS, Test, phone, questions, senses};
use crate::belief::{Belief, Engine, Joint, Sign, Site};
use crate::fault::Mode;
use crate::network::SolveError;
use crate::predict::{Burden, Hypothesis, LIVE_VOLTS, Probe, Scale, Shown, StateModel, View, is_live};
use crate::quantity::Volts;
use crate::vehicle::{ControlId, ControlKind, PartId, PlaceId, PointId, Position, Vehicle};
use rustc_hash::FxHashMap;
use std::rc::Rc;

/// What is set for a test.
type Settings<'a> = &'a [(ControlId, Position)];

/// Points beyond which pairs across the vehicle are not tried.
const MANY_POINTS: usize = 26;
/// Tests that get an exact valuation.
const SHORT_LIST: usize = 12;
/// Runners-up given.
const MOST_ADVICES: usize = 6;
/// A test in the present state this good makes changes of state unneeded, bits
/// per minute.
const GOOD_RATE: f64 = 0.1;
/// Changes of state tried, at most.
const MOST_TOGGLES: usize = 3;
/// What a bit is worth, in minutes that it costs in the test where it is
/// cheapest: later ones will be dearer. Ranked by rate alone (1), cheap tests
/// that tell little put off those that are needed anyway; in trials of 500
/// cases of each sample 2.5 took 2 to 5 % fewer minutes.
const WORTH_OF_A_BIT: f64 = 2.5;
/// Of the minutes that opening a place takes, the share left out of account
/// for suspects that are all there: a later test would open it all the same.
/// Saved 1 % of the minutes in the same trials.
const OPENED_ANYWAY: f64 = 0.3;
/// A path of more than this many ohms shows a meter a voltage with nothing behind it.
const GHOSTLY: f64 = 500.0;
/// Belief in ghosts or in too much current that makes a lamp or a clamp worth it.
const DOUBTED: f64 = 0.08;
/// Belief in an explanation beyond which it must not put volts on an ohmmeter.
const MAY_BE_LIVE: f64 = 0.01;
/// Current through a fuse that makes it worth measuring in a hunt for a drain, A.
const LEAST_DRAIN: f64 = 0.02;
/// Currents and resistances tried, at most.
const MOST_SPECIAL: usize = 12;
/// Paths outside the drawing probed at, at most.
const MOST_TIED: usize = 4;
/// Belief that makes a part worth probing around.
const WORTH_PROBING: f64 = 0.002;

/// A measurement valued in rough.
struct Rough {
    probe: Probe,
    settings: Vec<(ControlId, Position)>,
    rate: f64,
}

/// What every valuation needs.
struct Desk<'a> {
    engine: &'a Engine,
    vehicle: &'a Vehicle,
    belief: &'a Belief,
    live: &'a [Live<'a>],
    sites: &'a [Site],
    situation: &'a Situation<'a>,
}

/// The best tests, each worth taking.
pub fn best(engine: &Engine, belief: &Belief, situation: &Situation<'_>) -> Result<Vec<Advice>, SolveError> {
    let (live, sites) = live(belief);
    let desk = Desk { engine, vehicle: engine.vehicle(), belief, live: &live, sites: &sites, situation };
    let mut exact = senses::advices(engine, &live, &sites, situation)?;
    let mut rough = desk.rough(&[Vec::new()])?;
    if desk.hunts_a_drain() {
        rough.extend(desk.special(&desk.drain_probes()?)?);
        rough.sort_by_key(|rough| rank(rough.rate));
    }
    exact.extend(desk.exact(&rough)?);
    let asked = questions::advices(engine, &live, &sites, situation);
    let good = exact.iter().any(|exact| exact.bits > LEAST_BITS && exact.rate() > GOOD_RATE);
    if !good {
        rough = desk.rough(&desk.toggles())?;
        rough.extend(desk.special(&desk.special_probes()?)?);
        rough.sort_by_key(|rough| rank(rough.rate));
        exact.extend(desk.exact(&rough)?);
    }
    exact.extend(asked);
    exact.retain(|advice| advice.bits > LEAST_BITS);
    let cheapest = exact.iter().map(Advice::rate).fold(0.0, f64::max);
    exact.sort_by_cached_key(|advice| rank(WORTH_OF_A_BIT * advice.bits / cheapest - desk.own_minutes(advice)));
    phone::eyes_first(situation, &mut exact);
    exact.truncate(MOST_ADVICES);
    Ok(exact)
}

/// What one measurement taken now is expected to tell, bits.
pub fn worth(engine: &Engine, belief: &Belief, situation: &Situation<'_>, probe: Probe) -> Result<f64, SolveError> {
    let (live, sites) = live(belief);
    let desk = Desk { engine, vehicle: engine.vehicle(), belief, live: &live, sites: &sites, situation };
    let advices = desk.exact(&[Rough { probe, settings: Vec::new(), rate: 0.0 }])?;
    Ok(advices.first().map_or(0.0, |advice| advice.bits))
}

/// Order of a rate, the highest first; rounded, so that what tells the same
/// stands in drawing order on every machine.
fn rank(rate: f64) -> i64 {
    -(rate * 1e6).round() as i64
}

impl Desk<'_> {
    /// Every pair of points in every one of these settings, best first.
    fn rough(&self, settings: &[Vec<(ControlId, Position)>]) -> Result<Vec<Rough>, SolveError> {
        let pairs = self.pairs();
        let mut rough = Vec::new();
        for settings in settings {
            let model = self.engine.predictor().in_state(&self.situation.state.with_all(settings))?;
            rough.extend(self.rough_voltages(&model, &pairs, settings));
        }
        rough.sort_by_key(|rough| rank(rough.rate));
        Ok(rough)
    }

    /// Pairs of points around the suspects.
    fn pairs(&self) -> Vec<(PointId, PointId)> {
        let can_reach = |point: PointId| {
            self.situation.can_reach(self.vehicle, point) && phone::may_go(self.vehicle, self.situation, point)
        };
        let mut points: Vec<PointId> = Vec::new();
        let mut across: Vec<(PointId, PointId)> = Vec::new();
        for part in self.suspect_parts() {
            let (from, to) = self.vehicle.part(part).ends();
            points.extend([from, to]);
            across.push((from, to));
        }
        points.extend(self.tied_points());
        points.sort_unstable();
        points.dedup();
        points.retain(|&point| can_reach(point));
        let mut pairs: Vec<(PointId, PointId)> = points.iter().map(|&point| (point, self.situation.black)).collect();
        if points.len() <= MANY_POINTS {
            for (index, &a) in points.iter().enumerate() {
                pairs.extend(points[index + 1..].iter().map(|&b| (a, b)));
            }
        } else {
            pairs.extend(across);
        }
        pairs.retain(|&(red, black)| red != black && can_reach(red) && can_reach(black));
        pairs.iter_mut().for_each(|pair| *pair = (pair.0.min(pair.1), pair.0.max(pair.1)));
        pairs.sort_unstable();
        pairs.dedup();
        pairs
    }

    /// What a test takes beside opening what will be opened anyway.
    fn own_minutes(&self, advice: &Advice) -> f64 {
        let anyway = |place: &PlaceId| self.share_at(*place) * self.vehicle.place(*place).effort().0;
        advice.minutes.0 - OPENED_ANYWAY * advice.opens.iter().map(anyway).sum::<f64>()
    }

    /// Belief in the suspects that end at a place.
    fn share_at(&self, place: PlaceId) -> f64 {
        let is_there = |point: PointId| self.vehicle.point(point).places.contains(&place);
        let ends_there = |part: PartId| <[PointId; 2]>::from(self.vehicle.part(part).ends()).into_iter().any(is_there);
        let there: Vec<bool> = self.sites.iter().map(|site| site.parts().any(ends_there)).collect();
        self.live.iter().filter(|live| there[live.class]).map(|live| live.share).sum()
    }

    fn suspect_parts(&self) -> impl Iterator<Item = PartId> + '_ {
        self.belief
            .suspects
            .iter()
            .filter(|suspect| suspect.probability > WORTH_PROBING)
            .filter_map(|suspect| suspect.site.parts().next())
    }

    /// Ends of the likeliest paths that are not in the drawing.
    fn tied_points(&self) -> impl Iterator<Item = PointId> + '_ {
        let tied = self.live.iter().filter(|live| live.share > WORTH_PROBING).filter_map(|live| {
            match live.weighed.hypothesis {
                Hypothesis::Tied { from, to, .. } => Some([from, to]),
                _ => None,
            }
        });
        tied.take(MOST_TIED).flatten()
    }

    fn rough_voltages(
        &self,
        model: &StateModel,
        pairs: &[(PointId, PointId)],
        settings: &[(ControlId, Position)],
    ) -> Vec<Rough> {
        let mut views = Views::of(self.vehicle, model, self.live);
        let sound = model.view(self.vehicle, &Hypothesis::Sound);
        let sheet = self.situation.meter.meter();
        let mut rough = Vec::new();
        for &(a, b) in pairs {
            // The red lead goes where the voltage is higher when all is sound.
            let (red, black) = if sound.volts(a, b) < -1e-9 { (b, a) } else { (a, b) };
            let probe = Probe::voltage(red, black);
            if self.is_done(probe, settings) {
                continue;
            }
            let means = views.each(probe, |view| view.volts(red, black));
            let largest = means.iter().fold(0.0f64, |most, mean| most.max(mean.abs()));
            let meter = sheet.gain_deviation() * largest + sheet.offset_deviation(Volts(largest)).0;
            rough.extend(self.rough_value(probe, settings, &means, 0.02 * largest + meter));
        }
        rough
    }

    /// A measurement of which each explanation foretells a mean.
    fn rough_value(
        &self,
        probe: Probe,
        settings: &[(ControlId, Position)],
        means: &[f64],
        deviation: f64,
    ) -> Option<Rough> {
        let shares: Vec<f64> = self.live.iter().map(|live| live.share).collect();
        let entropy = site_entropy(self.live, &shares, self.sites.len());
        let sketch = Sketch::new(self.live, means, deviation);
        let bits = sketch.bits(&shares, entropy);
        (bits > 0.5 * LEAST_BITS).then(|| {
            let minutes = self.situation.effort(self.vehicle, Test::Measure(probe), settings).minutes;
            Rough { probe, settings: settings.to_vec(), rate: bits / minutes.0 }
        })
    }

    /// What a plain voltage cannot tell: a lamp on points that may be ghosts, a
    /// current where something may draw too much, a resistance where all is dead.
    fn special(&self, probes: &[Probe]) -> Result<Vec<Rough>, SolveError> {
        let model = self.engine.predictor().in_state(self.situation.state)?;
        let mut views = Views::of(self.vehicle, &model, self.live);
        let mut rough = Vec::new();
        for &probe in probes {
            if self.is_done(probe, &[]) {
                continue;
            }
            let shown = |view: &View<'_>| match probe {
                Probe::Current { part } => view.amps(part),
                _ => view.shown(probe, self.situation.meter, 0.0, &self.belief.theta).mean,
            };
            let means = views.each(probe, shown);
            let largest = means.iter().fold(0.0f64, |most, mean| most.max(mean.abs()));
            let deviation = match probe.scale() {
                Scale::Volts => 0.02 * largest + self.situation.meter.meter().offset_deviation(Volts(largest)).0,
                Scale::LogOhms => 0.2,
                Scale::Amps => 0.05 * largest + 0.05,
            };
            rough.extend(self.rough_value(probe, &[], &means, deviation));
        }
        Ok(rough)
    }

    /// Whether somebody looks for what empties a battery at rest.
    fn hunts_a_drain(&self) -> bool {
        self.situation.evidence.observations.iter().any(|seen| seen.sign == Sign::GoesFlat)
    }

    /// For a drain: a clamp round the battery and round every fuse that may
    /// carry some of it, and volts across those fuses, which open nothing.
    fn drain_probes(&self) -> Result<Vec<Probe>, SolveError> {
        let model = self.engine.predictor().in_state(self.situation.state)?;
        let views = Views::of(self.vehicle, &model, self.live);
        let flat = self.situation.evidence.observations.iter().filter(|seen| seen.sign == Sign::GoesFlat);
        let mut probes: Vec<Probe> = flat.map(|seen| Probe::Current { part: seen.subject }).collect();
        let fuses = self.vehicle.part_ids().filter(|&part| self.vehicle.part(part).kind.is_fuse());
        for fuse in fuses.filter(|&fuse| views.any(|view| view.amps(fuse).abs() > LEAST_DRAIN)) {
            let (red, black) = self.vehicle.part(fuse).ends();
            if self.situation.can_reach(self.vehicle, red) && self.situation.can_reach(self.vehicle, black) {
                probes.extend([Probe::Current { part: fuse }, Probe::voltage(red, black)]);
            }
        }
        if phone::plain_volts_only(self.situation) {
            probes.clear();
        }
        Ok(probes)
    }

    fn special_probes(&self) -> Result<Vec<Probe>, SolveError> {
        let model = &*self.engine.predictor().in_state(self.situation.state)?;
        let share = |fits: fn(Mode, f64) -> bool| -> f64 {
            let fits = |live: &&Live<'_>| {
                live.weighed
                    .hypothesis
                    .faults()
                    .any(|(fault, size)| fits(fault.mode, size.map_or(0.0, |size| size.value)))
            };
            self.live.iter().filter(fits).map(|live| live.share).sum()
        };
        let mut probes = Vec::new();
        if phone::plain_volts_only(self.situation) {
            return Ok(probes);
        }
        if share(|mode, size| {
            matches!(mode, Mode::Resistive | Mode::Together | Mode::Leak | Mode::Bridged | Mode::Seeping)
                && size > GHOSTLY
        }) > DOUBTED
        {
            let readings = self.situation.evidence.readings.iter();
            let read = readings.filter(|reading| reading.state == *self.situation.state);
            let points = read.filter_map(|reading| reading.probe.plain_voltage());
            probes.extend(points.map(|(red, black)| Probe::Voltage { red, black, burden: Burden::Lamp }));
        }
        let draws = |mode: Mode, _: f64| matches!(mode, Mode::HighDraw | Mode::Awake | Mode::Leak | Mode::Bridged);
        if share(draws) > DOUBTED {
            let fuses = self
                .vehicle
                .part_ids()
                .filter(|&part| self.vehicle.part(part).kind.is_fuse() && model.carries_current(part));
            probes.extend(fuses.take(MOST_SPECIAL).map(|part| Probe::Current { part }));
        }
        let dead = self.suspect_parts().take(MOST_SPECIAL).filter_map(|part| {
            let (red, black) = self.vehicle.part(part).ends();
            let reach = self.situation.can_reach(self.vehicle, red) && self.situation.can_reach(self.vehicle, black);
            let live = || is_live(model, self.vehicle, red, black) || self.may_be_live(model, red, black);
            (reach && !live()).then_some(Probe::Resistance { red, black })
        });
        probes.extend(dead);
        Ok(probes)
    }

    /// Whether an explanation that is not far-fetched puts volts there, where an
    /// ohmmeter has no business.
    fn may_be_live(&self, model: &StateModel, red: PointId, black: PointId) -> bool {
        let mut thinkable = self.live.iter().filter(|live| live.share > MAY_BE_LIVE);
        thinkable.any(|live| {
            let view = model.view_in(self.vehicle, &live.weighed.hypothesis, live.weighed.phase);
            view.volts(red, black).abs() > LIVE_VOLTS
        })
    }

    fn is_done(&self, probe: Probe, settings: &[(ControlId, Position)]) -> bool {
        let unwanted =
            self.situation.unwanted.iter().any(|test| matches!(*test, Test::Measure(other) if probe.is_same(other)));
        let mut readings = self.situation.evidence.readings.iter();
        let read = readings.any(|reading| probe.is_same(reading.probe) && reading.state == *self.situation.state);
        unwanted || (settings.is_empty() && read)
    }

    fn exact(&self, rough: &[Rough]) -> Result<Vec<Advice>, SolveError> {
        let rough = &rough[..rough.len().min(SHORT_LIST)];
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
        let next = |view: &View<'_>| Rc::new(view.shown(*probe, self.situation.meter, 0.0, &self.belief.theta));
        let forecast = |next: &Shown, joint: Option<&Joint>| match joint {
            Some(joint) => {
                let forecast = joint.forecast(next);
                (forecast.mean, forecast.variance.sqrt())
            }
            None => (next.mean, next.variance().sqrt()),
        };
        // What showed the same and will show the same is one.
        let mut known: FxHashMap<(*const Joint, *const Shown), (f64, f64)> = FxHashMap::default();
        let of = |(live, next): (&Live<'_>, Rc<Shown>)| {
            let joint = live.weighed.joint.as_deref();
            let like = (joint.map_or(std::ptr::null(), std::ptr::from_ref), Rc::as_ptr(&next));
            *known.entry(like).or_insert_with(|| forecast(&next, joint))
        };
        let forecasts: Vec<(f64, f64)> = self.live.iter().zip(views.each(*probe, next)).map(of).collect();
        let sound_joint = self.belief.best_at(Site::Nothing).and_then(|weighed| weighed.joint.as_deref());
        let (mean, deviation) = forecast(&next(sound), sound_joint);
        let sound = Range { scale: probe.scale(), low: mean - 2.0 * deviation, high: mean + 2.0 * deviation };
        let test = Test::Measure(*probe);
        let effort = self.situation.effort(self.vehicle, test, settings);
        Advice {
            test,
            bits: exact_bits(self.live, &forecasts, self.sites.len()),
            settings: settings.clone(),
            opens: effort.opens,
            minutes: effort.minutes,
            sound: Some(sound),
            outcomes: of_measurement(self.live, self.sites, &forecasts, sound),
        }
    }

    /// Changes of what gates the suspects: one at a time, and with a lamp in
    /// place of a fuse that blows.
    fn toggles(&self) -> Vec<Vec<(ControlId, Position)>> {
        if phone::plain_volts_only(self.situation) {
            return Vec::new();
        }
        let lamps = self.lamps();
        let mut controls: Vec<ControlId> = Vec::new();
        for part in self.suspect_parts() {
            for &(control, _) in &self.vehicle.part(part).gates {
                let kind = self.vehicle.control(control).kind;
                let by_hand = !matches!(kind, ControlKind::Sensed | ControlKind::Calling);
                let is_lamp = lamps.iter().any(|&(lamp, _)| lamp == control);
                if by_hand && !is_lamp && !controls.contains(&control) {
                    controls.push(control);
                }
            }
        }
        controls.truncate(MOST_TOGGLES);
        let state = self.situation.state;
        let opposite = |control| (control, state.position(control).opposite());
        let needs_lamp = lamps.iter().any(|&(control, _)| state.position(control) != Position::Lamp);
        let with_lamps = |mut settings: Vec<(ControlId, Position)>| {
            settings.extend(lamps.iter().copied().filter(|&(control, _)| state.position(control) != Position::Lamp));
            settings
        };
        let mut all: Vec<Vec<(ControlId, Position)>> =
            controls.into_iter().map(|control| with_lamps(vec![opposite(control)])).collect();
        if needs_lamp {
            all.push(with_lamps(Vec::new()));
        }
        all
    }

    /// Lamps in place of the fuses that keep blowing: never fuse after fuse.
    fn lamps(&self) -> Vec<(ControlId, Position)> {
        let observations = self.situation.evidence.observations.iter();
        let fuses =
            observations.filter(|seen| seen.sign == Sign::BlowsFuse).map(|seen| self.vehicle.part(seen.subject));
        let fuses = fuses.filter(|part| part.kind.is_fuse());
        fuses.filter_map(|part| part.gates.first()).map(|&(control, _)| (control, Position::Lamp)).collect()
    }
}
