//! What can hurt is said before it does: words of smoke, gas or a swollen battery
//! before any test, what a test sets going before it starts, mains wiring left to
//! those licensed for it, and no new fuse into a short.

use crate::played::{drawing, engine, fresh, session};
use halfsplit::belief::{Evidence, Sign};
use halfsplit::case::{Case, Entry};
use halfsplit::complaint::built_in_trees;
use halfsplit::plan::{Advice, Next, Sense, Situation, Test};
use halfsplit::repl::Session;
use halfsplit::vehicle::{Hazard, Position, State};

const WIDE: usize = 10_000;

/// Says these lines, all of which are understood; the last answer.
fn said(session: &mut Session, lines: &[&str]) -> String {
    lines.iter().map(|line| session.handle(line).text(WIDE)).last().expect("a line")
}

/// What is to be done next, with its cautions.
fn next(session: &mut Session) -> String {
    session.handle("next").text(WIDE)
}

/// Before anything else, whether or not a tree fits the rest of the words.
#[test]
fn words_of_danger_come_first() {
    let told = [
        ("complaint the fridge is dead and there is a burning smell", "cold"),
        ("complaint smoke from the inverter", "cold"),
        ("smoke comes out of the fuse board", "cold"),
        ("complaint the house battery is swollen", "neither charged nor tested"),
        ("there is a smell of gas at the heater", "bottle"),
        ("complaint I get a shock from the bench", "licensed electrician"),
    ];
    for (words, wanted) in told {
        let answer = session("clinic_van").handle(words).text(WIDE);
        let (first, rest) = answer.split_at(answer.find(wanted).unwrap_or_else(|| panic!("{words}: {answer}")));
        assert!(!first.contains("Next:") && !first.contains("witch it on"), "{words}: {first}");
        assert!(!rest.is_empty());
    }
    let trees = built_in_trees().unwrap_or_else(|error| panic!("{error}"));
    for harmless in
        ["complaint the smoke alarm is dead", "complaint the fridge is dead", "no gas comes", "hot water pump"]
    {
        assert!(trees.danger_in(harmless).is_none(), "{harmless}");
    }
}

/// A boom that is driven moves wherever the probe is; what ran at the last test runs on
/// and is not warned of again.
#[test]
fn what_a_test_sets_going_is_warned_of_once() {
    let mut session = session("sprayer_truck");
    said(&mut session, &["weak tilt"]);
    let cautions = &session.case().vehicle().cautions;
    let moves = cautions.iter().filter(|caution| caution.hazard == Hazard::Moving);
    let ram = moves.map(|caution| caution.text.clone()).find(|text| text.contains("boom")).expect("the boom moves");
    let first = next(&mut session);
    assert!(first.contains(&ram), "{first}");
    said(&mut session, &["tilt+ tilt- 20.1"]);
    let second = next(&mut session);
    assert!(second.contains("Next:") && !second.contains(&ram), "{second}");
}

/// Nobody is sent to pull at mains wiring.
#[test]
fn mains_wiring_is_left_to_those_licensed_for_it() {
    let mut session = session("clinic_van");
    said(&mut session, &["dead centrifuge", "works inverter", "idle INV"]);
    for _ in 0..12 {
        if !matches!(session.case().assessment().next, Next::Test(_)) {
            break;
        }
        session.handle("skip");
    }
    let end = next(&mut session);
    assert!(!end.contains("pull"), "{end}");
}

/// A fuse that was found open has opened for something.
#[test]
fn a_lamp_goes_in_before_a_new_fuse() {
    let mut session = session("bench_board");
    let lines = ["on SA", "dead lampA", "FA.b PSU- 0.0", "FA.a FA.b 13.0", "FA.a FA.b 13.0"];
    said(&mut session, &lines);
    let end = next(&mut session);
    assert!(matches!(session.case().assessment().next, Next::Found { .. }), "{end}");
    assert!(end.contains("`lamp FA`"), "{end}");
}

/// A fuse under nuts takes a spanner's time and a word of warning, a blade neither.
#[test]
fn a_bolted_fuse_takes_a_spanner_and_a_caution() {
    for sample in ["clinic_van", "sprayer_truck", "bench_board"] {
        let engine = engine(sample);
        let vehicle = engine.vehicle();
        let (evidence, state) = (Evidence::default(), State::rest(vehicle));
        let situation = Situation::untouched(engine.tables(), vehicle, &evidence, &state, &[]);
        let fuses = vehicle.part_ids().filter(|&part| vehicle.part(part).kind.is_fuse());
        for (control, rating) in fuses.filter_map(|fuse| {
            let part = vehicle.part(fuse);
            Some((part.gates.first()?.0, part.kind.rating()?))
        }) {
            let pulled = vehicle.control(control);
            assert!(pulled.is_bolted || rating.0 <= 100.0, "{sample} {}: no blade has {rating}", pulled.name);
            let effort = situation.settings_effort(vehicle, &[(control, Position::Off)]);
            let there: f64 = effort.opens.iter().map(|&place| vehicle.place(place).effort().0).sum();
            let by_itself = effort.minutes.0 - there - engine.tables().times.disturbs.0;
            assert_eq!(by_itself > 3.0, pulled.is_bolted, "{sample} {}: {by_itself}", pulled.name);
        }
    }
}

/// Whoever has a lamp in a fuse's place is asked whether it is bright, as it is and with
/// one thing after another off; what was told is not asked again, and parts what is off
/// from what is not.
#[test]
fn a_lamp_in_a_fuses_place_is_looked_at() {
    let mut with_something_off = 0;
    for sample in ["sprayer_truck", "bench_board"] {
        let vehicle = drawing(sample).vehicle;
        for fuse in vehicle.part_ids().filter(|&part| vehicle.part(part).kind.is_fuse()) {
            let name = &vehicle.part(fuse).name;
            let mut case = fresh(sample);
            let mut lamp = session(sample);
            said(&mut lamp, &[&format!("blows {name}"), &format!("lamp {name}")]);
            lamp.case().entries().iter().for_each(|entry| case.add(entry.clone()).expect("stands"));
            let looks = lamps(&case);
            let Some(look) = looks.iter().find(|advice| !advice.settings.is_empty()) else { continue };
            with_something_off += 1;
            let told = |sign: Sign| {
                let mut case = fresh(sample);
                lamp.case().entries().iter().for_each(|entry| case.add(entry.clone()).expect("stands"));
                let settings = look.settings.clone();
                case.add(Entry::Observe { settings, subject: fuse, sign }).expect("stands");
                case
            };
            let [bright, dark] = [Sign::LampBright, Sign::LampDim].map(told);
            let first = |case: &Case| case.assessment().belief.suspects.first().map(|one| (one.site, one.probability));
            assert_ne!(first(&bright), first(&dark), "{sample} {name}");
            let state = &dark.standing().state;
            let again = lamps(&dark).into_iter().any(|advice| state.with_all(&advice.settings) == *state);
            assert!(!again, "{sample} {name}: told already");
        }
    }
    assert!(with_something_off > 3, "{with_something_off}");
}

/// The looks at such a lamp among what is advised.
fn lamps(case: &Case) -> Vec<Advice> {
    let first = match &case.assessment().next {
        Next::Test(advice) => Some(&**advice),
        _ => None,
    };
    let all = first.into_iter().chain(&case.assessment().others);
    all.filter(|advice| matches!(advice.test, Test::Sense { sense: Sense::Lamp, .. })).cloned().collect()
}
