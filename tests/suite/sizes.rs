//! What a fault's size does to what is read, against differences of the solve:
//! the slope of a reading in ln(size), of every way to fail that has a size, at
//! every kind of part, for currents and for voltages.

use crate::played::engine;
use crate::random_sessions::SAMPLES;
use halfsplit::belief::Engine;
use halfsplit::fault::{FailureMode, Size, catalogue, sizes};
use halfsplit::meter::MeterKind;
use halfsplit::predict::{Hypothesis, Prediction, Probe, StateModel};
use halfsplit::vehicle::{PartId, Position, State};
use std::collections::BTreeMap;
use std::rc::Rc;

/// Width of a stretch of sizes: loadings are by one of these.
const WIDTH: f64 = 0.1;
/// Step in ln(size) of the differences.
const STEP: f64 = 1e-3;
/// Furthest that a slope may be from the difference, as a share of it, and of
/// what the part carries.
const ALLOWED: (f64, f64) = (0.03, 2e-3);

/// Ways to fail that have a size which moves something bit by bit.
const WITH_SIZE: [FailureMode; 9] = [
    FailureMode::HighResistance,
    FailureMode::CommonCause,
    FailureMode::Undersized,
    FailureMode::LowVoltage,
    FailureMode::HighDraw,
    FailureMode::LowDraw,
    FailureMode::ShortToGround,
    FailureMode::ShortBetweenCircuits,
    FailureMode::Leakage,
];

/// The vehicle with everything on.
fn all_on(engine: &Engine) -> State {
    let vehicle = engine.vehicle();
    let asleep: Vec<_> = vehicle.sleep_controls().collect();
    let on = |state: State, control| if asleep.contains(&control) { state } else { state.with(control, Position::On) };
    vehicle.control_ids().fold(State::rest(vehicle), on)
}

struct Bench<'a> {
    engine: &'a Engine,
    model: Rc<StateModel>,
    theta: halfsplit::predict::Uncertainties,
}

impl Bench<'_> {
    fn shown(&self, hypothesis: &Hypothesis, probe: Probe) -> Prediction {
        let view = self.model.view(self.engine.vehicle(), hypothesis);
        view.shown(probe, MeterKind::Cheap, 0.0, &self.theta)
    }

    /// The slope that is claimed and the differences to either side; `None`
    /// where a law has a corner within the step, as where a fuse opens.
    fn slopes(&self, hypotheses: &[Hypothesis; 3], probe: Probe) -> Option<(f64, f64)> {
        let [below, at, above] = hypotheses.map(|hypothesis| self.shown(&hypothesis, probe));
        let claimed = at.size_loading() / WIDTH;
        let (left, right) = ((at.mean - below.mean) / STEP, (above.mean - at.mean) / STEP);
        let is_smooth = (left - right).abs() < ALLOWED.1 + ALLOWED.0 * left.abs().max(right.abs());
        is_smooth.then_some((claimed, 0.5 * (left + right)))
    }
}

#[test]
fn a_size_moves_currents_and_voltages_as_claimed() {
    let (mut compared, mut broken) = (BTreeMap::<String, usize>::new(), Vec::new());
    for sample in SAMPLES {
        let engine = &*engine(sample);
        let vehicle = engine.vehicle();
        let model = engine.predictor().in_state(&all_on(engine)).expect("solvable");
        let theta = engine.predictor().uncertainties().clone();
        let bench = Bench { engine, model, theta };
        let mut number = 0;
        for fault in catalogue(vehicle, engine.tables()).into_iter().map(|likely| likely.fault) {
            let all: Vec<Size> = sizes(&engine.tables().faults, fault.mode).into_iter().flatten().collect();
            if all.is_empty() || fault.mode == FailureMode::WrongRating {
                continue;
            }
            // A size of each, and a few of all parts: those at hand in turn.
            number += 1;
            let Size { value, .. } = all[number % all.len()];
            let sized = |step: f64| {
                let size = Some(Size { value: value * (STEP * step).exp(), width: WIDTH, share: 1.0 });
                Hypothesis::Faulty { fault, size }
            };
            let hypotheses = [-1.0, 0.0, 1.0].map(sized);
            let near = (0..vehicle.parts.len()).map(PartId::new).filter(|part| part.index() % 29 == number % 29);
            for part in near.chain(fault.parts()) {
                let (from, to) = vehicle.part(part).ends();
                for probe in [Probe::Current { part }, Probe::voltage(from, to), Probe::voltage(to, vehicle.black)] {
                    let Some((claimed, found)) = bench.slopes(&hypotheses, probe) else { continue };
                    if found.abs() > 0.01 {
                        *compared.entry(format!("{:?}", fault.mode)).or_default() += 1;
                    }
                    if (claimed - found).abs() > ALLOWED.1 + ALLOWED.0 * found.abs() {
                        let name = |part: PartId| &vehicle.part(part).name;
                        broken.push(format!(
                            "{sample}: {:?} of {} of {value}, {probe:?} at {}: {claimed} claimed, {found} found",
                            fault.mode,
                            name(fault.part),
                            name(part)
                        ));
                    }
                }
            }
        }
    }
    println!("{compared:?}");
    assert!(broken.is_empty(), "{} slopes are off:\n{}", broken.len(), broken[..broken.len().min(40)].join("\n"));
    let missing: Vec<_> = WITH_SIZE.iter().filter(|mode| !compared.contains_key(&format!("{mode:?}"))).collect();
    assert!(missing.is_empty(), "hardly compared: {missing:?} of {compared:?}");
}
