//! The panel: what somebody reads off the vehicle's own instruments before
//! anything else, with a load off and on, several times.

use super::bench::Bench;
use super::world::World;
use crate::belief::Symptom;
use crate::case::{Case, CaseError, Entry};
use crate::predict::Probe;
use crate::vehicle::Position;
use rand::Rng;
use rand::seq::IndexedRandom;

/// Format: times that the panel is read, in turns with a load off and on.
const TIMES: usize = 6;

/// Reads every instrument in turns; how many readings that were.
pub(super) fn look_over(
    bench: &Bench,
    case: &mut Case,
    world: &World,
    random: &mut impl Rng,
) -> Result<usize, CaseError> {
    let vehicle = bench.engine().vehicle();
    let before = case.standing().state.clone();
    let of_load: Vec<_> = bench.loads.values().collect();
    let on = of_load.choose(random).map_or_else(Vec::new, |settings| (*settings).clone());
    let back: Vec<(_, Position)> = on.iter().map(|&(control, _)| (control, before.position(control))).collect();
    let mut count = 0;
    for time in 0..TIMES {
        let mut settings = if time % 2 == 0 { back.clone() } else { on.clone() };
        for probe in vehicle.instruments().filter_map(|id| Probe::fixed(vehicle, id)) {
            count += enter(case, world, probe, std::mem::take(&mut settings), random)?;
        }
    }
    case.add(Entry::Set { settings: back })?;
    Ok(count)
}

/// Holds a meter where each instrument measures.
pub(super) fn compare(
    bench: &Bench,
    case: &mut Case,
    world: &World,
    random: &mut impl Rng,
) -> Result<usize, CaseError> {
    let vehicle = bench.engine().vehicle();
    let mut count = 0;
    for probe in vehicle.instruments().filter_map(|id| Probe::fixed(vehicle, id)) {
        count += enter(case, world, probe.by_hand(), Vec::new(), random)?;
        count += enter(case, world, probe, Vec::new(), random)?;
    }
    Ok(count)
}

fn enter(
    case: &mut Case,
    world: &World,
    probe: Probe,
    settings: Vec<(crate::vehicle::ControlId, Position)>,
    random: &mut impl Rng,
) -> Result<usize, CaseError> {
    let state = case.standing().state.with_all(&settings);
    let measured = world.read(&state, probe, case.standing().meter, random)?.measured;
    case.add(Entry::Read { settings, probe, measured, symptom: Symptom::Present })?;
    Ok(1)
}
