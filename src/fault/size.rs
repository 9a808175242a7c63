//! How big a fault of unknown size is: a mixture over log-spaced sizes.
//!
//! Each member of the mixture covers a stretch of ln(size) with a normal
//! distribution as wide as the step, so that together they leave no gap. In a
//! linear network the direction of what a fault does to the readings does not
//! depend on its size, so the stretch is exact in direction and only rounded
//! in amount.

use super::FailureMode;
use crate::tables::faults::{Faults, Ladder, Steps};

/// Size of a fault: Ω for resistance, leaks and bridges, V for missing voltage,
/// a multiple of what it should be for draw, rating and undersized cable, and of what it
/// usually shows for a stuck instrument.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Size {
    /// Middle of the stretch.
    pub value: f64,
    /// Standard deviation of ln(size) within it.
    pub width: f64,
    /// Share of the fault's frequency.
    pub share: f64,
}

/// Numerical: how many resistances a path outside the drawing is tried with.
pub const UNDRAWN_PATH_SIZES: usize = 8;

/// The sizes that a way to fail can have; `None` where there is only one.
pub fn sizes(faults: &Faults, mode: FailureMode) -> Vec<Option<Size>> {
    match mode {
        FailureMode::OpenCircuit
        | FailureMode::ContactWelded
        | FailureMode::ShortAcross
        | FailureMode::StaysAwake
        | FailureMode::WrongTerminal
        | FailureMode::Crossed
        | FailureMode::ReadsOff
        | FailureMode::WrongScale
        | FailureMode::Drifts => {
            vec![None]
        }
        FailureMode::HighResistance | FailureMode::CommonCause => {
            let fine = stretches(faults.resistive, 1.0 - faults.coarse_share);
            fine.chain(stretches(faults.resistive_coarse, faults.coarse_share)).map(Some).collect()
        }
        FailureMode::ShortToGround => stretches(faults.leak, 1.0).map(Some).collect(),
        FailureMode::ShortBetweenCircuits => stretches(faults.bridged, 1.0).map(Some).collect(),
        FailureMode::Leakage => stretches(faults.seeping, 1.0).map(Some).collect(),
        FailureMode::HighDraw => stretches(faults.high_draw, 1.0).map(Some).collect(),
        FailureMode::LowDraw => stretches(faults.low_draw, 1.0).map(Some).collect(),
        FailureMode::Undersized => stretches(faults.undersized, 1.0).map(Some).collect(),
        FailureMode::WrongRating => {
            let share = 1.0 / faults.wrong_rating.len() as f64;
            faults.wrong_rating.iter().map(|&value| Some(Size { value, width: 0.0, share })).collect()
        }
        // What it usually shows, or nothing.
        FailureMode::Stuck => [(1.0, 1.0 - faults.stuck_at_nought), (0.0, faults.stuck_at_nought)]
            .map(|(value, share)| Some(Size { value, width: 0.0, share }))
            .to_vec(),
        FailureMode::LowVoltage => stretches(faults.missing_voltage, 1.0).map(Some).collect(),
    }
}

/// The resistances that a path outside the drawing can have.
pub fn undrawn_path_sizes(faults: &Faults) -> [Size; UNDRAWN_PATH_SIZES] {
    std::array::from_fn(|step| stretch(faults.undrawn, step as f64, 1.0 / UNDRAWN_PATH_SIZES as f64))
}

fn stretches(ladder: Ladder, share: f64) -> impl Iterator<Item = Size> {
    let each = share / f64::from(ladder.count);
    let steps = Steps { first: ladder.first, ratio: ladder.ratio };
    (0..ladder.count).map(move |step| stretch(steps, f64::from(step), each))
}

fn stretch(steps: Steps, step: f64, share: f64) -> Size {
    // `powi` differs in its last digit by how far a compiler works it out beforehand.
    Size { value: steps.first * steps.ratio.powf(step), width: steps.ratio.ln() / 2.0, share }
}
