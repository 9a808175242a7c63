//! Following the tool's own tests leads to the part.

use crate::played::*;
use halfsplit::fault::{Fault, Mode};
use halfsplit::vehicle::trace::way_there_and_back;
use halfsplit::vehicle::PartKind;

#[test]
fn every_part_of_three_van_circuits_is_found() {
    let mut cases = 0;
    let mut right = 0;
    let mut most = 0;
    let (mut tests, mut minutes) = (0, 0.0);
    for name in ["fridge", "pump", "vent"] {
        let case = fresh("clinic_van");
        let vehicle = case.vehicle().clone();
        let load = vehicle.find_part(name).unwrap();
        let sign = halfsplit::belief::Sign::Sometimes;
        let state = case.settings_for_sign(load, sign).iter().fold(case.standing().state.clone(), |s, &(c, p)| s.with(c, p));
        let mut parts = way_there_and_back(&vehicle, &state, load);
        parts.push(load);
        for part in parts {
            for (mode, size) in [(Mode::Open, 0.0), (Mode::Resistive, 0.3), (Mode::Resistive, 2.0)] {
                if matches!(vehicle.part(part).kind, PartKind::Load { .. }) && mode != Mode::Open {
                    continue;
                }
                let mut case = fresh("clinic_van");
                let hidden = Hidden { vehicle: &vehicle, fault: Fault { part, mode }, size };
                let Some(hunt) = hunt(&mut case, &hidden, &mut Resolve, load) else {
                    println!("{name} {} {mode:?} {size}: not noticed", vehicle.part(part).name);
                    continue;
                };
                cases += 1;
                tests += hunt.tests; minutes += hunt.minutes;
                most = most.max(hunt.tests);
                let ok = hunt.named.contains(&part);
                right += usize::from(ok);
                println!("{} {name} {} {mode:?} {size}: {} tests {:.0} min{}: {}", if ok {"ok  "} else {"MISS"}, vehicle.part(part).name, hunt.tests, hunt.minutes, if hunt.cleared {" CLEARED"} else {""}, hunt.log);
            }
        }
    }
    println!("{right}/{cases}, most {most}, mean tests {:.2}, mean minutes {:.1}", tests as f64 / cases as f64, minutes / cases as f64);
}
