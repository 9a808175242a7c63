//! What a plain voltage cannot tell: a test lamp on ghost voltages, a clamp
//! where something draws too much, ohms where all is dead.

use super::phone;
use super::valuation::{Rough, Valuation};
use super::value::Live;
use super::views::Views;
use crate::belief::Sign;
use crate::fault::FailureMode;
use crate::network::SolveError;
use crate::predict::{Burden, Probe, Scale, StateModel, View, is_live};
use crate::quantity::Volts;
use crate::vehicle::{PartId, PointId};

impl Valuation<'_> {
    /// What a plain voltage cannot tell: a lamp on points that may be ghosts, a
    /// current where something may draw too much, a resistance where all is dead.
    pub fn special(&self, probes: &[Probe]) -> Result<Vec<Rough>, SolveError> {
        let model = self.engine.predictor().in_state(self.situation.state)?;
        let mut views = Views::of(self.vehicle, &model, self.live);
        let meter = self.situation.meter.meter(&self.engine.tables().instruments);
        let figures = &self.engine.tables().plan;
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
                Scale::Volts => figures.rough_volts * largest + meter.offset_deviation(Volts(largest)).0,
                Scale::LogOhms => figures.rough_log_ohms,
                Scale::Amps if self.hunts_a_drain() => figures.rough_amps[0] * largest + figures.rough_drain.0,
                Scale::Amps => figures.rough_amps[0] * largest + figures.rough_amps[1],
            };
            rough.extend(self.rough_value(probe, &[], &means, deviation));
        }
        Ok(rough)
    }

    /// The last digit that will be read of it, where it is a finer one than usual: for a
    /// drain a clamp for milliamperes.
    pub fn finest(&self, probe: Probe) -> f64 {
        let is_fine = matches!(probe, Probe::Current { .. }) && self.hunts_a_drain();
        if is_fine { self.engine.tables().instruments.fine_digit.0 } else { 0.0 }
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

    /// Whether somebody looks for what empties a battery at rest.
    pub fn hunts_a_drain(&self) -> bool {
        self.situation.evidence.hunts_a_drain()
    }

    /// For a drain: a clamp round the battery, round every fuse that may carry some
    /// of it and round suspect wires, and volts across those fuses, which open nothing.
    pub fn drain_probes(&self) -> Result<Vec<Probe>, SolveError> {
        let model = self.engine.predictor().in_state(self.situation.state)?;
        let views = Views::of(self.vehicle, &model, self.live);
        let flat = self.situation.evidence.observations.iter().filter(|seen| seen.sign == Sign::GoesFlat);
        let mut probes: Vec<Probe> = flat.map(|seen| Probe::Current { part: seen.subject }).collect();
        let fuses = self.vehicle.part_ids().filter(|&part| self.vehicle.part(part).kind.is_fuse());
        for fuse in
            fuses.filter(|&fuse| views.any(|view| view.amps(fuse).abs() > self.engine.tables().plan.least_drain.0))
        {
            let (red, black) = self.vehicle.part(fuse).ends();
            if self.situation.can_reach(self.vehicle, red) && self.situation.can_reach(self.vehicle, black) {
                probes.extend([Probe::Current { part: fuse }, Probe::voltage(red, black)]);
            }
        }
        // Behind a fuse the clamp goes from wire to wire.
        let is_wire = |part: &PartId| self.vehicle.part(*part).kind.is_cable();
        let wires = self.suspect_parts().filter(is_wire).take(self.engine.tables().plan.special);
        probes.extend(wires.map(|part| Probe::Current { part }));
        if phone::plain_volts_only(self.situation) {
            probes.clear();
        }
        Ok(probes)
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
        let dead = self.suspect_parts().take(self.engine.tables().plan.special).filter_map(|part| {
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
        let mut thinkable = self.live.iter().filter(|live| live.share > self.engine.tables().plan.may_be_live);
        thinkable.any(|live| {
            let view = model.view_in(self.vehicle, &live.explanation.hypothesis, live.explanation.phase);
            view.volts(red, black).abs() > model.tables().instruments.live.0
        })
    }
}
