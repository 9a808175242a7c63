//! How big a fault of unknown size is: a mixture over log-spaced sizes.
//!
//! Each member of the mixture covers a stretch of ln(size) with a normal
//! distribution as wide as the step, so that together they leave no gap. In a
//! linear network the direction of what a fault does to the readings does not
//! depend on its size, so the stretch is exact in direction and only rounded
//! in amount.

use super::Mode;

/// Size of a fault: Ω for resistance, leaks and bridges, V for missing voltage,
/// a multiple of what it should be for draw, rating and undersized cable.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Size {
    /// Middle of the stretch.
    pub value: f64,
    /// Standard deviation of ln(size) within it.
    pub width: f64,
    /// Share of the fault's frequency.
    pub share: f64,
}

/// Log-spaced stretches: first, ratio, how many.
struct Ladder {
    first: f64,
    ratio: f64,
    count: i32,
}

/// Added resistance: from what a good joint may have to ten ohms finely, since
/// those are the usual ones, then on to a path that only a meter can see.
const RESISTIVE_FINE: Ladder = Ladder { first: 0.002, ratio: 1.6, count: 19 };
const RESISTIVE_COARSE: Ladder = Ladder { first: 25.0, ratio: 8.0, count: 5 };
/// Share of frequency of the coarse ladder; common practice, no source.
const COARSE_SHARE: f64 = 0.2;

const LEAK: Ladder = Ladder { first: 0.03, ratio: 2.5, count: 15 };
/// A path to a neighbour in a plug or cable, from touching wires to damp.
const BRIDGED: Ladder = Ladder { first: 0.05, ratio: 2.5, count: 18 };
/// A path across an open contact, from one that has half welded to damp.
const SEEPING: Ladder = Ladder { first: 1.5, ratio: 3.2, count: 12 };
/// Resistances that a path outside the drawing is tried with.
pub const TIE_SIZES: usize = 8;
/// A path that no drawing shows: wires joined, or something fitted later.
const TIED: Ladder = Ladder { first: 0.03, ratio: 2.5, count: TIE_SIZES as i32 };
/// Current drawn, as a multiple of what it should be.
const HIGH_DRAW: Ladder = Ladder { first: 1.2, ratio: 1.15, count: 12 };
/// Resistance of a cable that is too thin or too long, as a multiple.
const UNDERSIZED: Ladder = Ladder { first: 1.8, ratio: 1.35, count: 5 };
/// Rating of a fuse that is too small, as a share of the drawn one.
const WRONG_RATING: [f64; 2] = [0.5, 0.25];
const MISSING_VOLTS: Ladder = Ladder { first: 0.4, ratio: 1.25, count: 14 };

/// The sizes that a way to fail can have; `None` where there is only one.
pub fn sizes(mode: Mode) -> Vec<Option<Size>> {
    match mode {
        Mode::Open | Mode::StuckClosed | Mode::Shorted | Mode::Awake | Mode::WrongTerminal | Mode::Crossed => {
            vec![None]
        }
        Mode::Resistive | Mode::Together => {
            let fine = stretches(&RESISTIVE_FINE, 1.0 - COARSE_SHARE);
            fine.chain(stretches(&RESISTIVE_COARSE, COARSE_SHARE)).map(Some).collect()
        }
        Mode::Leak => stretches(&LEAK, 1.0).map(Some).collect(),
        Mode::Bridged => stretches(&BRIDGED, 1.0).map(Some).collect(),
        Mode::Seeping => stretches(&SEEPING, 1.0).map(Some).collect(),
        Mode::HighDraw => stretches(&HIGH_DRAW, 1.0).map(Some).collect(),
        Mode::Undersized => stretches(&UNDERSIZED, 1.0).map(Some).collect(),
        Mode::WrongRating => {
            let share = 1.0 / WRONG_RATING.len() as f64;
            WRONG_RATING.iter().map(|&value| Some(Size { value, width: 0.0, share })).collect()
        }
        Mode::LowVoltage => stretches(&MISSING_VOLTS, 1.0).map(Some).collect(),
    }
}

/// The resistances that a path outside the drawing can have.
pub fn tie_sizes() -> [Size; TIE_SIZES] {
    std::array::from_fn(|step| stretch(&TIED, step as i32, 1.0 / TIE_SIZES as f64))
}

fn stretches(ladder: &Ladder, share: f64) -> impl Iterator<Item = Size> + '_ {
    let each = share / f64::from(ladder.count);
    (0..ladder.count).map(move |step| stretch(ladder, step, each))
}

fn stretch(ladder: &Ladder, step: i32, share: f64) -> Size {
    Size { value: ladder.first * ladder.ratio.powi(step), width: ladder.ratio.ln() / 2.0, share }
}
