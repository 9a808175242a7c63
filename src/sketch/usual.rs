//! What is usual: sizes, ratings and lengths for what nobody said. Common
//! practice, no source.

use crate::vehicle::LoadKind;

/// Capacity of a battery, A·h.
pub const AMPERE_HOURS: f64 = 100.0;
/// Length of a cable, m.
pub const METRES: f64 = 4.0;
/// Length of a tail to body metal, m.
pub const TAIL: f64 = 0.5;

/// Power of a load, W.
pub fn watts(kind: LoadKind) -> f64 {
    match kind {
        LoadKind::Lamp => 21.0,
        LoadKind::Led => 12.0,
        LoadKind::Fan => 40.0,
        LoadKind::Pump => 80.0,
        LoadKind::Motor => 200.0,
        LoadKind::Fridge => 60.0,
        LoadKind::Heater => 120.0,
        LoadKind::Compressor => 150.0,
        LoadKind::Inverter => 500.0,
        LoadKind::Camera => 6.0,
        LoadKind::Valve => 18.0,
        LoadKind::Actuator => 60.0,
        LoadKind::Electronics
        | LoadKind::Radio
        | LoadKind::Socket
        | LoadKind::Charger
        | LoadKind::Module
        | LoadKind::Beacon => 20.0,
    }
}

/// The next fuse above one and a quarter of a current, A.
pub fn fuse(amps: f64) -> f64 {
    const RATINGS: [f64; 17] =
        [3.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0, 80.0, 100.0, 150.0, 200.0, 300.0, 400.0];
    RATINGS.into_iter().find(|rating| *rating >= 1.25 * amps).unwrap_or(500.0)
}

/// The cable that a fuse of so many amperes protects, mm².
pub fn mm2(fuse: f64) -> f64 {
    const SIZES: [(f64, f64); 10] = [
        (5.0, 0.75),
        (7.5, 1.0),
        (10.0, 1.5),
        (20.0, 2.5),
        (30.0, 4.0),
        (40.0, 6.0),
        (60.0, 10.0),
        (100.0, 16.0),
        (150.0, 35.0),
        (250.0, 70.0),
    ];
    SIZES.into_iter().find(|(rating, _)| fuse <= *rating).map_or(95.0, |(_, mm2)| mm2)
}

/// How a kind of load takes its current, as the file says it.
pub fn behaves(kind: LoadKind) -> &'static str {
    match kind {
        LoadKind::Lamp => ", behaves: Filament",
        LoadKind::Led | LoadKind::Fridge | LoadKind::Inverter => ", behaves: ConstantPower",
        LoadKind::Fan
        | LoadKind::Pump
        | LoadKind::Motor
        | LoadKind::Heater
        | LoadKind::Compressor
        | LoadKind::Electronics
        | LoadKind::Radio
        | LoadKind::Camera
        | LoadKind::Socket
        | LoadKind::Charger
        | LoadKind::Valve
        | LoadKind::Module
        | LoadKind::Beacon
        | LoadKind::Actuator => "",
    }
}
