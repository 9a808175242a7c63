//! What is usual: sizes, ratings and lengths for what nobody said.

use crate::tables::sketch::Sketching;
use crate::vehicle::LoadKind;

/// Power of a load, W.
pub fn watts(figures: &Sketching, kind: LoadKind) -> f64 {
    let watts = match kind {
        LoadKind::Lamp => figures.lamp,
        LoadKind::Led => figures.led,
        LoadKind::Fan => figures.fan,
        LoadKind::Pump => figures.pump,
        LoadKind::Motor => figures.motor,
        LoadKind::Fridge => figures.fridge,
        LoadKind::Heater => figures.heater,
        LoadKind::Compressor => figures.compressor,
        LoadKind::Inverter => figures.inverter,
        LoadKind::Camera => figures.camera,
        LoadKind::Valve => figures.valve,
        LoadKind::Actuator => figures.actuator,
        LoadKind::Electronics
        | LoadKind::Radio
        | LoadKind::Socket
        | LoadKind::Charger
        | LoadKind::Module
        | LoadKind::Beacon => figures.electronics,
    };
    watts.0
}

/// The next fuse that leaves room above a current, A.
pub fn fuse(figures: &Sketching, amps: f64) -> f64 {
    let [.., largest] = figures.ratings;
    figures.ratings.into_iter().find(|rating| *rating >= figures.fuse_margin * amps).unwrap_or(largest)
}

/// The cable that a fuse of so many amperes protects, mm².
pub fn mm2(figures: &Sketching, fuse: f64) -> f64 {
    figures.sizes.into_iter().find(|[rating, _]| fuse <= *rating).map_or(figures.largest_size, |[_, mm2]| mm2)
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
