//! Sizes that nobody gave.

use super::circuit::{OwnCircuit, Plate};
use crate::quantity::{Metres, SquareMillimetres};
use crate::sketch::usual;
use crate::tables::conductor::{ConductorSize, TABLES_AT, cable};
use crate::tables::sketch::Sketching;

/// The sizes of a circuit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sized {
    /// Current of the load, A.
    pub amps: f64,
    /// A.
    pub fuse: f64,
    /// One way, m.
    pub metres: f64,
    pub mm2: f64,
}

impl Sized {
    /// What was said, and else the usual.
    pub fn of(circuit: &OwnCircuit, volts: f64, figures: &Sketching) -> Self {
        let amps = match circuit.draw {
            Some(Plate::Amps(amps)) => amps,
            Some(Plate::Watts(watts)) => watts / volts,
            None => usual::watts(figures, circuit.kind) / volts,
        };
        let fuse = circuit.fuse.unwrap_or(usual::fuse(figures, amps));
        let metres = circuit.metres.unwrap_or(figures.metres);
        let mm2 = circuit.mm2.unwrap_or_else(|| mm2(figures, fuse, amps, metres, volts));
        Self { amps, fuse, metres, mm2 }
    }
}

/// The smallest usual cable that its fuse protects and that drops little enough,
/// there and back.
pub fn mm2(figures: &Sketching, fuse: f64, amps: f64, metres: f64, volts: f64) -> f64 {
    let drop = |mm2: f64| {
        let size = ConductorSize::Metric(SquareMillimetres(mm2));
        cable(size, Metres(2.0 * metres), TABLES_AT).value.0 * amps
    };
    let least = usual::mm2(figures, fuse);
    let sizes = figures.sizes.into_iter().map(|[_, mm2]| mm2).filter(|mm2| *mm2 >= least);
    sizes.into_iter().find(|mm2| drop(*mm2) <= figures.drop * volts).unwrap_or(figures.largest_size)
}
