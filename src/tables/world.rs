//! What the trial's vehicles, people and instruments are really like. On purpose
//! apart from the tables that the engine reckons with, and different in kind.

use super::instruments::Meter;
use super::row::{CHANCE, NOT_NEGATIVE, POSITIVE, SHARE, SIGNED, Value, parameters};
use crate::quantity::{Amps, Minutes, Ohms, Volts, Watts};
use serde::{Deserialize, Serialize};

/// Even in the logarithm between two ends.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LogUniform {
    /// The least.
    pub least: f64,
    /// The most.
    pub most: f64,
}

/// Normal in the logarithm, within two ends.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LogNormal {
    /// Half are below.
    pub median: f64,
    /// Standard deviation of the logarithm.
    pub sigma: f64,
    /// The least.
    pub least: f64,
    /// The most.
    pub most: f64,
}

/// Weibull's distribution above a least value, up to a most.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Weibull {
    /// Scale.
    pub scale: f64,
    /// Shape.
    pub shape: f64,
    /// The least.
    pub least: f64,
    /// The most.
    pub most: f64,
}

/// What an end at or above the other is told.
fn not_between(least: f64, most: f64) -> Option<&'static str> {
    (least >= most).then_some("must have its `least` below its `most`")
}

impl Value for LogUniform {
    fn numbers(&self) -> Vec<f64> {
        vec![self.least, self.most]
    }

    fn disorder(&self) -> Option<&'static str> {
        not_between(self.least, self.most)
    }
}

impl Value for LogNormal {
    fn numbers(&self) -> Vec<f64> {
        vec![self.median, self.sigma, self.least, self.most]
    }

    fn disorder(&self) -> Option<&'static str> {
        not_between(self.least, self.most)
    }
}

impl Value for Weibull {
    fn numbers(&self) -> Vec<f64> {
        vec![self.scale, self.shape, self.least, self.most]
    }

    fn disorder(&self) -> Option<&'static str> {
        not_between(self.least, self.most)
    }
}

