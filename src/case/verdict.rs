//! A reading against what a sound vehicle shows.

use super::Case;
use crate::belief::{Belief, Forecast, Reading, Site};
use crate::meter::MeterKind;
use crate::plan::Range;
use crate::predict::{Hypothesis, Predictor, Probe};
use crate::vehicle::State;

/// What a reading means on its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ReadingVerdict {
    /// It lies in the band of a sound vehicle.
    Within,
    /// Below it.
    Low,
    /// Above it.
    High,
    /// A probe was on a point that hangs in the air: no band, no verdict.
    Floating,
}

impl ReadingVerdict {
    /// Of a value on the scale of its band; no band where a point hangs in the air.
    pub fn of(expected: Option<Range>, read: f64) -> Self {
        match expected {
            None => Self::Floating,
            Some(band) if read < band.low => Self::Low,
            Some(band) if read > band.high => Self::High,
            Some(_) => Self::Within,
        }
    }

    /// Whether it says that something is wrong.
    pub fn is_amiss(self) -> bool {
        matches!(self, Self::Low | Self::High)
    }
}

/// What a sound vehicle shows in the light of the readings behind `belief`,
/// two deviations either way; `None` if floating. A reading of the same among
/// them is judged by all the others.
pub fn sound_band(
    predictor: &Predictor,
    belief: &Belief,
    readings: &[Reading],
    state: &State,
    meter: MeterKind,
    probe: Probe,
) -> Option<Range> {
    let model = predictor.in_state(state).ok()?;
    let next = model.view(predictor.vehicle(), &Hypothesis::Sound).shown(probe, meter, 0.0, &belief.theta);
    let joint = belief.best_at(Site::Nothing).and_then(|explanation| explanation.joint.as_ref());
    let itself = readings.iter().position(|reading| reading.probe == probe && reading.state == *state);
    let Forecast { mean, variance } = match (joint, itself) {
        (Some(joint), Some(reading)) => joint.by_the_rest(reading, belief.taken[reading].value),
        (Some(joint), None) => joint.forecast(&next),
        (None, _) => Forecast { mean: next.mean, variance: next.variance() },
    };
    let reach = 2.0 * variance.sqrt();
    (!next.floating).then_some(Range { scale: probe.scale(), low: mean - reach, high: mean + reach })
}

impl Case {
    /// What a sound vehicle shows in the light of all readings that count but
    /// those of the same; `None` if floating.
    pub fn sound_band(&self, state: &State, meter: MeterKind, probe: Probe) -> Option<Range> {
        let readings = &self.standing.evidence.readings;
        sound_band(self.predictor(), &self.assessment.belief, readings, state, meter, probe)
    }
}
