//! Where the leads go: on a negative near the work, whose place is opened once, is
//! paid for and is told; twelve volts or nothing before millivolts; and no answer that
//! leaves things as they are.

use crate::played::{DEAD, engine, fresh};
use halfsplit::belief::{Evidence, Symptom};
use halfsplit::case::{Case, Entry};
use halfsplit::files::built_in_tables;
use halfsplit::meter::MeterKind;
use halfsplit::plan::{Advice, Next, Situation, Test};
use halfsplit::predict::{Hypothesis, Probe};
use halfsplit::quantity::{Measured, Typed, Volts};
use halfsplit::vehicle::returns::return_bars;
use halfsplit::vehicle::trace::{feed_and_return, settings_for};
use halfsplit::vehicle::{PartId, PlaceId, PointId, Reach, State, Vehicle};
use halfsplit::words;
use halfsplit::words::document::on_screen;

const SAMPLES: [&str; 3] = ["clinic_van", "sprayer_truck", "bench_board"];
/// Tests that are followed in each case.
const FOLLOWED: usize = 4;
/// An outcome as likely as this is met every few readings.
const LIKELY: f64 = 0.15;

/// Each load of each sample is said to be dead, and what is advised then is followed a
/// few steps, every reading as it would be if all were well.
fn followed(mut each: impl FnMut(&str, &Case, PartId, &Advice)) {
    for sample in SAMPLES {
        let vehicle = engine(sample).vehicle().clone();
        for load in vehicle.loads() {
            let mut case = fresh(sample);
            let settings = settings_for(&vehicle, &State::rest(&vehicle), load);
            let said = Entry::Observe { settings, subject: load, sign: DEAD };
            if case.add(said).is_err() {
                continue;
            }
            for _ in 0..FOLLOWED {
                let Next::Test(advice) = case.assessment().next.clone() else { break };
                each(sample, &case, load, &advice);
                let answer = match advice.test {
                    Test::Measure(probe @ Probe::Voltage { .. }) => {
                        let sound = advice.sound.expect("what is sound");
                        let middle = Typed { value: Volts(0.5 * (sound.low + sound.high)), step: Volts(0.001) };
                        let (settings, measured) = (advice.settings.clone(), Measured::Volts(middle));
                        Entry::Read { settings, probe, measured, symptom: Symptom::Present }
                    }
                    test => Entry::Unwanted { test },
                };
                case.add(answer).unwrap_or_else(|error| panic!("{sample}: {error}"));
            }
        }
    }
}

fn volts(advice: &Advice) -> Option<(PointId, PointId)> {
    match advice.test {
        Test::Measure(probe) => probe.plain_voltage(),
        Test::Ask(_) | Test::Sense { .. } => None,
    }
}

fn is_open(vehicle: &Vehicle, point: PointId, opened: &[PlaceId]) -> bool {
    vehicle.point(point).places.iter().any(|place| opened.contains(place))
}

/// The black lead is on a negative: the usual one, a bar, the return of what is looked
/// at beside the work, or it makes a drop with the red one.
#[test]
fn the_black_lead_is_on_a_negative_near_the_work() {
    followed(|sample, case, load, advice| {
        let Some((red, black)) = volts(advice) else { return };
        let vehicle = case.vehicle();
        let standing = case.standing();
        let state = standing.state.with_all(&advice.settings);
        let sides = feed_and_return(vehicle, &state, load);
        let is_drop = vehicle.parts_between(red, black).next().is_some()
            || sides.iter().any(|side| side.contains(&red) && side.contains(&black));
        let is_beside = vehicle.share_a_place(red, black);
        let is_bar = return_bars(vehicle).contains(&black);
        let is_far = is_bar && (standing.black_lead == Some(black) || is_open(vehicle, black, &standing.opened));
        let is_return = sides[1].contains(&black);
        let name = |point| &vehicle.point(point).names[0];
        assert!(
            black == standing.black || is_far || is_drop || (is_beside && (is_bar || is_return)),
            "{sample}: {} {}",
            name(red),
            name(black)
        );
    });
}

