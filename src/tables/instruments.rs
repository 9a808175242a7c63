//! Instruments: what a meter, an ohmmeter, a clamp and a test lamp do to a
//! circuit and how far they are off. A deviation is a standard deviation.

use super::row::{NOT_NEGATIVE, POSITIVE, SHARE, Value, parameters};
use crate::quantity::{Amps, Ohms, TWELVE_VOLTS, Volts};
use serde::{Deserialize, Serialize};

/// What a meter's data sheet says. Formats as in published manuals: accuracy is
/// a share of the reading plus digits, and holds at about two standard deviations.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Meter {
    /// Full counts of the display.
    pub counts: f64,
    /// Accuracy as a share of the reading.
    pub accuracy: f64,
    /// Accuracy in digits.
    pub digits: f64,
    /// Input resistance.
    pub input: Ohms,
}

impl Value for Meter {
    fn numbers(&self) -> Vec<f64> {
        vec![self.counts, self.accuracy, self.digits, self.input.0]
    }
}

/// How far an ammeter is off, at one deviation.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AmmeterError {
    /// Of its zero, the same for all that it reads.
    pub zero: Amps,
    /// From reading to reading.
    pub noise: Amps,
    /// Of its gain, as a share of the reading.
    pub gain: f64,
}

impl Value for AmmeterError {
    fn numbers(&self) -> Vec<f64> {
        vec![self.zero.0, self.noise.0, self.gain]
    }
}

/// An instrument that a vehicle carries, V or A at one deviation.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FixedInstrument {
    /// Of the zero of a sound one.
    pub zero: f64,
    /// Of the gain of a sound one, as a share of what it shows.
    pub gain: f64,
    /// Of what one shows too much or too little that is off.
    pub off: f64,
    /// Of the gain of one with a wrong scale, as a share.
    pub scale: f64,
    /// Of what one that drifts gains or loses from reading to reading.
    pub drift: f64,
    /// Of where one is stuck, about what it usually shows.
    pub stuck: f64,
}

impl Value for FixedInstrument {
    fn numbers(&self) -> Vec<f64> {
        vec![self.zero, self.gain, self.off, self.scale, self.drift, self.stuck]
    }
}

impl Instruments {
    /// An instrument that shows volts or amperes in a vehicle: volts are those of
    /// 12 V, and go with the nominal voltage.
    pub fn fixed(&self, shows_amps: bool, nominal: Volts) -> FixedInstrument {
        if shows_amps {
            return self.fixed_ammeter;
        }
        let FixedInstrument { zero, gain, off, scale, drift, stuck } = self.fixed_voltmeter;
        let times = |volts: f64| volts * (nominal / TWELVE_VOLTS);
        FixedInstrument { zero: times(zero), gain, off: times(off), scale, drift: times(drift), stuck: times(stuck) }
    }
}

parameters! {
    /// Instruments.
    Instruments {
        /// The meter of every glove box.
        cheap_meter: Meter where POSITIVE,
        /// A bench meter.
        good_meter: Meter where POSITIVE,
        /// Noise of a probe contact.
        probe_noise: Volts where NOT_NEGATIVE,
        /// Deviation of what a meter shows on a point that hangs in the air.
        floating: Volts where POSITIVE,
        /// The same where nothing is near: the meter drains it.
        floating_still: Volts where POSITIVE,
        /// Resistance of a test lamp on a 12 V vehicle; twice that at 24 V.
        lamp: Ohms where POSITIVE,
        /// Share of nominal voltage across one that is bright, and what that leaves
        /// open, as the last digit of a display.
        bright: [f64; 2] where SHARE,
        /// The same of one that is dim.
        dim: [f64; 2] where SHARE,
        /// The same of one that is dark.
        dark: [f64; 2] where SHARE,

        /// Test current of an ohmmeter.
        ohmmeter_current: Amps where POSITIVE,
        /// Voltage between its leads above which it shows nonsense.
        live: Volts where POSITIVE,
        /// Deviation of what it shows then, in ln Ω.
        live_deviation: f64 where POSITIVE,
        /// Resistance of leads and probe tips.
        leads: Ohms where POSITIVE,
        /// Its deviation.
        leads_deviation: Ohms where POSITIVE,
        /// Deviation of its gain, as a share of the reading.
        ohmmeter_gain: f64 where POSITIVE,
        /// Resistance above which it shows no path.
        no_path: Ohms where POSITIVE,
        /// Deviation of that, in ln Ω.
        no_path_deviation: f64 where POSITIVE,
        /// Deviation of what sleeping electronics show it, in ln Ω.
        asleep_deviation: f64 where POSITIVE,

        /// Step of a display below which it is one of milliamperes, above it a
        /// clamp for tens of amperes.
        fine_step: Amps where POSITIVE,
        /// Last digit of one of milliamperes.
        fine_digit: Amps where POSITIVE,
        /// A clamp after zeroing.
        clamp: AmmeterError where POSITIVE,
        /// A clamp for milliamperes after zeroing, or an ammeter in line.
        ammeter: AmmeterError where POSITIVE,

        /// A voltmeter that a 12 V vehicle carries.
        fixed_voltmeter: FixedInstrument where POSITIVE,
        /// An ammeter that a vehicle carries.
        fixed_ammeter: FixedInstrument where POSITIVE,
    }
}
