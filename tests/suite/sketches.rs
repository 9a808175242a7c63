//! A vehicle that nobody has described: from one line, or from a few answers.

use crate::tables::built_in;
use halfsplit::files::{Loaded, parse};
use halfsplit::sketch::{Assumed, Interview, Item, Made, PROMPTS, Sketch, SketchError, sketch};
use halfsplit::source::SourceFile;
use halfsplit::vehicle::trace::way_there_and_back;
use halfsplit::vehicle::{PartKind, State};
use proptest::prelude::*;

fn loaded(sketch: &Sketch) -> Loaded {
    let file = SourceFile::new("sketch.ron".into(), sketch.text.clone());
    parse(file).unwrap_or_else(|error| panic!("{error}\n{}", sketch.text))
}

fn drawn(line: &str) -> (Sketch, Loaded) {
    let sketch = sketch(&built_in().sketch, line).unwrap_or_else(|error| panic!("{line}: {error}"));
    let loaded = loaded(&sketch);
    (sketch, loaded)
}

/// The names of the parts from the supply through the load and back.
fn way(line: &str) -> Vec<String> {
    let (sketch, loaded) = drawn(line);
    let vehicle = &loaded.vehicle;
    let load = vehicle.find_part(&sketch.load).expect("the load");
    let way = way_there_and_back(vehicle, &State::rest(vehicle), load);
    way.into_iter().map(|part| vehicle.part(part).name.clone()).collect()
}

#[test]
fn a_line_is_a_circuit_in_its_order() {
    assert_eq!(
        way("battery 12 V, fuse 15 A, 6 m cable 2.5, switch, plug, lamp 55 W, chassis"),
        ["CP", "F1/in", "F1", "F1/out", "W1", "S1", "P1.1", "P1.2", "W2", "J1", "E0", "WE", "CN"]
    );
}

/// What is said stands; what is not is usual, and is said to be.
#[test]
fn what_nobody_said_is_assumed_and_said() {
    let (whole, of_whole) = drawn("battery 24 V 150 Ah, breaker 20 A, 5 m cable 4, pump 6 A, cable 5 m 4 mm2");
    assert_eq!(whole.assumed, []);
    assert_eq!(of_whole.vehicle.nominal.0, 24.0);
    let (bare, of_bare) = drawn("lamp");
    let is = |wanted: fn(&Assumed) -> bool| bare.assumed.iter().any(wanted);
    assert!(is(|of| matches!(of, Assumed::Battery { volts: 12.0, .. })));
    assert!(is(|of| matches!(of, Assumed::Fuse { .. })) && is(|of| matches!(of, Assumed::Cable { .. })));
    assert!(is(|of| matches!(of, Assumed::Load { .. })) && is(|of| matches!(of, Assumed::Chassis)));
    assert!(of_bare.vehicle.parts.iter().any(|part| matches!(part.kind, PartKind::Fuse { .. })));
}

#[test]
fn tolerances_are_as_wide_as_stated() {
    let (_, loaded) = drawn("battery, fuse 10 A, switch, fan 40 W");
    assert!(loaded.vehicle.parts.iter().all(|part| part.spread >= built_in().sketch.spread));
}

/// With a relay the switch works its coil.
#[test]
fn a_relay_has_a_coil_with_a_switch() {
    let (_, loaded) = drawn("battery, fuse 30 A, switch, relay, 4 m cable 4, compressor 20 A");
    let vehicle = &loaded.vehicle;
    let coil = vehicle.find_part("K1.coil").expect("a coil");
    let way = way_there_and_back(vehicle, &State::rest(vehicle), coil);
    let has_switch = |part| matches!(vehicle.part(part).kind, PartKind::Switch);
    assert!(way.into_iter().any(has_switch));
}

#[test]
fn a_slip_is_told_with_its_place() {
    let said = |line: &str| sketch(&built_in().sketch, line).expect_err("a slip").to_string();
    assert!(
        said("battery 12 V, fuze 5 A, lamp")
            .starts_with("`fuze` (word 4 of the line) names no part, did you mean `fuse`?")
    );
    assert!(said("battery 48 V, lamp").contains("12 V or 24 V"));
    assert!(said("fuse 5000 A, lamp").contains("not between 0.01 and 2000 A"));
    assert!(matches!(sketch(&built_in().sketch, "battery, fuse 5 A"), Err(SketchError::NoLoad)));
    assert!(matches!(sketch(&built_in().sketch, "battery, battery, fan"), Err(SketchError::Second { .. })));
}

