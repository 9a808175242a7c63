//! Spreads of what is uncertain about a sound vehicle, from the tables to this
//! one and from one reading to the next, as standard deviations. Those of
//! resistances stand beside the tables of parts in [`contact`](super::contact).

use super::row::{NOT_NEGATIVE, POSITIVE, SHARE, parameters};
use crate::quantity::{Amps, Ohms, Volts};

parameters! {
    /// Spreads, and the thresholds of prediction.
    Spreads {
        /// Of a battery's rest voltage, as a share of it.
        battery_voltage: f64 where NOT_NEGATIVE,
        /// The same of one that goes flat.
        run_down: f64 where NOT_NEGATIVE,
        /// Of a regulated voltage, as a share of it.
        regulated_voltage: f64 where NOT_NEGATIVE,
        /// Of a diode's forward voltage, as a share of it.
        forward_voltage: f64 where NOT_NEGATIVE,
        /// What a blocked rectifier of silicon leaks back through.
        silicon_leak: Ohms where POSITIVE,
        /// The same of a Schottky diode.
        schottky_leak: Ohms where POSITIVE,
        /// Forward voltage below which a rectifier is a Schottky diode.
        schottky_below: Volts where POSITIVE,
        /// Of ln of what is leaked through.
        leak_deviation: f64 where NOT_NEGATIVE,
        /// Share of its forward voltage at which a diode lets through what a meter
        /// draws.
        slight_forward: f64 where SHARE,
        /// Spread of that, as a share of it.
        slight_deviation: f64 where NOT_NEGATIVE,
        /// Of the exponent of current against voltage of a load whose law is only
        /// supposed.
        supposed_exponent: f64 where NOT_NEGATIVE,
        /// Of the temperature of all conductors together against the 20 °C of
        /// the tables, K.
        conductor_temperature: f64 where NOT_NEGATIVE,
        /// How far a 12 V supply wanders between readings.
        supply_wander: Volts where NOT_NEGATIVE,
        /// How far the grounds of two places are apart, whatever flows as drawn.
        ground: Volts where NOT_NEGATIVE,
        /// How far a supply drifts from one reading to the next, as a share of
        /// its spread, beside what it wanders and comes back from.
        supply_drift: f64 where NOT_NEGATIVE,
        /// Of readings while something chatters, as a share of what is there.
        chatter: f64 where NOT_NEGATIVE,
        /// Share of what the size of a fault does that first order misses.
        curvature: f64 where NOT_NEGATIVE,
        /// Of the resistance of a test lead with its clips, as a share of it.
        test_lead: f64 where NOT_NEGATIVE,
        /// Share of a part's deviation at handover that is still there later.
        kept_since_handover: f64 where 0.0..=0.999,

        /// Drop times spread below which a part's tolerance cannot be seen.
        least_effect: Volts where POSITIVE,
        /// Share of a variance that must be gone for a quantity to count as known.
        known_from: f64 where SHARE,
        /// Share of its voltage by which a load must move for anybody to notice.
        noticed: f64 where SHARE,
        /// Share of its voltage by which a coil must move to let go.
        lets_go: f64 where SHARE,
        /// Share of its rated voltage from which a load runs.
        runs_from: f64 where SHARE,
        /// Share of nominal voltage that a part is taken to have at least if it
        /// were fed.
        fed_from: f64 where SHARE,
        /// Current below which nobody would say that a battery is charged.
        charging: Amps where POSITIVE,
    }
}
