//! Limits from standards and the bounds of what a file may say.

use crate::quantity::{Ohms, SquareMillimetres, Volts, Watts};

/// Drop from source to load and back allowed for what matters to safety or is
/// sensitive, as a share of nominal: ISO 10133:2012, ISO 13297:2020.
pub const CRITICAL_DROP: f64 = 0.03;
/// The same for everything else.
pub const ORDINARY_DROP: f64 = 0.10;

/// What stands behind the two.
pub const DROP_STANDARD: &str = "ISO 10133:2012 and ISO 13297:2020, small craft";

/// Smallest conductor on its own: ISO 10133:2012, 7.7.
pub const LEAST_CONDUCTOR: SquareMillimetres = SquareMillimetres(1.0);

/// Longest unprotected conductor from a battery, m: 33 CFR 183.460, 72 in
/// (from memory).
pub const UNPROTECTED_METRES: f64 = 1.83;

/// Supply voltages a 12 V and a 24 V system can have: ISO 16750-2:2010,
/// codes A and E (6–16 V, 10–32 V).
pub const SUPPLY_RANGE: [(f64, f64, f64); 2] = [(12.0, 6.0, 16.0), (24.0, 10.0, 32.0)];

/// Extra-low voltage ends here: 50 V AC by IEC 61140 (from memory). Above it nobody
/// probes who has no licence for it.
pub const EXTRA_LOW_VOLTS: Volts = Volts(50.0);

/// Smallest resistance a part may have, Ω; below it two points are one.
pub const LEAST_OHMS: f64 = 1e-4;

/// A resistance that a file gives is odd above so many times what a sound contact or
/// fuse has. From: common practice, no source.
pub const ODD_CONTACT: f64 = 20.0;
/// The same of a cable, and below its share of that too.
pub const ODD_CABLE: f64 = 5.0;
/// The same of a battery.
pub const ODD_SOURCE: f64 = 20.0;
/// Body metal is odd above this. From: common practice, no source.
pub const ODD_METAL: Ohms = Ohms(0.2);
/// What runs all the time without a switch is odd from here on. From: common practice,
/// no source.
pub const ALWAYS_ON: Watts = Watts(100.0);

/// What a number in a file may be: its name, smallest, largest, unit, and the
/// slip that most often puts it outside.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bound {
    /// The key in the file.
    pub key: &'static str,
    /// Smallest accepted.
    pub least: f64,
    /// Largest accepted.
    pub most: f64,
    /// Unit in words.
    pub unit: &'static str,
    /// What to look at when it is outside.
    pub slip: &'static str,
}

/// Every numeric key of a vehicle file.
pub const BOUNDS: [Bound; 28] = [
    bound("metres", 0.01, 30.0, "m", "lengths are in metres; 4000 mm is `4.0`"),
    bound("mm2", 0.1, 150.0, "mm²", "cross-section in mm², not an outside diameter; `awg` for gauge sizes"),
    bound("awg", -3.0, 30.0, "gauge", "gauge number; 1/0 is 0, 2/0 is -1, 4/0 is -3"),
    bound("ohms", 0.0, 1e7, "Ω", "resistances are in ohms; 5 mΩ is `0.005`"),
    bound("amps", 0.001, 1000.0, "A", "currents are in amperes; 150 mA is `0.15`"),
    bound("watts", 0.01, 10_000.0, "W", "power is in watts"),
    bound("minutes", 0.0, 240.0, "min", "times are in minutes; half a minute is `0.5`"),
    bound("hold_minutes", 1.0, 1440.0, "min", "how long what is in it keeps once it has stopped, in minutes"),
    bound("volts", 0.1, 250.0, "V", "voltages are in volts"),
    bound("rest", 6.0, 32.0, "V", "rest voltage of the whole battery at its posts"),
    bound("ah", 0.5, 2000.0, "A·h", "capacity in ampere-hours"),
    bound("celsius", -40.0, 150.0, "°C", "conductor temperature"),
    bound("forward", 0.05, 32.0, "V", "forward drop of a diode or of a string of them"),
    bound("charge_ohms", 1e-4, 10.0, "Ω", "what a battery sets against charging current, in ohms; 50 mΩ is `0.05`"),
    bound("leak_amps", 1e-12, 0.1, "A", "what leaks back is in amperes; 10 µA is `1e-5`"),
    bound("min_volts", 0.5, 32.0, "V", "voltage below which it stops"),
    bound("drop_volts", 0.1, 32.0, "V", "coil voltage below which a relay lets go"),
    bound("charge", 0.0, 1.0, "", "state of charge from 0 to 1; 70 % is `0.7`"),
    bound("resolution", 1e-4, 1.0, "V or A", "last digit of its display, in volts or amperes; a tenth is `0.1`"),
    bound("efficiency", 0.3, 1.0, "", "what comes out as a share of what goes in; 90 % is `0.9`"),
    bound("idle_watts", 0.05, 200.0, "W", "what it takes with nothing on its output, in watts"),
    bound("bleed_ohms", 1.0, 1e7, "Ω", "a resistor across its terminals, in ohms; 10 kΩ is `10000`"),
    bound("off", 0.5, 32.0, "V", "voltage at its terminals at which it stops"),
    bound("fuse", 0.001, 1000.0, "A", "its rating, in amperes"),
    bound("holder_ohms", 0.0, 0.1, "Ω", "of one contact of the holder, in ohms; 1 mΩ is `0.001`"),
    bound("tolerance", 0.0, 3.0, "", "a share: ±20 % is `0.2`"),
    bound("leads_metres", 0.3, 30.0, "m", "length of the meter's leads, in metres"),
    bound("on", 0.5, 32.0, "V", "voltage at its terminals at which it starts again"),
];

const fn bound(key: &'static str, least: f64, most: f64, unit: &'static str, slip: &'static str) -> Bound {
    Bound { key, least, most, unit, slip }
}
