//! Hidden fault of a case, with the complaint that somebody makes of it.

use super::trouble::Trouble;
use super::world::{Departure, World};
use crate::belief::Sign;
use crate::fault::{FailureMode, Fault};
use crate::vehicle::{ControlId, PartId, Position};

/// What is wrong, and what is said of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Hidden {
    /// What is wrong.
    pub trouble: Trouble,
    /// What the drawing has otherwise besides.
    pub departure: Option<Departure>,
    /// Fuses that it has opened.
    pub blown: Vec<PartId>,
    /// What fails together with it in the same plug or cable.
    pub beside: Vec<PartId>,
    /// What the complaint is about.
    pub subject: PartId,
    pub sign: Sign,
    /// Whether a dead load was taken for a weak one, or the other way round.
    pub is_mistaken: bool,
    /// What has to be set for it.
    pub settings: Vec<(ControlId, Position)>,
}

impl Hidden {
    /// Whether naming a part is right: one at fault, or the fuse it opened.
    pub fn is_at(&self, part: PartId) -> bool {
        let departed = |departure: Departure| departure.parts().any(|other| other == part);
        match self.trouble {
            Trouble::Departed(departure) => departed(departure),
            _ => self.trouble.faults().any(|(fault, _)| self.is_of(fault, part)),
        }
    }

    /// Whether naming these is right: all that is at fault.
    pub fn is_named_by(&self, named: &[PartId]) -> bool {
        let is_named = |(fault, _): (Fault, f64)| named.iter().any(|&part| self.is_of(fault, part));
        match self.trouble {
            Trouble::Nothing => named.is_empty(),
            Trouble::Undrawn { .. } | Trouble::Departed(_) => named.iter().any(|&part| self.is_at(part)),
            _ => self.trouble.faults().all(is_named),
        }
    }

    fn is_of(&self, fault: Fault, part: PartId) -> bool {
        let together = fault.mode == FailureMode::CommonCause && self.beside.contains(&part);
        fault.involves(part) || together || self.blown.contains(&part)
    }
}

/// What drawing a case came to.
pub struct DrawnCase {
    /// What is wrong, if anything drawn is ever noticed.
    pub found: Option<(Hidden, World)>,
    /// Faults drawn before one was noticed.
    pub unnoticed: usize,
    /// Faults drawn that made the circuit chatter.
    pub restless: usize,
    /// Wrong drawings that read like a drawn fault at every point.
    pub alike: usize,
}
