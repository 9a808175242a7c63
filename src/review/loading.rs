//! Is there enough: protection that opens when it must and holds when it must,
//! supplies that give what everything takes, hours that a battery lasts.

use super::running::RunningLoad;
use crate::network::{Law, SolveError};
use crate::predict::{Predictor, StateModel};
use crate::quantity::Amps;
use crate::tables::review::Reviewing;
use crate::tables::supply::hours_to_flat;
use crate::vehicle::{PartId, State, Supply, Vehicle};

/// A load at whose terminals a short would open nothing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NothingOpens {
    pub load: PartId,
    /// The nearest protection on its way, and what would go through it.
    pub protection: Option<(PartId, Amps)>,
}

/// A fuse or breaker with everything on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LoadedProtection {
    pub protection: PartId,
    pub rating: Amps,
    /// Through it; none where it opens.
    pub amps: Option<Amps>,
}

/// A supply with everything on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LoadedSupply {
    pub supply: PartId,
    /// What it gives; below nothing what it takes.
    pub amps: Amps,
    /// The most that it gives, where that is known.
    pub most: Option<Amps>,
}

/// A load in use for a share of the time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Use {
    pub load: PartId,
    pub share: f64,
}

/// How long a battery lasts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reserve {
    pub battery: PartId,
    /// Drawn on average.
    pub amps: Amps,
    /// From full down to what must be left; none where nothing is drawn.
    pub hours: Option<f64>,
}

/// Loads at which a short would open no fuse, breaker or battery's own protection.
///
/// # Errors
/// [`SolveError`] if one cannot be solved.
pub fn nothing_opens(
    vehicle: &Vehicle,
    practice: &Reviewing,
    running: &[RunningLoad],
) -> Result<Vec<NothingOpens>, SolveError> {
    let mut found = Vec::new();
    for one in running.iter().filter(|one| !vehicle.is_on_mains(one.load)) {
        let short = Law::Resistor(practice.short.conductance());
        let shorted = one.model.solution().with_law(one.load.index(), short)?;
        let opens = |id: &PartId| vehicle.part(*id).kind.is_protection() && shorted.is_blown(id.index());
        if !one.feed.parts().any(|id| opens(&id)) {
            let through = |id: PartId| (id, shorted.current(id.index()).abs());
            found.push(NothingOpens { load: one.load, protection: one.protection.map(through) });
        }
    }
    Ok(found)
}

/// Protection that has more than its share of its rating with everything on.
pub fn loaded_protection(vehicle: &Vehicle, practice: &Reviewing, all_on: &StateModel) -> Vec<LoadedProtection> {
    let loaded = |protection: PartId| {
        let rating = vehicle.part(protection).kind.rating()?;
        let is_blown = all_on.solution().is_blown(protection.index());
        let amps = all_on.solution().current(protection.index()).abs();
        let too_much = is_blown || amps > rating * practice.fuse_loaded;
        too_much.then_some(LoadedProtection { protection, rating, amps: (!is_blown).then_some(amps) })
    };
    vehicle.part_ids().filter_map(loaded).collect()
}

/// Every supply with everything on.
pub fn loaded_supplies(vehicle: &Vehicle, all_on: &StateModel) -> Vec<LoadedSupply> {
    let of = |supply: PartId| LoadedSupply {
        supply,
        // Current goes through a supply from its negative post to its positive one.
        amps: all_on.solution().current(supply.index()),
        most: vehicle.part(supply).kind.supply().and_then(|supply| match supply {
            Supply::Battery(battery) => battery.protection.most,
            Supply::Regulated(regulated) => Some(regulated.limit),
        }),
    };
    vehicle.supplies().map(of).collect()
}

/// How long each battery lasts with these loads in use, and whatever else runs at
/// rest.
///
/// # Errors
/// [`SolveError`] if a state cannot be solved.
pub fn reserve(predictor: &Predictor, running: &[RunningLoad], uses: &[Use]) -> Result<Vec<Reserve>, SolveError> {
    let vehicle = predictor.vehicle();
    let at_rest = predictor.in_state(&State::rest(vehicle))?;
    let mut without = at_rest.shared_solution();
    for of in uses {
        without = without.with_law(of.load.index(), Law::Open)?.into();
    }
    let batteries: Vec<PartId> = vehicle.supplies().filter(|&id| vehicle.part(id).kind.is_battery()).collect();
    let mut drawn: Vec<Amps> = batteries.iter().map(|battery| without.current(battery.index())).collect();
    for of in uses {
        let Some(one) = running.iter().find(|one| one.load == of.load) else { continue };
        let with = one.model.solution();
        let without = with.with_law(of.load.index(), Law::Open)?;
        for (drawn, battery) in drawn.iter_mut().zip(&batteries) {
            *drawn += (with.current(battery.index()) - without.current(battery.index())) * of.share;
        }
    }
    let lasts = |(&battery, amps): (&PartId, Amps)| {
        let ampere_hours = vehicle.part(battery).kind.battery().map_or(0.0, |battery| battery.ampere_hours);
        let hours = (amps > Amps::ZERO).then(|| hours_to_flat(ampere_hours, amps));
        Reserve { battery, amps, hours }
    };
    Ok(batteries.iter().zip(drawn).map(lasts).collect())
}