/// What some words became, in short.
fn short(made: &Made) -> String {
    let amount = |value: Option<f64>, unit: &str| value.map(|value| format!(" {value:.4}{unit}")).unwrap_or_default();
    let item = match &made.item {
        Item::Battery { volts, ampere_hours, lithium } => {
            let kind = if *lithium { "lithium" } else { "battery" };
            format!("{kind}{}{}", amount(*volts, "V"), amount(*ampere_hours, "Ah"))
        }
        Item::Fuse { amps } => format!("fuse{}", amount(*amps, "A")),
        Item::Breaker { amps } => format!("breaker{}", amount(*amps, "A")),
        Item::Cable { metres, mm2 } => format!("cable{}{}", amount(*metres, "m"), amount(*mm2, "mm2")),
        Item::Load { name, watts, amps, .. } => format!("{name}{}{}", amount(*watts, "W"), amount(*amps, "A")),
        Item::Source { is_solar, amps } => {
            format!("{}{}", if *is_solar { "solar" } else { "alternator" }, amount(*amps, "A"))
        }
        other => format!("{other:?}").to_lowercase(),
    };
    item.replace(".0000", "")
}

/// Typed without commas, units before or after, in other words: nothing is dropped.
#[test]
fn what_is_typed_badly_becomes_what_is_meant() {
    let typed = [
        ("battery fuse 15A switch relay lamp 55W chassis", "battery|fuse 15A|switch|relay|lamp 55W|chassis"),
        (
            "24V battery 10A fuse then 6m of 2.5mm2 wire to a toggle switch and horn, ground",
            "battery 24V|fuse 10A|cable 6m 2.5000mm2|switch|horn|chassis",
        ),
        ("Batt 12v,fuse 7,5a,red wire 3 m 1.5,blower 60w", "battery 12V|fuse 7.5000A|cable 3m 1.5000mm2|blower 60W"),
        (
            "12V 100Ah lithium battery fusible link 60 A bus bar 30A breaker windlass 400W battery negative",
            "lithium 12V 100Ah|fuse 60A|joint|breaker 30A|windlass 400W|negative",
        ),
        ("fuse 15A and switch and lamp", "fuse 15A|switch|lamp"),
        (
            "bat, master switch, fuse box 20a, 5m 4mm2, 7 pin trailer plug, 2 A tail lights",
            "battery|isolator|fuse 20A|cable 5m 4mm2|plug|lights 2A",
        ),
        (
            "battery, fuse 15 A, relay contact 30 A, coil, compressor fridge 60w, earth",
            "battery|fuse 15A|relay|fridge 60W|chassis",
        ),
        ("solar panel, battery 100 ah, fuse, usb socket, stereo 5A", "solar|battery 100Ah|fuse|socket|stereo 5A"),
        ("battery 12 V 10 AWG wire 3 ft headlight 55 W", "battery 12V|cable 0.9144m 5.2612mm2|headlight 55W"),
        ("battery > fuse 20 > furnace 120 W > clamp > earth", "battery|fuse 20A|furnace 120W|joint|chassis"),
        ("alternator 70A battery fuse 30A socket fridge", "alternator 70A|battery|fuse 30A|plug|fridge"),
        ("lamp 21W lamp 5W switch fuse 10 A", "lamp 21W|lamp 5W|switch|fuse 10A"),
    ];
    for (line, becomes) in typed {
        let (sketch, _) = drawn(line);
        let made: Vec<String> = sketch.made.iter().map(short).collect();
        assert_eq!(made.join("|"), becomes, "{line}");
    }
}

