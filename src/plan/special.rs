//! What a plain voltage cannot tell: a test lamp on ghost voltages, a clamp
//! where something draws too much, ohms where all is dead.

use super::phone;
use super::valuation::{Rough, Valuation};
use super::value::Live;
use super::views::Views;
use crate::fault::FailureMode;
use crate::network::SolveError;
use crate::predict::{Burden, Probe, Scale, StateModel, View, is_live};
use crate::quantity::Volts;
use crate::vehicle::{ControlId, PointId, Position};

impl Valuation<'_> {
    /// What a plain voltage cannot tell: a lamp on points that may be ghosts, a
    /// current where something may draw too much, a resistance where all is dead.
    pub fn special(&self, probes: &[Probe], settings: &[(ControlId, Position)]) -> Result<Vec<Rough>, SolveError> {
        let model = self.engine.predictor().in_state(&self.situation.state.with_all(settings))?;
        let mut views = Views::of(self.vehicle, &model, self.live);
        let meter = self.situation.meter.meter(&self.engine.tables().instruments);
        let figures = &self.engine.tables().plan;
        let mut rough = Vec::new();
        for &probe in probes {
            if self.is_done(probe, settings) {
                continue;
            }
            // From a milliampere to a hundred amperes: on a scale on which a deviation
            // is everywhere as wide as that of the zero.
            let [gain, zero] = figures.rough_amps;
            let zero = if self.hunts_a_drain() { figures.rough_drain.0 } else { zero };
            let shown = |view: &View<'_>| match probe {
                Probe::Current { part } => zero / gain * (gain / zero * view.amps(part)).asinh(),
                _ => view.shown(probe, self.situation.meter, 0.0, &self.belief.theta).mean,
            };
            let means = views.each(probe, shown);
            let largest = means.iter().fold(0.0f64, |most, mean| most.max(mean.abs()));
            let deviation = match probe.scale() {
                Scale::Volts => figures.rough_volts * largest + meter.offset_deviation(Volts(largest)).0,
                Scale::LogOhms => figures.rough_log_ohms,
                Scale::Amps => zero,
            };
            rough.extend(self.rough_value(probe, settings, &means, deviation));
        }
        Ok(rough)
    }

    /// What the vehicle's own instruments show, and a meter where one measures
    /// that may be wrong. All explanations may foretell the same mean, and yet
    /// not the same after what was read: so they are not valued in rough.
    pub fn panel(&self) -> Vec<Rough> {
        let suspects = &self.belief.suspects;
        let doubted = self.engine.tables().plan.worth_probing;
        let is_suspect = |part| {
            let held = suspects.iter().filter(|suspect| suspect.site.parts().any(|other| other == part));
            held.map(|suspect| suspect.probability.value()).sum::<f64>() > doubted
        };
        let by_hand = |&probe: &Probe| probe.instrument().is_some_and(is_suspect) && self.may_hold(probe.by_hand());
        let probes: Vec<Probe> = Probe::panel(self.vehicle).collect();
        let hands: Vec<Probe> = probes.iter().filter(|probe| by_hand(probe)).map(|probe| probe.by_hand()).collect();
        let all = hands.into_iter().chain(probes).filter(|&probe| !self.is_done(probe, &[]));
        all.map(|probe| Rough { probe, settings: Vec::new(), rate: 0.0 }).collect()
    }

    /// Those that may be worth it.
    pub fn special_probes(&self) -> Result<Vec<Probe>, SolveError> {
        let model = &*self.engine.predictor().in_state(self.situation.state)?;
        let figures = &self.engine.tables().plan;
        let share = |fits: &dyn Fn(FailureMode, f64) -> bool| -> f64 {
            let fits = |live: &&Live<'_>| {
                live.explanation
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
        let is_ghost = |mode: FailureMode, size: f64| mode.is_in_ohms() && size > figures.ghostly.0;
        if share(&is_ghost) > figures.doubted {
            let readings = self.situation.evidence.readings.iter();
            let read = readings.filter(|reading| reading.state == *self.situation.state);
            for (red, black) in read.filter_map(|reading| reading.probe.plain_voltage()) {
                let lamp = Probe::Voltage { red, black, burden: Burden::Lamp };
                if !probes.contains(&lamp) {
                    probes.push(lamp);
                }
            }
        }
        let draws = |mode: FailureMode, _: f64| mode.draws_more();
        if share(&draws) > figures.doubted {
            let fuses = self
                .vehicle
                .part_ids()
                .filter(|&part| self.vehicle.part(part).kind.is_fuse() && model.carries_current(part));
            probes.extend(fuses.take(self.engine.tables().plan.special).map(|part| Probe::Current { part }));
        }
        // Of a drain an ohmmeter tells less than a clamp: what sleeps is in its way.
        if self.hunts_a_drain() {
            return Ok(probes);
        }
        let dead = self.suspect_parts().take(self.engine.tables().plan.special).filter_map(|part| {
            let (red, black) = self.vehicle.part(part).ends();
            let reach = self.situation.can_reach(self.vehicle, red) && self.situation.can_reach(self.vehicle, black);
            (reach && self.is_dead(model, red, black)).then_some(Probe::Resistance { red, black })
        });
        probes.extend(dead);
        Ok(probes)
    }

    /// Whether an ohmmeter may go there: neither the drawing nor what may be wrong puts
    /// volts between the points.
    pub fn is_dead(&self, model: &StateModel, red: PointId, black: PointId) -> bool {
        !is_live(model, self.vehicle, red, black) && !self.may_be_live(model, red, black)
    }

    /// Whether an explanation that is not far-fetched puts volts there, where an
    /// ohmmeter has no business.
    fn may_be_live(&self, model: &StateModel, red: PointId, black: PointId) -> bool {
        let mut thinkable = self.live.iter().filter(|live| live.share > self.engine.tables().plan.may_be_live);
        thinkable.any(|live| {
            let view = model.view_in(self.vehicle, &live.explanation.hypothesis, live.explanation.phase);
            view.volts(red, black).abs() > model.tables().instruments.live.0
        })
    }
}
