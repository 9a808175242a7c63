//! How bad a fault is, by what makes it: worn contacts, chafed cables, water.

use super::chance::{log_normal, log_uniform, weibull};
use super::displays::misshown;
use crate::fault::{FailureMode, Fault};
use crate::quantity::TWELVE_VOLTS;
use crate::tables::world::{LogUniform, Workshop};
use crate::vehicle::{Supply, Vehicle};
use rand::seq::IndexedRandom;
use rand::{Rng, RngExt};

/// A size for a fault; none where there is only one.
pub fn draw_size(of: &Workshop, vehicle: &Vehicle, fault: Fault, random: &mut impl Rng) -> Option<f64> {
    Some(match fault.mode {
        FailureMode::OpenCircuit
        | FailureMode::ContactWelded
        | FailureMode::ShortAcross
        | FailureMode::StaysAwake
        | FailureMode::WrongTerminal
        | FailureMode::Crossed => return None,
        FailureMode::HighResistance | FailureMode::CommonCause => match random.random_bool(of.eaten_share) {
            true => log_uniform(of.eaten, random),
            false => log_normal(of.poor_contact, random),
        },
        FailureMode::ShortToGround => chafe(of, random),
        FailureMode::ShortBetweenCircuits => match random.random_bool(of.touching_share) {
            true => log_uniform(of.touching, random),
            false => log_normal(of.water, random),
        },
        FailureMode::Leakage => log_normal(of.seeping, random),
        FailureMode::HighDraw => 1.0 + weibull(of.drags, random),
        FailureMode::LowDraw => of.elements_left.choose(random).copied()?,
        FailureMode::Undersized => of.thinner.choose(random).copied()?,
        FailureMode::WrongRating => of.smaller_fuse.choose(random).copied()?,
        FailureMode::LowVoltage => missing(of, vehicle, fault, random),
        FailureMode::Stuck | FailureMode::ReadsOff | FailureMode::WrongScale | FailureMode::Drifts => {
            misshown(of, vehicle, fault, random)
        }
    })
}

fn chafe(of: &Workshop, random: &mut impl Rng) -> f64 {
    let [hard, rubbed, damp] = of.chafes;
    match random.random::<f64>() * (hard + rubbed + damp) {
        at if at < hard => log_uniform(of.hard_chafe, random),
        at if at < hard + rubbed => log_uniform(of.rubbed, random),
        _ => log_normal(of.damp, random),
    }
}

/// A battery may lack a cell; anything else is run down or set low, the more
/// the higher its voltage.
fn missing(of: &Workshop, vehicle: &Vehicle, fault: Fault, random: &mut impl Rng) -> f64 {
    let is_battery = matches!(vehicle.part(fault.part).kind.supply(), Some(Supply::Battery(_)));
    if is_battery && random.random_bool(of.dead_cell_share) {
        return of.dead_cell.0;
    }
    weibull(of.missing_volts, random) * (vehicle.nominal.0 / TWELVE_VOLTS.0)
}

/// From the least to the most that a way to fail can have, where it has a size
/// in ohms.
pub fn range(of: &Workshop, mode: FailureMode) -> Option<LogUniform> {
    let span = |least: f64, most: f64| Some(LogUniform { least, most });
    match mode {
        FailureMode::HighResistance | FailureMode::CommonCause => {
            span(of.poor_contact.least, of.eaten.most.max(of.poor_contact.most))
        }
        FailureMode::ShortToGround => span(of.hard_chafe.least, of.damp.most),
        FailureMode::ShortBetweenCircuits => span(of.touching.least, of.water.most),
        FailureMode::Leakage => span(of.hard_chafe.least, of.seeping.most),
        FailureMode::HighDraw => span(of.draws_more.least, of.drags.most.max(of.draws_more.most)),
        FailureMode::LowDraw => span(of.draws_less.least, of.draws_less.most),
        FailureMode::Undersized => span(of.thinner[0], of.thinner[of.thinner.len() - 1]),
        FailureMode::LowVoltage => span(of.missing_volts.least, of.missing_volts.most),
        FailureMode::WrongRating => span(of.smaller_fuse[of.smaller_fuse.len() - 1], of.smaller_fuse[0]),
        FailureMode::OpenCircuit
        | FailureMode::ContactWelded
        | FailureMode::ShortAcross
        | FailureMode::StaysAwake
        | FailureMode::WrongTerminal
        | FailureMode::Crossed
        | FailureMode::Stuck
        | FailureMode::ReadsOff
        | FailureMode::WrongScale
        | FailureMode::Drifts => None,
    }
}