/// What nothing can be made of is said, with its nearest match.
#[test]
fn no_word_is_dropped() {
    let said = |line: &str| sketch(&built_in().sketch, line).expect_err("a slip").to_string();
    assert!(said("battery fuse 15A swich lamp").contains("did you mean `switch`?"));
    assert!(said("zorblax fridge 45 W").starts_with("`zorblax`"));
    assert!(said("battery, 15 A, lamp").starts_with("`15 A` belongs to nothing"));
    // A rating that changes nothing is told.
    let (sketch, _) = drawn("fuse 10 A, relay 40 A, lamp 21 W");
    assert!(sketch.made.iter().any(|made| made.unused == ["40 A"]));
}

/// Several loads hang on one feed, and each runs.
#[test]
fn several_loads_share_a_feed() {
    let (_, loaded) = drawn("battery 12 V, fuse 15 A, lamp 21 W, switch, fan 40 W, negative");
    let vehicle = &loaded.vehicle;
    let ways = vehicle.loads().map(|load| way_there_and_back(vehicle, &State::rest(vehicle), load).len());
    assert!(ways.into_iter().all(|parts| parts > 3));
    assert_eq!(vehicle.loads().count(), 2);
}

/// Nonsense is refused, `back` asks the last again.
#[test]
fn an_answer_is_of_what_is_asked() {
    let mut asking = Interview::default();
    asking.answer("lamp 55 W").expect("understood");
    for nonsense in ["dunno", "dead pump", "fuse 15 A", "zorblax"] {
        assert!(asking.answer(nonsense).is_err(), "{nonsense}");
    }
    let battery = asking.next();
    asking.answer("12 V").expect("understood");
    asking.back();
    assert_eq!(asking.next(), battery);
}

/// Decimal commas, units with and without a space, capitals.
#[test]
fn a_line_may_be_typed_in_a_hurry() {
    let (one, _) = drawn("Battery 12V,Fuse 7,5A,6m cable 2,5mm²,LAMP 55W");
    let (other, _) = drawn("battery 12 V, fuse 7.5 A, cable 6 m 2.5, lamp 55 W");
    let body =
        |sketch: &Sketch| sketch.text.lines().filter(|line| !line.contains("notes:")).collect::<Vec<_>>().join("\n");
    assert_eq!(body(&one), body(&other));
}

/// The questions come to the same as the line.
#[test]
fn a_few_answers_make_the_same_sketch() {
    let mut asking = Interview::default();
    for said in ["lamp 55 W", "12 V", "15 A", "6 m 2.5", "switch, plug", "chassis"] {
        assert!(asking.next().is_some());
        asking.answer(said).expect("understood");
    }
    assert_eq!(asking.next(), None);
    assert_eq!(
        asking.finish(&built_in().sketch),
        sketch(&built_in().sketch, "battery 12 V, fuse 15 A, cable 6 m 2.5, switch, plug, lamp 55 W, chassis")
    );
}

#[test]
fn a_slip_in_an_answer_is_asked_again() {
    let mut asking = Interview::default();
    let first = asking.next();
    assert!(asking.answer("lmap").is_err() && asking.answer("fuse 5 A").is_err() && asking.answer("").is_err());
    assert_eq!(asking.next(), first);
    asking.answer("lamp").expect("understood");
    for _ in 1..PROMPTS.len() {
        asking.answer("").expect("the usual");
    }
    loaded(&asking.finish(&built_in().sketch).expect("a sketch"));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Any line of known words makes a vehicle that can be loaded.
    #[test]
    fn any_line_of_known_words_loads(words in prop::collection::vec(
        prop::sample::select(vec![
            "fuse 10 A", "breaker 15 A", "3 m cable 2.5", "cable", "switch", "isolator", "relay", "plug", "joint",
        ]), 0..7),
        back in prop::collection::vec(prop::sample::select(vec!["cable 4 m 2.5", "joint", "plug", "chassis"]), 0..3),
        load in prop::sample::select(vec!["lamp 21 W", "led", "pump", "fridge", "motor 20 A", "inverter"]),
    ) {
        let line = [words, vec![load], back].concat().join(", ");
        let (sketch, loaded) = drawn(&line);
        prop_assert!(loaded.vehicle.find_part(&sketch.load).is_some());
    }

    /// Garbage is an error, never a panic.
    #[test]
    fn any_text_is_answered(text in ".{0,60}") {
        if let Ok(sketch) = sketch(&built_in().sketch, &text) {
            loaded(&sketch);
        }
    }
}
