//! A repair, and what was complained of before it.

use crate::belief::Sign;
use crate::vehicle::{PartId, State};

/// What people complained of, with the state it showed in.
pub struct Reported {
    pub subject: PartId,
    pub sign: Sign,
    pub state: State,
}

/// A repair, and what was complained of before it.
pub struct Repair<'a> {
    pub repaired: PartId,
    pub complaints: &'a [Reported],
    /// The state that made the fault show.
    pub showing: &'a State,
}
