//! Priors of what is no fault of a part, and the thresholds of the belief.

use super::row::parameters;

parameters! {
    /// Priors and thresholds of the belief.
    Weighing {
        /// Share of complaints where the wiring is as drawn and sound.
        nothing_wrong: f64 where 1e-6..=0.5,
        /// Share of complaints where the drawing is not the vehicle.
        not_as_drawn: f64 where 1e-6..=0.5,
        /// Chance that a reading is misread or taken at a wrong pin.
        misread: f64 where 1e-6..=0.5,
    }
}
