//! Voltages between points around the suspects, in the present state and with
//! what gates them the other way.

use super::phone;
use super::valuation::{Rough, Valuation, rank};
use super::views::Views;
use crate::network::SolveError;
use crate::predict::{Hypothesis, Probe, StateModel};
use crate::quantity::Volts;
use crate::vehicle::trace::feed_and_return;
use crate::vehicle::{Control, ControlId, ControlKind, PointId, Position};

/// Numerical: volts by which two points must differ for one to be the higher.
const ROUNDING: f64 = 1e-9;

impl Valuation<'_> {
    /// Every pair of points in every one of these settings, best first.
    pub fn rough(&self, settings: &[Vec<(ControlId, Position)>]) -> Result<Vec<Rough>, SolveError> {
        let pairs = self.pairs();
        let mut rough = Vec::new();
        for settings in settings {
            let model = self.engine.predictor().in_state(&self.situation.state.with_all(settings))?;
            rough.extend(self.rough_voltages(&model, &pairs, settings));
        }
        rough.sort_by_key(|rough| rank(rough.rate));
        Ok(rough)
    }

    /// Pairs of points around the suspects: each against the negative, and those
    /// between which there is a drop to read. Points of unrelated ways are no pair, nor
    /// are those at two places but for the ends of one part that is no cable: only the
    /// black lead, on the negative, is long.
    fn pairs(&self) -> Vec<(PointId, PointId)> {
        let bars = &self.bars;
        let mut points: Vec<PointId> = Vec::new();
        let mut pairs: Vec<(PointId, PointId)> = Vec::new();
        for part in self.suspect_parts() {
            let (from, to) = self.vehicle.part(part).ends();
            points.extend([from, to]);
            pairs.push((from, to));
        }
        points.extend(self.ends_of_undrawn_paths());
        points.sort_unstable();
        points.dedup();
        points.retain(|&point| self.can_probe(point));
        if points.len() <= self.engine.tables().plan.many_points {
            pairs.extend(points.iter().flat_map(|&point| bars.iter().map(move |&bar| (point, bar))));
            let complained = self.situation.evidence.complained_of();
            let ways = complained.map(|load| feed_and_return(self.vehicle, self.situation.state, load));
            for [feed, back] in ways.iter() {
                // At a plug or a lamp the return is at hand beside the feed.
                let back: Vec<PointId> = back.iter().copied().filter(|&point| self.can_probe(point)).collect();
                let fed = points.iter().filter(|point| feed.contains(point));
                pairs.extend(fed.flat_map(|&point| back.iter().map(move |&other| (point, other))));
            }
            for side in ways.into_iter().flatten() {
                let on_side: Vec<PointId> = points.iter().copied().filter(|point| side.contains(point)).collect();
                for (index, &a) in on_side.iter().enumerate() {
                    pairs.extend(on_side[index + 1..].iter().map(|&b| (a, b)));
                }
            }
        }
        pairs.retain(|&(red, black)| self.vehicle.are_at_hand(red, black));
        pairs.extend(self.situation.evidence.complained_of().map(|load| self.vehicle.part(load).ends()));
        let far = self.situation.far_negatives(self.vehicle, bars);
        pairs.extend(points.iter().flat_map(|&point| far.iter().map(move |&black| (point, black))));
        pairs.retain(|&(red, black)| red != black && self.can_probe(red) && self.can_probe(black));
        pairs.iter_mut().for_each(|pair| *pair = (pair.0.min(pair.1), pair.0.max(pair.1)));
        pairs.sort_unstable();
        pairs.dedup();
        pairs
    }

    /// Ends of the likeliest paths that are not in the drawing.
    fn ends_of_undrawn_paths(&self) -> impl Iterator<Item = PointId> + '_ {
        let tied =
            self.live.iter().filter(|live| live.share > self.engine.tables().plan.worth_probing).filter_map(|live| {
                match live.explanation.hypothesis {
                    Hypothesis::UndrawnPath { from, to, .. } => Some([from, to]),
                    _ => None,
                }
            });
        tied.take(self.engine.tables().plan.undrawn_paths).flatten()
    }

    fn rough_voltages(
        &self,
        model: &StateModel,
        pairs: &[(PointId, PointId)],
        settings: &[(ControlId, Position)],
    ) -> Vec<Rough> {
        let mut views = Views::of(self.vehicle, model, self.live);
        let sound = model.view(self.vehicle, &Hypothesis::Sound);
        let sheet = self.situation.meter.meter(&self.engine.tables().instruments);
        let is_negative = |point: &PointId| self.situation.is_negative(&self.bars, *point);
        let read = self.read_against(is_negative, settings);
        let mut rough = Vec::new();
        for &(a, b) in pairs {
            // The black lead goes to the negative, the red one else where the voltage is
            // higher when all is sound.
            let is_other_way = match (is_negative(&a), is_negative(&b)) {
                (true, false) => true,
                (false, true) => false,
                _ => sound.volts(a, b) < -ROUNDING,
            };
            let (red, black) = if is_other_way { (b, a) } else { (a, b) };
            let probe = Probe::voltage(red, black);
            let is_across = self.vehicle.parts_between(red, black).next().is_some();
            let is_again = is_negative(&black) && !is_across && read.contains(&red);
            if is_again || self.is_done(probe, settings) {
                continue;
            }
            let means = views.each(probe, |view| view.volts(red, black));
            let (least, most) = means.iter().fold((0.0f64, 0.0f64), |(a, b), &mean| (a.min(mean), b.max(mean)));
            // Of a drain the clamp tells more than millivolts along wires.
            if self.hunts_a_drain() && most - least < self.engine.tables().telling.fuse_is_bad.0 {
                continue;
            }
            let largest = most.max(-least);
            let meter = sheet.gain_deviation() * largest + sheet.offset_deviation(Volts(largest)).0;
            rough.extend(self.rough_value(
                probe,
                settings,
                &means,
                self.engine.tables().plan.rough_volts * largest + meter + self.hands(probe),
            ));
        }
        rough
    }

    /// The points that have been read against one negative as things are set: against
    /// another it is the same again.
    fn read_against(&self, is_negative: impl Fn(&PointId) -> bool, settings: &[(ControlId, Position)]) -> Vec<PointId> {
        let state = self.situation.state.with_all(settings);
        let readings = self.situation.evidence.readings.iter().filter(|reading| reading.state == state);
        let read = readings.filter_map(|reading| reading.probe.plain_voltage());
        read.filter(|(_, black)| is_negative(black)).map(|(red, _)| red).collect()
    }

    /// Changes of what gates the suspects: one at a time, and with a lamp in
    /// place of a fuse that blows.
    pub fn toggles(&self) -> Vec<Vec<(ControlId, Position)>> {
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
        controls.truncate(self.engine.tables().plan.toggles);
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

    /// Each switch that was set for the complaint, let go of again.
    pub fn switched_back(&self) -> impl Iterator<Item = (ControlId, Position)> + '_ {
        let changed = self.vehicle.control_ids().map(|id| (id, self.vehicle.control(id)));
        let is_set = |(id, control): &(ControlId, &Control)| {
            control.kind == ControlKind::Switch && self.situation.state.position(*id) != control.rest
        };
        changed.filter(is_set).map(|(id, control)| (id, control.rest))
    }

    /// Lamps in place of the fuses that keep blowing: never fuse after fuse.
    fn lamps(&self) -> Vec<(ControlId, Position)> {
        let fuses = self.situation.evidence.blowing().map(|fuse| self.vehicle.part(fuse));
        let fuses = fuses.filter(|part| part.kind.is_fuse());
        fuses.filter_map(|part| part.gates.first()).map(|&(control, _)| (control, Position::Lamp)).collect()
    }
}
