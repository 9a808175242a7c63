//! What can hurt is said before it does: words of smoke, gas or a swollen battery
//! before any test, what a test sets going before it starts, mains wiring left to
//! those licensed for it, and no new fuse into a short.

use crate::played::session;
use halfsplit::complaint::built_in_trees;
use halfsplit::plan::Next;
use halfsplit::repl::Session;
use halfsplit::vehicle::Hazard;

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
