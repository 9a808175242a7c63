//! One reading of a walk, and what it takes from where one stands.

use super::super::advice::Test;
use super::super::effort::Situation;
use crate::belief::Evidence;
use crate::predict::Probe;
use crate::quantity::Minutes;
use crate::tables::Tables;
use crate::vehicle::{ControlId, PartId, PlaceId, PointId, Position, State, Vehicle};

/// Which readings a walk takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Scope {
    /// Those that tell most of what loads lose in two and a half hours.
    #[default]
    Short,
    /// Every point of every circuit.
    All,
    /// Every point of the circuit of a load.
    Of(PartId),
}

/// One reading of the walk.
#[derive(Debug, Clone, PartialEq)]
pub struct Leg {
    /// What to set first.
    pub settings: Vec<(ControlId, Position)>,
    /// How everything then stands.
    pub state: State,
    /// What to measure.
    pub probe: Probe,
    /// Places to open first.
    pub opens: Vec<PlaceId>,
    /// Time it takes.
    pub minutes: Minutes,
}

/// Where the walk stands.
#[derive(Debug, Clone)]
pub struct Under<'a> {
    /// How everything is set.
    pub state: &'a State,
    /// Places that are open.
    pub opened: &'a [PlaceId],
    /// Points that cannot be reached.
    pub out_of_reach: &'a [PointId],
    /// What has been read, and in which state.
    pub done: &'a [(State, Probe)],
}

/// A reading in a state, from how things are set and open now.
pub(super) fn leg(
    (tables, vehicle): (&Tables, &Vehicle),
    now: &State,
    opened: &[PlaceId],
    state: &State,
    probe: Probe,
) -> Leg {
    let settings = now.settings_to(state, vehicle);
    let nothing = Evidence::default();
    let situation = Situation::untouched(tables, vehicle, &nothing, now, opened);
    let effort = situation.effort(vehicle, Test::Measure(probe), &settings);
    Leg { settings, state: state.clone(), probe, opens: effort.opens, minutes: effort.minutes }
}
