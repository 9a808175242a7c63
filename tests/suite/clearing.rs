//! Nothing is proved good by one reading: whatever it shows, it may be the pin
//! beside, a probe on paint or a slip of the pen.

use crate::played::{DEAD, engine};
use crate::random_sessions::SAMPLES;
use halfsplit::belief::{Evidence, Observation, Reading, Symptom};
use halfsplit::case::Case;
use halfsplit::complaint::Channel;
use halfsplit::meter::MeterKind;
use halfsplit::predict::{Hypothesis, Probe};
use halfsplit::quantity::{Measured, Typed, Volts};
use halfsplit::vehicle::{PartId, PointId};

/// Points looked at, one in so many of a large vehicle.
const EVERY: usize = 5;

#[test]
fn no_single_reading_proves_anything_good() {
    let (mut scanned, mut cleared) = (0, Vec::new());
    for sample in SAMPLES {
        let engine = engine(sample);
        let vehicle = engine.vehicle();
        let case = Case::new(std::rc::Rc::clone(&engine)).expect("a vehicle at rest");
        let loads: Vec<PartId> = vehicle.loads().collect();
        let sheet = MeterKind::Cheap.meter(&engine.tables().instruments);
        for point in (0..vehicle.points.len()).step_by(if sample == "bench_board" { 1 } else { EVERY }) {
            let load = loads[point % loads.len()];
            let state = case.standing().state.with_all(&case.settings_for_sign(load, DEAD));
            let model = engine.predictor().in_state(&state).expect("solvable");
            let point = PointId::new(point);
            if point == vehicle.black {
                continue;
            }
            let sound = model.view(vehicle, &Hypothesis::Sound).volts(point, vehicle.black);
            for volts in [0.0, sound, 10.0 * sound, sound / 10.0, -sound, vehicle.nominal.0 * 1.06] {
                let shown = sheet.shows(Volts(volts.clamp(-60.0, 60.0)));
                let complaint = Observation {
                    subject: load,
                    sign: DEAD,
                    state: state.clone(),
                    channel: Channel::OnSite,
                    symptom: Symptom::Present,
                };
                let reading = Reading {
                    probe: Probe::voltage(point, vehicle.black),
                    measured: Measured::Volts(Typed { value: shown, step: sheet.step(shown) }),
                    meter: MeterKind::Cheap,
                    state: state.clone(),
                    symptom: Symptom::Present,
                    channel: Channel::OnSite,
                    moment: 0,
                    agreed: 0,
                };
                let evidence =
                    Evidence { observations: vec![complaint], readings: vec![reading], ..Evidence::default() };
                let good = engine.posterior(&evidence).expect("solvable").proved_good(&engine.tables().belief);
                scanned += 1;
                let names: Vec<&str> = good.iter().map(|&part| vehicle.part(part).name.as_str()).collect();
                if !names.is_empty() {
                    let (load, point) = (&vehicle.part(load).name, vehicle.point(point).name());
                    cleared.push(format!("{sample}: dead {load}, {point} {shown}: {}", names.join(", ")));
                }
            }
        }
    }
    assert!(scanned > 1000, "{scanned}");
    assert!(cleared.is_empty(), "{} of {scanned} prove something good:\n{}", cleared.len(), cleared.join("\n"));
}
