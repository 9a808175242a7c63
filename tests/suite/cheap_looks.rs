//! Cheap looks leave nothing out: what one of them takes for harmless is harmless by
//! the solve itself, and what keeps a load on is suspected when it stays on.

use crate::played::engine;
use crate::random_sessions::SAMPLES;
use halfsplit::belief::{Engine, Sign, Site};
use halfsplit::case::{Case, Entry};
use halfsplit::fault::{Fault, catalogue, sizes};
use halfsplit::predict::{Hypothesis, StateModel};
use halfsplit::vehicle::trace::settings_for;
use halfsplit::vehicle::{PartId, State};
use std::rc::Rc;

/// Share of a load's work by which something counts as touched: what a fault switches
/// on beside it takes a percent or so, which nobody sees.
const TOUCHED: f64 = 0.02;

/// How a vehicle is with a load on.
fn running(engine: &Engine, load: PartId) -> Rc<StateModel> {
    let vehicle = engine.vehicle();
    let rest = State::rest(vehicle);
    let state = rest.with_all(&settings_for(vehicle, &rest, load));
    engine.predictor().in_state(&state).expect("solvable")
}

#[test]
fn what_could_not_touch_a_load_does_not() {
    let (mut touched, mut passed_over) = (0, 0);
    for sample in SAMPLES {
        let engine = &*engine(sample);
        let vehicle = engine.vehicle();
        let faults: Vec<Fault> = catalogue(vehicle, engine.tables()).into_iter().map(|likely| likely.fault).collect();
        for load in vehicle.loads() {
            let model = running(engine, load);
            let sound = model.performance(vehicle, &Hypothesis::Sound, load);
            for &fault in &faults {
                for size in sizes(&engine.tables().faults, fault.mode) {
                    let hypothesis = Hypothesis::Faulty { fault, size };
                    if model.could_touch(vehicle, &hypothesis, load) {
                        touched += 1;
                        continue;
                    }
                    passed_over += 1;
                    let moved = (model.performance(vehicle, &hypothesis, load) - sound).abs();
                    let name = |part| &vehicle.part(part).name;
                    assert!(
                        moved <= TOUCHED,
                        "{sample}: {} {:?} {:?} {size:?} touches {} by {moved}",
                        name(fault.part),
                        fault.other.map(name),
                        fault.mode,
                        name(load)
                    );
                }
            }
        }
    }
    assert!(touched > 1000 && passed_over > 1000, "{touched} could, {passed_over} could not");
}

/// The switch of a coil that is stuck closed keeps the load on as the contact does.
#[test]
fn what_calls_a_relay_is_suspected_of_a_load_that_stays_on() {
    for (sample, load, switch, contact) in
        [("bench_board", "fan", "SB", "KB.contact"), ("clinic_van", "scene", "S5", "K3.contact")]
    {
        let engine = engine(sample);
        let part = |name: &str| engine.vehicle().find_part(name).expect("a part");
        let [load, switch, contact] = [load, switch, contact].map(part);
        let mut case = Case::new(Rc::clone(&engine)).expect("solvable");
        let sign = Sign::StaysOn;
        case.add(Entry::Observe { settings: Vec::new(), subject: load, sign }).expect("stands");
        let believed = |part| case.assessment().belief.probability(Site::Part(part));
        assert!(believed(switch) > 0.1, "{sample}: {}", believed(switch));
        assert!(believed(contact) > 0.1, "{sample}: {}", believed(contact));
    }
}
