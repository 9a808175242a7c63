//! The panel: what somebody reads off the vehicle's own instruments before
//! anything else, with a load off and on, several times.

use super::bench::Bench;
use super::world::World;
use crate::belief::Symptom;
use crate::case::{Case, CaseError, Entry};
use crate::predict::Probe;
use crate::vehicle::{ControlId, FittedInstrument, Part, PartId, PartKind, Position, Vehicle};
use rand::Rng;
use rand::seq::IndexedRandom;

/// Format: times that the panel is read, in turns with a load off and on.
const TIMES: usize = 6;

/// Format: last digits of a battery monitor, V and A.
const DIGITS: [f64; 2] = [0.01, 0.1];

/// A vehicle that carries instruments: those that it has, or a battery monitor
/// that shows volts and amperes of its largest battery.
pub fn with_panel(mut vehicle: Vehicle) -> Vehicle {
    let size = |id: &PartId| vehicle.part(*id).kind.battery().map_or(0.0, |battery| battery.ampere_hours);
    let largest = vehicle.supplies().max_by(|a, b| size(a).total_cmp(&size(b)));
    let Some(battery) = largest.filter(|_| vehicle.instruments().next().is_none()) else { return vehicle };
    for (name, through, digit) in [("BM", None, DIGITS[0]), ("BA", Some(battery), DIGITS[1])] {
        let of = vehicle.part(battery).clone();
        vehicle.parts.push(Part {
            name: name.to_string(),
            label: Some("battery monitor".to_string()),
            kind: PartKind::Instrument(FittedInstrument { through, resolution: digit }),
            from: if through.is_some() { of.from } else { of.to },
            to: if through.is_some() { of.to } else { of.from },
            spread: 0.0,
            gates: Vec::new(),
            bundle: None,
            ..of
        });
    }
    vehicle
}

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
        for probe in Probe::panel(vehicle) {
            enter(case, world, probe, std::mem::take(&mut settings), random)?;
            count += 1;
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
    for probe in Probe::panel(vehicle) {
        enter(case, world, probe.by_hand(), Vec::new(), random)?;
        enter(case, world, probe, Vec::new(), random)?;
        count += 2;
    }
    Ok(count)
}

fn enter(
    case: &mut Case,
    world: &World,
    probe: Probe,
    settings: Vec<(ControlId, Position)>,
    random: &mut impl Rng,
) -> Result<(), CaseError> {
    let state = case.standing().state.with_all(&settings);
    let measured = world.read(&state, probe, case.standing().meter, random)?.measured;
    case.add(Entry::Read { settings, probe, measured, symptom: Symptom::Present })
}
