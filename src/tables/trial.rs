//! World of the trial: what is really there, how people and instruments err, and
//! how well anybody could do. On purpose apart from the engine's own rows of
//! instruments and signs, so that the two can differ.

use super::row::{COUNT, NOT_NEGATIVE, POSITIVE, SHARE, SIGNED, Value, parameters};
use crate::quantity::{Amps, Ohms, Volts, Watts};
use serde::{Deserialize, Serialize};

/// Decades between which something is drawn evenly.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Decades {
    /// log₁₀ of the least.
    pub from: f64,
    /// log₁₀ of the most.
    pub to: f64,
}

impl Value for Decades {
    fn numbers(&self) -> Vec<f64> {
        vec![self.from, self.to]
    }

    fn disorder(&self) -> Option<&'static str> {
        (self.from >= self.to).then_some("must begin below its end")
    }
}

parameters! {
    /// World of the trial.
    Simulation {
        /// Spread of real parts, as a multiple of the assumed one.
        spread: f64 where 0.0..=10.0,
        /// The same of supplies.
        supplies: f64 where 0.0..=10.0,
        /// Spread that parts gain from handover to the fault, as a share of their
        /// spread.
        aged: f64 where NOT_NEGATIVE,
        /// Degrees of freedom ν of the heavy tails; their variance is ν/(ν − 2).
        tail_freedom: f64 where 2.001..=1e6,
        /// How far a supply wanders between readings, as a share of its voltage.
        wander: f64 where NOT_NEGATIVE,

        /// Noise of a probe contact.
        probe_noise: Volts where NOT_NEGATIVE,
        /// Stray voltage that a meter shows on a point that hangs in the air.
        stray: Volts where NOT_NEGATIVE,
        /// Resistance of leads and probe tips.
        leads: Ohms where NOT_NEGATIVE,
        /// The most that an ohmmeter shows.
        most_ohms: Ohms where POSITIVE,
        /// Last digit of an ohmmeter on its lowest range.
        ohms_digit: Ohms where POSITIVE,
        /// Zero of a clamp, at one deviation.
        clamp_zero: Amps where NOT_NEGATIVE,
        /// Last digit of a clamp.
        clamp_digit: Amps where POSITIVE,
        /// Share of readings that are misread.
        misreads: f64 where SHARE,
        /// Share of misreads where the probe was on another pin; the rest are slips
        /// in the decimal point or in two digits.
        wrong_pin: f64 where SHARE,

        /// Heat that a hand feels.
        warm: Watts where POSITIVE,
        /// Current that a source's lamp shows.
        gives: Amps where POSITIVE,
        /// Chance that eye, ear or hand is mistaken.
        mistaken: f64 where SHARE,
        /// Share of its made voltage below which a sound load does not run.
        runs_above: f64 where SHARE,
        /// Chance that somebody calls a load weak above which one does, of those that
        /// most people would say work.
        faint: f64 where SHARE,
        /// Hours of standing within which somebody complains of a flat battery.
        flat_within: f64 where POSITIVE,
        /// Hours that nobody complains of.
        lasts: f64 where POSITIVE,
        /// Current below which opening a part is noticed by nobody.
        least_current: Amps where NOT_NEGATIVE,
        /// Tests after which a person gives up.
        patience: usize where COUNT,
        /// Repairs after which a person gives up.
        repairs: usize where COUNT,
        /// Standard deviations beyond which a reading is bad to somebody who goes by
        /// the textbook.
        bad_beyond: f64 where POSITIVE,

        /// Faults drawn for one case before it is given up.
        draws: usize where COUNT,
        /// Share of nominal voltage by which a reading must differ to tell one thing
        /// from another.
        telling: f64 where SHARE,
        /// Resistance of a path that no drawing shows, Ω.
        undrawn: Decades where SIGNED,

        /// Belief that the places announced hold together.
        announced: f64 where SHARE,
        /// Changes of state that the search tries, at most.
        toggles: usize where COUNT,
        /// Standard deviations between outcomes that a reading tells apart.
        apart: f64 where POSITIVE,
        /// Volts between outcomes below which no reading tells them apart.
        least_apart: Volts where POSITIVE,
        /// Explanations by whose spread that is judged.
        sampled: usize where COUNT,
        /// Places that may be left for the search, at most.
        places: usize where COUNT,
        /// Belief below which a place is not counted as left.
        left: f64 where SHARE,
        /// Explanations kept for each way for a part to fail.
        sizes_each: usize where COUNT,
    }
}
