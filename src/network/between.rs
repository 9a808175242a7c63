//! What a meter finds between two points.

use crate::quantity::Volts;

/// What stands between two points as far as a meter is concerned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Between {
    /// A definite voltage.
    Volts(Volts),
    /// At least one of the two hangs in the air: no path joins them.
    Floating,
}
