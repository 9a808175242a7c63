//! A sketched vehicle, and what of it nobody said.

use super::item::Made;

/// A sketched vehicle.
#[derive(Debug, Clone, PartialEq)]
pub struct Sketch {
    /// The text of its file.
    pub text: String,
    /// What was assumed.
    pub assumed: Vec<Assumed>,
    /// Name of the load; of several the first.
    pub load: String,
    /// What each of the words became.
    pub made: Vec<Made>,
}

/// Something that the line did not say.
#[derive(Debug, Clone, PartialEq)]
pub enum Assumed {
    /// Nominal voltage of the battery.
    Battery {
        volts: f64,
        /// Capacity, A·h.
        ampere_hours: f64,
    },
    /// A fuse, or its rating.
    Fuse {
        name: String,
        /// Rating, A.
        amps: f64,
    },
    /// A cable, or its length or size.
    Cable {
        name: String,
        /// Length, m.
        metres: f64,
        /// Cross-section, mm².
        mm2: f64,
    },
    /// What the load draws.
    Load {
        name: String,
        /// W.
        watts: f64,
    },
    /// A return by body metal.
    Chassis,
    /// What a charging source gives, and its wires.
    Source {
        name: String,
        /// A.
        amps: f64,
    },
    /// The return through the other pin of the same plug.
    SecondPin { name: String },
    /// The wiring of a relay's coil.
    Coil { name: String },
}