/// Its place is opened, paid for and told as long as it is shut, and never again.
#[test]
fn the_black_leads_place_is_opened_once_and_told() {
    let mut opened_for_it = 0;
    followed(|sample, case, _, advice| {
        let Some((red, black)) = volts(advice) else { return };
        let (vehicle, standing) = (case.vehicle(), case.standing());
        let moves = standing.black_lead != Some(black);
        let is_shut = |point| !is_open(vehicle, point, &standing.opened);
        let paid: f64 = advice.opens.iter().map(|&place| vehicle.place(place).minutes.0).sum();
        assert!(advice.minutes.0 >= paid, "{sample}");
        if !moves || !is_shut(black) || vehicle.share_a_place(red, black) {
            return;
        }
        opened_for_it += 1;
        let opens: Vec<&PlaceId> = advice.opens.iter().filter(|&place| is_open(vehicle, black, &[*place])).collect();
        assert_eq!(opens.len(), 1, "{sample}: the place of the black lead is opened");
        let text = on_screen(&words::answer(case), 400);
        assert!(text.contains(&vehicle.place(*opens[0]).name), "{sample}: {text}");
    });
    assert!(opened_for_it > 0, "nowhere is a place opened for it");
}

/// Where it stands it stays: reading against it again opens nothing for it.
#[test]
fn a_black_lead_that_stands_costs_nothing() {
    let tables = built_in_tables().unwrap_or_else(|error| panic!("{error}"));
    for sample in SAMPLES {
        let vehicle = engine(sample).vehicle().clone();
        let (evidence, state) = (Evidence::default(), State::rest(&vehicle));
        for black in return_bars(&vehicle).into_iter().filter(|&bar| matches!(vehicle.reach(bar), Reach::At(_))) {
            for red in vehicle.point_ids().filter(|&red| red != black) {
                let test = Test::Measure(Probe::voltage(red, black));
                let new = Situation::untouched(&tables, &vehicle, &evidence, &state, &[]);
                let stands = Situation { black_lead: Some(black), ..new };
                let [new, stands] = [new, stands].map(|situation| situation.effort(&vehicle, test, &[]));
                assert!(stands.opens.iter().all(|place| is_open(&vehicle, red, &[*place])), "{sample}");
                assert!(new.minutes.0 > stands.minutes.0, "{sample}");
                assert!(new.opens.iter().any(|place| is_open(&vehicle, black, &[*place])), "{sample}");
            }
        }
    }
}

/// What is said to be dead is looked at for its volts: the likely outcomes of the first
/// measurement are a good part of the supply apart.
#[test]
fn of_what_is_dead_volts_come_before_millivolts() {
    followed(|sample, case, load, advice| {
        let is_first = case.standing().readings.is_empty();
        if !is_first || volts(advice).is_none() {
            return;
        }
        let likely = advice.outcomes.iter().filter(|outcome| outcome.probability >= LIKELY);
        let mut ranges: Vec<_> = likely.filter_map(|outcome| outcome.range()).collect();
        ranges.sort_by(|a, b| a.low.total_cmp(&b.low));
        let (Some(low), Some(high)) = (ranges.first(), ranges.last()) else { return };
        let apart = 0.5 * (high.high + high.low - low.high - low.low);
        let name = case.vehicle().part(load).name.clone();
        let enough = 0.05 * case.vehicle().nominal.0;
        assert!(ranges.len() < 2 || apart > enough, "{sample} {name}: {apart} V apart: {:?}", advice.test);
    });
}

/// Nothing is read with the same leads in the same state that has been read so.
#[test]
fn nothing_is_read_twice_the_same() {
    followed(|sample, case, _, advice| {
        let Test::Measure(probe) = advice.test else { return };
        let state = case.standing().state.with_all(&advice.settings);
        let mut readings = case.standing().evidence.readings.iter();
        assert!(!readings.any(|reading| reading.probe.is_same(probe) && reading.state == state), "{sample}");
    });
}

/// Some 10 mV between the grounds of two places are no surprise, whatever the points.
#[test]
fn millivolts_between_places_are_no_surprise() {
    let apart = built_in_tables().unwrap_or_else(|error| panic!("{error}")).spreads.ground.0;
    for sample in SAMPLES {
        let engine = engine(sample);
        let vehicle = engine.vehicle();
        let model = engine.predictor().in_state(&State::rest(vehicle)).unwrap_or_else(|error| panic!("{error}"));
        let view = model.view(vehicle, &Hypothesis::Sound);
        let theta = engine.posterior(&Evidence::default()).unwrap_or_else(|error| panic!("{error}")).theta;
        let far = |&point: &PointId| {
            !vehicle.share_a_place(point, vehicle.black)
                && vehicle.parts_between(point, vehicle.black).next().is_none()
                && matches!(vehicle.reach(point), Reach::At(_))
        };
        for point in vehicle.point_ids().filter(far) {
            let probe = Probe::voltage(point, vehicle.black);
            let shown = view.shown(probe, MeterKind::default(), 0.0, &theta);
            assert!(shown.variance().sqrt() >= apart, "{sample}: {}", vehicle.point(point).name());
        }
    }
}
