//! What must hold of a vehicle for it to be solved and believed.
//!
//! A part that could not be read is a gap, and the points beside it are
//! doubtful: nobody knows what else is joined to them. A lack that such a point
//! may explain is not reported.

mod always_on;
mod feeds;
mod islands;
mod mains;
mod odd;
mod potential;
mod protection;
mod shorts;
mod unjoined;
mod wiring;

use super::circuit::Vehicle;
use super::id::PointId;
use crate::source::{Diagnostic, Span};
use always_on::check_always_on;
use feeds::check_feeds_and_returns;
use islands::check_islands;
use mains::check_mains;
use odd::check_odd;
use potential::check_voltage;
use protection::check_protection;
use shorts::check_shorts;
use unjoined::check_unjoined;

/// What the file says beside the circuit.
#[derive(Debug, Clone, Default)]
pub struct Drawn {
    /// Points next to something that could not be read.
    pub doubtful: Vec<PointId>,
    /// Whether every run is known to lead where it does.
    pub links: Links,
    /// Where the black point is named; none if potentials are not known.
    pub black: Option<Span>,
}

/// How much is known of what runs join.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Links {
    /// All that matters, but at doubtful points.
    #[default]
    Known,
    /// Some run may join any two points.
    Lost,
}

/// Every finding about a vehicle as a circuit.
pub fn check(vehicle: &Vehicle, drawn: &Drawn) -> Vec<Diagnostic> {
    let mut findings = Vec::new();
    if vehicle.supplies().next().is_none() {
        // Reported where the supplies are read.
        return findings;
    }
    check_shorts(vehicle, &mut findings);
    if drawn.links == Links::Known {
        // Past a doubtful point the potentials would be guesses.
        if let Some(black) = drawn.black.filter(|_| drawn.doubtful.is_empty()) {
            check_voltage(vehicle, black, &mut findings);
        }
        let supplied = check_islands(vehicle, &drawn.doubtful, &mut findings);
        check_feeds_and_returns(vehicle, &drawn.doubtful, &supplied, &mut findings);
        check_unjoined(vehicle, &drawn.doubtful, &mut findings);
        check_always_on(vehicle, &mut findings);
    }
    check_mains(vehicle, &mut findings);
    check_odd(vehicle, &mut findings);
    check_protection(vehicle, &mut findings);
    findings
}
