//! What is usual: sizes, ratings and lengths for what nobody said.

use super::row::{POSITIVE, parameters};
use crate::quantity::{Volts, Watts};

parameters! {
    /// A sketch of usual parts.
    Sketching {
        /// Spread of every part: standard deviation of ln(resistance).
        spread: f64 where 0.0..=1.5,
        /// Voltage of a vehicle.
        nominal: Volts where 6.0..=32.0,
        /// Capacity of a battery, A·h.
        ampere_hours: f64 where POSITIVE,
        /// Length of a cable, m.
        metres: f64 where POSITIVE,
        /// Length of a tail to body metal, m.
        tail: f64 where POSITIVE,
        /// Fuse that an earth strap is at least thick enough for, A.
        strap: f64 where POSITIVE,
        /// Voltage that a source charges the nominal voltage with.
        charging: f64 where POSITIVE,
        /// Current of a charging source, A.
        source: f64 where POSITIVE,
        /// Cable to a relay's coil, mm².
        coil_mm2: f64 where POSITIVE,
        /// State of charge of a battery, 0 to 1.
        charge: f64 where 0.0..=1.0,
        /// Length of the cables between battery and fuse board, m.
        main: f64 where POSITIVE,
        /// What a main fuse is at least large enough for, A.
        least_main: f64 where POSITIVE,
        /// Share of the voltage that the cables of a circuit may drop.
        drop: f64 where 0.005..=0.1,
        /// Voltage at which a relay joins two batteries of the nominal voltage.
        joins: f64 where 12.0..=15.0,
        /// The same: voltage below which it parts them.
        parts: f64 where 11.0..=15.0,

        /// Least rating of a fuse over its current.
        fuse_margin: f64 where POSITIVE,
        /// Ratings of fuses, A, smallest first; the last serves what is above.
        ratings: [f64; 18] where POSITIVE,
        /// Largest fuse that each cable is protected by, A, with its size, mm²,
        /// smallest first.
        sizes: [[f64; 2]; 10] where POSITIVE,
        /// Cable of a still larger fuse, mm².
        largest_size: f64 where POSITIVE,

        /// A lamp.
        lamp: Watts where POSITIVE,
        /// A lamp of light-emitting diodes.
        led: Watts where POSITIVE,
        /// A fan.
        fan: Watts where POSITIVE,
        /// A pump.
        pump: Watts where POSITIVE,
        /// Any other motor.
        motor: Watts where POSITIVE,
        /// A fridge.
        fridge: Watts where POSITIVE,
        /// A heater.
        heater: Watts where POSITIVE,
        /// A compressor.
        compressor: Watts where POSITIVE,
        /// An inverter.
        inverter: Watts where POSITIVE,
        /// A camera.
        camera: Watts where POSITIVE,
        /// A valve.
        valve: Watts where POSITIVE,
        /// An actuator.
        actuator: Watts where POSITIVE,
        /// Electronics and whatever else.
        electronics: Watts where POSITIVE,
    }
}
