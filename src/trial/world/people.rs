//! The person of a case: where somebody draws the line between right, weak and
//! dead, the same all day.

use crate::tables::world::Workshop;
use crate::vehicle::LoadKind;
use rand::{Rng, RngExt};

/// Numerical: who stands at the very end of all people has a line all the same.
const NOT_LAST: f64 = 1e-6;

/// Where a person stands among people, as shares of them: for dead, for weak.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Person([f64; 2]);

impl Person {
    /// The one in the middle.
    pub const USUAL: Self = Self([0.5, 0.5]);

    /// Anybody.
    pub fn anybody(random: &mut impl Rng) -> Self {
        Self([random.random(), random.random()].map(|at: f64| at.clamp(NOT_LAST, 1.0 - NOT_LAST)))
    }

    /// Shares of its voltage below which a load is dead to this person, and weak.
    pub fn lines(self, of: &Workshop, kind: LoadKind) -> [f64; 2] {
        let (usual, steep) = (usual(of, kind), of.people_differ);
        let [dead, weak] =
            [0, 1].map(|line| usual[line] * (self.0[line] / (1.0 - self.0[line])).powf(1.0 / steep[line]));
        let weak = weak.min(of.nobody_sees);
        [dead.min(weak), weak]
    }
}

/// Shares of people to whom a load with this share of its voltage is dead, weak
/// and right: log-logistic.
pub fn people_say(of: &Workshop, kind: LoadKind, share: f64) -> [f64; 3] {
    if share >= of.nobody_sees {
        return [0.0, 0.0, 1.0];
    }
    let (usual, steep) = (usual(of, kind), of.people_differ);
    let [dead, weak] = [0, 1].map(|line| 1.0 / (1.0 + (share / usual[line]).powf(steep[line])));
    let weak = weak.max(dead);
    [dead, weak - dead, 1.0 - weak]
}

/// The lines of the one in the middle.
fn usual(of: &Workshop, kind: LoadKind) -> [f64; 2] {
    match kind {
        LoadKind::Lamp | LoadKind::Beacon => of.lamps,
        LoadKind::Led => of.diodes,
        LoadKind::Fan | LoadKind::Pump | LoadKind::Motor | LoadKind::Compressor | LoadKind::Actuator => of.motors,
        LoadKind::Heater => of.heaters,
        LoadKind::Valve => of.valves,
        LoadKind::Fridge
        | LoadKind::Electronics
        | LoadKind::Radio
        | LoadKind::Camera
        | LoadKind::Socket
        | LoadKind::Inverter
        | LoadKind::Charger
        | LoadKind::Module => of.boards,
    }
}

/// Whether a load is a motor.
pub fn turns(kind: LoadKind) -> bool {
    matches!(kind, LoadKind::Fan | LoadKind::Pump | LoadKind::Motor | LoadKind::Compressor | LoadKind::Actuator)
}
