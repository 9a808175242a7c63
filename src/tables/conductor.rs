//! Resistance of copper conductors.

use super::{Origin, Sourced, interpolate};
use crate::quantity::{Celsius, Metres, Ohms, SquareMillimetres};

/// Maximum resistance at 20 °C of class 5 (flexible) plain copper, mm² and
/// mΩ/m: IEC 60228:2004, table 3; below 0.5 mm² DIN VDE 0295.
pub const CLASS_5_PLAIN: [(f64, f64); 19] = [
    (0.14, 134.0),
    (0.22, 96.0),
    (0.25, 76.0),
    (0.34, 53.0),
    (0.5, 39.0),
    (0.75, 26.0),
    (1.0, 19.5),
    (1.5, 13.3),
    (2.5, 7.98),
    (4.0, 4.95),
    (6.0, 3.30),
    (10.0, 1.91),
    (16.0, 1.21),
    (25.0, 0.780),
    (35.0, 0.554),
    (50.0, 0.386),
    (70.0, 0.272),
    (95.0, 0.206),
    (120.0, 0.161),
];

/// Resistivity of annealed copper at 20 °C, Ω·mm²/m: IEC 60028:1925 (1/58).
pub const COPPER_RESISTIVITY: f64 = 1.0 / 58.0;

/// Temperature at which copper's resistance line crosses zero, °C:
/// FAA AC 43.13-1B, p. 11-22.
pub const COPPER_ZERO: f64 = -234.5;

/// Share by which the resistance of copper rises with each kelvin at 20 °C:
/// IEC 60028:1925.
pub const COPPER_PER_KELVIN: f64 = 0.00393;

/// Temperature that the tables are for: IEC 60228, IEC 60028.
pub const TABLES_AT: Celsius = Celsius(20.0);

/// Name of the table behind [`cable`] for metric sizes.
pub const METRIC_TABLE: &str = "IEC 60228 class 5 plain copper, maximum at 20 °C";
/// Name of the table behind [`cable`] for gauge sizes.
pub const GAUGE_TABLE: &str = "ASTM B258 gauge, IEC 60028 copper, 20 °C";

/// How a conductor's size is stated.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ConductorSize {
    /// Cross-section.
    Metric(SquareMillimetres),
    /// American wire gauge number; 1/0 is 0, 2/0 is −1, 4/0 is −3.
    Gauge(i32),
}

impl ConductorSize {
    /// Cross-section; for gauges from d = 5·92^((36−n)/39) mil, ASTM B258.
    pub fn area(self) -> SquareMillimetres {
        match self {
            Self::Metric(area) => area,
            Self::Gauge(number) => {
                let mil = 5.0 * 92f64.powf((36.0 - f64::from(number)) / 39.0);
                let millimetres = mil * 0.0254;
                SquareMillimetres(std::f64::consts::PI / 4.0 * millimetres * millimetres)
            }
        }
    }
}

/// Factor on a resistance at 20 °C for copper at `temperature`:
/// (234.5 + t)/254.5, FAA AC 43.13-1B, p. 11-22.
pub fn temperature_factor(temperature: Celsius) -> f64 {
    (temperature.0 - COPPER_ZERO) / (TABLES_AT.0 - COPPER_ZERO)
}

/// How warm a conductor gets at a share of what it may carry: the heat in it goes
/// with the square of the current, and all of it takes it to what its insulation
/// stands. BS 7671, appendix 4, 6.1 (from memory). Beyond what it may carry, what
/// its insulation stands.
pub fn warmed(ambient: Celsius, insulation: Celsius, share: f64) -> Celsius {
    ambient + (insulation - ambient) * share.powi(2).min(1.0)
}

/// Resistance of one conductor.
///
/// Metric sizes come from [`CLASS_5_PLAIN`] (sizes between are interpolated),
/// gauges from their geometry and [`COPPER_RESISTIVITY`].
pub fn cable(size: ConductorSize, length: Metres, temperature: Celsius) -> Sourced<Ohms> {
    let (per_metre, table) = match size {
        ConductorSize::Metric(area) => (interpolate(&CLASS_5_PLAIN, area.0) * 1e-3, METRIC_TABLE),
        ConductorSize::Gauge(_) => (COPPER_RESISTIVITY / size.area().0, GAUGE_TABLE),
    };
    Sourced { value: Ohms(per_metre * length.0 * temperature_factor(temperature)), origin: Origin::Table(table) }
}
