//! Cable and fuse for a load: the fuse carries the load, the cable carries the
//! fuse, and the two wires lose no more volts than they may.

use crate::quantity::{Amps, Celsius, Metres, Ohms, SquareMillimetres, Volts, Watts};
use crate::tables::ampacity::{self, Insulation, Laying};
use crate::tables::conductor::{self, CLASS_5_PLAIN, ConductorSize};
use crate::tables::fuse::RATINGS;
use crate::tables::limits::LEAST_CONDUCTOR;
use crate::tables::review::Reviewing;
use thiserror::Error;

/// What a load takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Demand {
    Amps(Amps),
    Watts(Watts),
}

/// How far it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum WayLength {
    /// From the supply to the load; the way back is a wire as long.
    OneWay(Metres),
    /// All the wire that the current goes through.
    ThereAndBack(Metres),
}

impl WayLength {
    /// All the wire that the current goes through.
    pub fn wire(self) -> Metres {
        match self {
            Self::OneWay(metres) => metres * 2.0,
            Self::ThereAndBack(metres) => metres,
        }
    }
}

/// What a cable is wanted for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wanted {
    pub demand: Demand,
    pub length: WayLength,
    pub nominal: Volts,
    /// Volts that may be lost, as a share of nominal.
    pub drop: f64,
    pub laying: Laying,
    pub ambient: Celsius,
    pub insulation: Insulation,
}

/// Why a size is too small.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shortfall {
    /// It carries less than the fuse.
    Carries,
    /// It loses more volts than it may.
    Drops,
    Both,
}

/// A size that was worked through.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TriedSize {
    pub area: SquareMillimetres,
    /// What it carries by the table.
    pub by_table: Amps,
    /// What is left of that at this ambient and laid so.
    pub carries: Amps,
    /// How warm it gets with the load on.
    pub warms_to: Celsius,
    /// There and back, that warm.
    pub ohms: Ohms,
    pub drop: Volts,
    /// None where it will do.
    pub shortfall: Option<Shortfall>,
}

/// Cable and fuse, with how they were come by.
#[derive(Debug, Clone, PartialEq)]
pub struct CableChoice {
    pub wanted: Wanted,
    pub amps: Amps,
    /// The least rating that carries the load for hours.
    pub least_rating: Amps,
    /// The fuse.
    pub fuse: Amps,
    /// What is left of the table's figures at this ambient.
    pub ambient_factor: f64,
    /// Volts that may be lost.
    pub limit: Volts,
    /// The sizes below the one that will do, which fall short.
    pub short: Vec<TriedSize>,
    pub cable: TriedSize,
}

/// Why there is no cable.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum NoCable {
    #[error("the load must be above nothing, and so must the length, the voltage and the drop")]
    Nothing,
    #[error("insulation for {} °C carries nothing where it is {} °C: take one that stands more", .insulation.0, .ambient.0)]
    TooHot { insulation: Celsius, ambient: Celsius },
    #[error("{amps} needs a fuse above {most}, the biggest there is here: split the load over two circuits")]
    NoFuse { amps: Amps, most: Amps },
    #[error("not even {} mm² will do for {amps} over {} m of wire: shorten the way, split the load, or use a higher voltage", .area.0, .wire.0)]
    NoSize { amps: Amps, wire: Metres, area: SquareMillimetres },
}

/// The smallest cable that will do, with its fuse.
///
/// # Errors
/// [`NoCable`] where none will, or what is wanted makes no sense.
pub fn choose_cable(practice: &Reviewing, wanted: Wanted) -> Result<CableChoice, NoCable> {
    let amps = match wanted.demand {
        Demand::Amps(amps) => amps,
        Demand::Watts(watts) => watts / wanted.nominal,
    };
    let wire = wanted.length.wire();
    let is_something = |value: f64| value.is_finite() && value > 0.0;
    if ![amps.0, wire.0, wanted.nominal.0, wanted.drop].into_iter().all(is_something) {
        return Err(NoCable::Nothing);
    }
    let insulation = wanted.insulation.temperature();
    if wanted.ambient.0.is_nan() || wanted.ambient >= insulation {
        return Err(NoCable::TooHot { insulation, ambient: wanted.ambient });
    }
    let least_rating = amps / practice.fuse_loaded;
    let most = RATINGS[RATINGS.len() - 1];
    let fuse = RATINGS.into_iter().find(|&rating| rating >= least_rating.0);
    let fuse = fuse.map(Amps).ok_or(NoCable::NoFuse { amps, most: Amps(most) })?;
    let limit = wanted.nominal * wanted.drop;
    let mut short = Vec::new();
    for area in sizes() {
        let tried = tried(&wanted, area, amps, fuse, limit);
        match tried.shortfall {
            Some(_) => short.push(tried),
            None => {
                let ambient_factor = ampacity::ambient_factor(wanted.insulation, wanted.ambient);
                let cable = tried;
                return Ok(CableChoice { wanted, amps, least_rating, fuse, ambient_factor, limit, short, cable });
            }
        }
    }
    let area = sizes().last().unwrap_or(LEAST_CONDUCTOR);
    Err(NoCable::NoSize { amps, wire, area })
}

/// Sizes that both tables hold without being drawn out beyond their ends.
fn sizes() -> impl Iterator<Item = SquareMillimetres> {
    let (most, _) = ampacity::CFR_TABLE_5[ampacity::CFR_TABLE_5.len() - 1];
    let held = move |&area: &f64| area >= LEAST_CONDUCTOR.0 && area <= most;
    CLASS_5_PLAIN.into_iter().map(|(area, _)| area).filter(held).map(SquareMillimetres)
}

fn tried(wanted: &Wanted, area: SquareMillimetres, amps: Amps, fuse: Amps, limit: Volts) -> TriedSize {
    let by_table = ampacity::allowable_alone(area, wanted.insulation);
    let factor = ampacity::ambient_factor(wanted.insulation, wanted.ambient);
    let carries = by_table * factor * wanted.laying.factor();
    let warms_to = conductor::warmed(wanted.ambient, wanted.insulation.temperature(), amps / carries);
    let ohms = conductor::cable(ConductorSize::Metric(area), wanted.length.wire(), warms_to).value;
    let drop = amps * ohms;
    let shortfall = match (carries < fuse, drop > limit) {
        (true, true) => Some(Shortfall::Both),
        (true, false) => Some(Shortfall::Carries),
        (false, true) => Some(Shortfall::Drops),
        (false, false) => None,
    };
    TriedSize { area, by_table, carries, warms_to, ohms, drop, shortfall }
}
