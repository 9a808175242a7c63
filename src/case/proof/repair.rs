//! A repair, and what was complained of before it.

use crate::belief::Sign;
use crate::vehicle::{PartId, State};

/// What people complained of, with the state it showed in.
pub struct Complaint {
    pub subject: PartId,
    pub sign: Sign,
    pub state: State,
}

/// A repair, and what was complained of before it.
pub struct Made<'a> {
    pub repaired: PartId,
    pub complaints: &'a [Complaint],
    /// The state that made the fault show.
    pub showing: &'a State,
}
