//! What loads are by nature where the file says nothing: a lamp is a filament,
//! most electronics draw the same power at any voltage.

use crate::quantity::{Volts, Watts};
use crate::tables::world::Workshop;
use crate::vehicle::{Load, LoadBehaviour, LoadKind};
use rand::{Rng, RngExt};

/// Gives a load that the file has as a plain resistance its nature.
pub fn by_nature(of: &Workshop, load: &mut Load, random: &mut impl Rng) {
    let LoadBehaviour::Resistance(ohms) = load.behaviour else { return };
    let amps = load.rated / ohms;
    match load.kind {
        LoadKind::Lamp | LoadKind::Beacon => load.behaviour = LoadBehaviour::Filament(amps),
        LoadKind::Led
        | LoadKind::Electronics
        | LoadKind::Radio
        | LoadKind::Camera
        | LoadKind::Inverter
        | LoadKind::Charger
        | LoadKind::Fridge
        | LoadKind::Module => {
            if random.random_bool(of.by_power) {
                let (watts, fold) = (Watts(load.rated.0 * amps.0), Volts(of.folds_at * load.rated.0));
                load.behaviour = LoadBehaviour::ConstantPower { watts, fold };
            }
        }
        // Windings, elements, and whatever is plugged in.
        LoadKind::Fan
        | LoadKind::Pump
        | LoadKind::Motor
        | LoadKind::Heater
        | LoadKind::Compressor
        | LoadKind::Socket
        | LoadKind::Valve
        | LoadKind::Actuator => {}
    }
}

/// Makes a load one of so many times the resistance.
pub fn weaken(behaviour: &mut LoadBehaviour, factor: f64) {
    match behaviour {
        LoadBehaviour::ConstantCurrent(amps) | LoadBehaviour::Filament(amps) => amps.0 /= factor,
        LoadBehaviour::ConstantPower { watts, .. } => watts.0 /= factor,
        LoadBehaviour::Resistance(ohms) | LoadBehaviour::DiodeString { ohms, .. } => ohms.0 *= factor,
    }
}
