//! One circuit from a line such as `reading lamp: led 10 W, switch, 3 m`.

use super::super::error::SketchError;
use super::super::item::{Item, made};
use super::text::plain;
use crate::vehicle::LoadKind;

/// A load with its way from the fuse board and back.
#[derive(Debug, Clone, PartialEq)]
pub struct OwnCircuit {
    /// What people call the load.
    pub label: String,
    pub kind: LoadKind,
    /// What it draws, if that was said.
    pub draw: Option<Plate>,
    /// Rating of its fuse, A.
    pub fuse: Option<f64>,
    /// Length one way, m.
    pub metres: Option<f64>,
    /// Cross-section of its cables, mm².
    pub mm2: Option<f64>,
    pub has_switch: bool,
    pub has_relay: bool,
    pub has_plug: bool,
    /// Back through body metal rather than a cable.
    pub by_chassis: bool,
}

/// What a load draws, as its plate says it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Plate {
    Amps(f64),
    Watts(f64),
}

const WANTED: &str =
    "a circuit is one load with what lies on its way, such as `fridge 60 W, 4 m` or `relay, pump 8 A, 3 m`";

/// The circuit of a line: a name before a colon, if there is one, then words as
/// of a sketch.
///
/// # Errors
/// [`SketchError`] for what is not understood.
pub fn read(line: &str) -> Result<OwnCircuit, SketchError> {
    let (label, parts) = match line.split_once(':') {
        Some((label, parts)) => (Some(plain(label)).filter(|label| !label.is_empty()), parts),
        None => (None, line),
    };
    let made = made(parts)?;
    let mut loads = made.iter().filter_map(|made| match &made.item {
        Item::Load { kind, name, watts, amps } => Some((*kind, name.clone(), *watts, *amps, made.said.clone())),
        _ => None,
    });
    let (kind, word, watts, amps, _) =
        loads.next().ok_or(SketchError::NoAnswer { said: parts.trim().to_string(), wanted: WANTED })?;
    if let Some((.., said)) = loads.next() {
        return Err(SketchError::NoAnswer { said, wanted: "one load a circuit; give the other a circuit of its own" });
    }
    let mut circuit = OwnCircuit {
        label: label.unwrap_or(word),
        kind,
        draw: amps.map(Plate::Amps).or(watts.map(Plate::Watts)),
        fuse: None,
        metres: None,
        mm2: None,
        has_switch: false,
        has_relay: false,
        has_plug: false,
        by_chassis: false,
    };
    for made in made {
        match made.item {
            Item::Load { .. } | Item::Negative => {}
            Item::Fuse { amps } | Item::Breaker { amps } => circuit.fuse = amps.or(circuit.fuse),
            Item::Cable { metres, mm2 } => {
                circuit.metres = metres.or(circuit.metres);
                circuit.mm2 = mm2.or(circuit.mm2);
            }
            Item::Switch => circuit.has_switch = true,
            Item::Relay => circuit.has_relay = true,
            Item::Plug => circuit.has_plug = true,
            Item::Chassis => circuit.by_chassis = true,
            Item::Battery { .. } | Item::Source { .. } | Item::Isolator | Item::Joint => {
                return Err(SketchError::NoAnswer { said: made.said, wanted: WANTED });
            }
        }
    }
    Ok(circuit)
}

impl OwnCircuit {
    /// Whether something by hand makes it run, where nobody said so: what a
    /// thermostat, its own knob or nothing at all switches has no switch.
    pub fn supposes_switch(&self) -> bool {
        match self.kind {
            LoadKind::Lamp
            | LoadKind::Led
            | LoadKind::Fan
            | LoadKind::Pump
            | LoadKind::Motor
            | LoadKind::Heater
            | LoadKind::Compressor
            | LoadKind::Valve
            | LoadKind::Beacon
            | LoadKind::Actuator => true,
            LoadKind::Fridge
            | LoadKind::Electronics
            | LoadKind::Radio
            | LoadKind::Camera
            | LoadKind::Socket
            | LoadKind::Inverter
            | LoadKind::Charger
            | LoadKind::Module => false,
        }
    }
}
