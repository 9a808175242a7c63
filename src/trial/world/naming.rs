//! Which of several loads somebody tells of: what is before one's eyes, and near.

use crate::tables::world::Workshop;
use crate::vehicle::{LoadKind, PartId, Vehicle};
use rand::{Rng, RngExt};

/// Loads in the order in which somebody comes upon them: drawn one after the
/// other by how much each is seen (Efraimidis and Spirakis 2006).
pub fn in_order_of_naming(
    of: &Workshop,
    vehicle: &Vehicle,
    loads: impl Iterator<Item = PartId>,
    random: &mut impl Rng,
) -> Vec<PartId> {
    let mut order: Vec<(f64, PartId)> =
        loads.map(|load| (random.random::<f64>().powf(1.0 / seen(of, vehicle, load)), load)).collect();
    order.sort_by(|a, b| b.0.total_cmp(&a.0));
    order.into_iter().map(|(_, load)| load).collect()
}

/// How much a load is seen.
fn seen(of: &Workshop, vehicle: &Vehicle, load: PartId) -> f64 {
    let part = vehicle.part(load);
    let away = part.place.map_or(0.0, |place| vehicle.place(place).minutes.0);
    let eyes = part.kind.load().map_or(of.hardly, |load| match load.kind {
        LoadKind::Lamp
        | LoadKind::Led
        | LoadKind::Beacon
        | LoadKind::Camera
        | LoadKind::Socket
        | LoadKind::Radio
        | LoadKind::Fridge => of.sees,
        LoadKind::Fan
        | LoadKind::Pump
        | LoadKind::Motor
        | LoadKind::Heater
        | LoadKind::Compressor
        | LoadKind::Electronics
        | LoadKind::Inverter
        | LoadKind::Actuator => of.uses,
        LoadKind::Charger | LoadKind::Valve | LoadKind::Module => of.hardly,
    });
    eyes / (1.0 + away / of.far.0)
}