parameters! {
    /// What the trial's vehicles, people and instruments are really like.
    Workshop {
        /// Resistance that a contact has gained, Ω.
        poor_contact: LogNormal where POSITIVE,
        /// The same of one that is all but gone, Ω.
        eaten: LogUniform where POSITIVE,
        /// Share of those.
        eaten_share: f64 where SHARE,
        /// Bare copper on body metal, Ω.
        hard_chafe: LogUniform where POSITIVE,
        /// Some strands on body metal, Ω.
        rubbed: LogUniform where POSITIVE,
        /// Salt water to body metal, Ω.
        damp: LogNormal where POSITIVE,
        /// Their shares.
        chafes: [f64; 3] where POSITIVE,
        /// Cores that touch, Ω.
        touching: LogUniform where POSITIVE,
        /// Water between pins, Ω.
        water: LogNormal where POSITIVE,
        /// Share of those that touch.
        touching_share: f64 where SHARE,
        /// A path across an open contact, Ω.
        seeping: LogNormal where POSITIVE,
        /// Current that a load draws more, as a share of its own.
        drags: Weibull where POSITIVE,
        /// Current of a load with some of its elements gone, as a share of its own.
        elements_left: [f64; 4] where POSITIVE,
        /// Share of its voltage that a motor drops in its windings.
        winding_drop: f64 where SHARE,
        /// Resistance of a cable too thin or too long, as a multiple.
        thinner: [f64; 5] where POSITIVE,
        /// Ratings of a fuse that is too small, as shares of the drawn one.
        smaller_fuse: [f64; 4] where POSITIVE,
        /// Voltage that a 12 V source lacks, V.
        missing_volts: Weibull where POSITIVE,
        /// Voltage of one cell.
        dead_cell: Volts where POSITIVE,
        /// Share of weak batteries that lack one.
        dead_cell_share: f64 where SHARE,
        /// Current of a load that draws too little, as a share of its own.
        draws_less: LogUniform where POSITIVE,
        /// Current of a load that draws too much, as a multiple.
        draws_more: LogUniform where POSITIVE,
        /// What drains a battery at rest where that is asked about, A.
        drains: LogUniform where POSITIVE,
        /// A path between any two points that no drawing shows, Ω.
        joined: LogUniform where POSITIVE,
        /// Something spliced in at 12 V, Ω.
        spliced: LogNormal where POSITIVE,
        /// A cable that is longer than drawn, as a multiple.
        longer: f64 where POSITIVE,
        /// A load that is bigger than drawn, as a multiple.
        bigger: f64 where POSITIVE,
        /// A return that is not drawn.
        bond: Ohms where POSITIVE,

        /// The most that a sound part is off, as a factor either way.
        still_sound: f64 where 1.0..=1e6,
        /// Temperature of all conductors, from and to, °C.
        degrees: [f64; 2] where SIGNED,
        /// How far a 12 V battery is from its drawn voltage, from and to, V.
        charge: [f64; 2] where SIGNED,
        /// The same of a regulated source, either way.
        regulation: Volts where NOT_NEGATIVE,
        /// What comes out of a converter as a share of what goes in, between these
        /// two, whatever its file says.
        conversion: [f64; 2] where SHARE,
        /// What a converter takes for itself, as a multiple of what its file says.
        idle: LogUniform where POSITIVE,
        /// Share of electronic loads that draw constant power where no file says so.
        by_power: f64 where SHARE,
        /// Share of its voltage at which one folds back.
        folds_at: f64 where SHARE,
        /// Scale of a supply's wander from reading to reading, as a share.
        wander: f64 where NOT_NEGATIVE,
        /// Share of it that is still there at the next reading.
        wander_kept: f64 where 0.0..=0.999,
        /// Share of its voltage that a supply loses with each reading.
        sags: f64 where SHARE,

        /// The meter of every glove box.
        cheap_meter: Meter where POSITIVE,
        /// A bench meter.
        good_meter: Meter where POSITIVE,
        /// Resistance of a test lamp on a 12 V vehicle; twice that at 24 V.
        test_lamp: Ohms where POSITIVE,
        /// Noise of a probe contact.
        probe_noise: Volts where NOT_NEGATIVE,
        /// Stray voltage that a meter shows on a point that hangs in the air.
        stray: Volts where NOT_NEGATIVE,
        /// Test current of an ohmmeter.
        ohmmeter_amps: Amps where POSITIVE,
        /// Resistance of leads and probe tips, from and to, Ω.
        leads: [f64; 2] where NOT_NEGATIVE,
        /// Gain of an ohmmeter, either way.
        ohms_gain: f64 where SHARE,
        /// The most that an ohmmeter shows.
        most_ohms: Ohms where POSITIVE,
        /// Last digit of an ohmmeter on its lowest range.
        ohms_digit: Ohms where POSITIVE,
        /// Zero of a clamp, either way.
        clamp_zero: Amps where NOT_NEGATIVE,
        /// Its noise from reading to reading.
        clamp_noise: Amps where NOT_NEGATIVE,
        /// Zero, noise and last digit of a clamp for milliamperes, taken for a drain.
        fine_clamp: [f64; 3] where NOT_NEGATIVE,
        /// Gain of either, either way.
        clamp_gain: f64 where SHARE,
        /// Its last digit.
        clamp_digit: Amps where POSITIVE,

        /// Zero of an instrument that the vehicle carries, V and A, either way.
        display_zero: [f64; 2] where NOT_NEGATIVE,
        /// Its gain, either way.
        display_gain: f64 where SHARE,
        /// What an ammeter of a vehicle usually shows.
        display_amps: Amps where POSITIVE,
        /// Share of those stuck that show nothing.
        display_blank: f64 where SHARE,
        /// Where the others are stuck, as shares of nominal voltage.
        display_frozen: [f64; 2] where POSITIVE,
        /// By what one is off, as a share of what is usual.
        display_off: [f64; 2] where POSITIVE,
        /// By what its gain is wrong, as a share.
        display_scale: [f64; 2] where POSITIVE,
        /// What an ammeter drifts by from reading to reading, A.
        display_drift: [f64; 2] where POSITIVE,
        /// The same of a voltmeter at 12 V.
        display_drift_volts: [f64; 2] where POSITIVE,

        /// Shares of misreads: another pin, no contact, decimal point, lost minus,
        /// wrong range, wrong digit.
        slips: [f64; 6] where NOT_NEGATIVE,
        /// What an AC range makes of a steady voltage.
        alternating: f64 where POSITIVE,
        /// Chance that the same is misread again in the same way.
        repeated: f64 where SHARE,

        /// Shares of the usual voltage below which a lamp is called dead, and weak.
        lamps: [f64; 2] where POSITIVE,
        /// The same of light-emitting diodes.
        diodes: [f64; 2] where POSITIVE,
        /// Of fans, pumps and other motors.
        motors: [f64; 2] where POSITIVE,
        /// Of anything with a circuit board.
        boards: [f64; 2] where POSITIVE,
        /// Of valves.
        valves: [f64; 2] where POSITIVE,
        /// Of heaters.
        heaters: [f64; 2] where POSITIVE,
        /// Steepness of both over people, as exponents.
        people_differ: [f64; 2] where POSITIVE,
        /// Share of its usual voltage from which nobody sees that anything is wrong.
        nobody_sees: f64 where SHARE,
        /// Chance that somebody says the next word instead.
        lapse: f64 where SHARE,
        /// Chances that a blown fuse looks whole, and a whole one blown.
        fuse_look: [f64; 2] where SHARE,
        /// Chances that a click is not heard, and that one is imagined.
        relay_click: [f64; 2] where SHARE,
        /// Chance that a relay with a welded contact clicks.
        welded_click: f64 where SHARE,
        /// Chances that a source that gives seems idle, and the other way round.
        source_look: [f64; 2] where SHARE,
        /// Chances that a bright lamp in a fuse's place is called dim, and the other way round.
        lamp_look: [f64; 2] where SHARE,
        /// Share of nominal voltage from which it is bright.
        lamp_bright_from: f64 where SHARE,
        /// Chances that a hot part seems cool, and the other way round.
        hand_feel: [f64; 2] where SHARE,
        /// Heat that a hand feels.
        feels_from: Watts where POSITIVE,
        /// Current that a source's display shows.
        shows_from: Amps where POSITIVE,
        /// Share of its made voltage below which a sound load does not run.
        runs_above: f64 where SHARE,

        /// How often somebody tells of a load before everybody's eyes, to others.
        sees: f64 where POSITIVE,
        /// Of one that somebody waits for.
        uses: f64 where POSITIVE,
        /// Of one that nobody looks at.
        hardly: f64 where POSITIVE,
        /// Minutes of taking apart that halve it.
        far: Minutes where POSITIVE,
        /// Chance that a dead load is told of rather than a weak one.
        dead_first: f64 where CHANCE,
        /// Share of people who call a load weak above which somebody does, where
        /// most call it right.
        one_of_people: f64 where SHARE,
    }
}
