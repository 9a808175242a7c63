//! What a vehicle's past tells: the walk at handover and past cases.

use crate::played::{engine, fresh};
use halfsplit::belief::{Because, Engine, Reading, Symptom};
use halfsplit::case::Case;
use halfsplit::case::journal::{Access, Clock, Shelf};
use halfsplit::complaint::Channel;
use halfsplit::files::{built_in_tables, sample};
use halfsplit::meter::MeterKind;
use halfsplit::plan::walk::{Leg, Scope, Under, all, left, told_of, wanted};
use halfsplit::predict::{Hypothesis, Probe};
use halfsplit::quantity::{Measured, Typed, Volts};
use halfsplit::repl::{Beginning, Session, Understanding};
use halfsplit::trial::{Conditions, Misreading, Options, PairedFigure, PlayedCase, Policy, WrongKind, report, run};
use halfsplit::vehicle::trace::{settings_for, stops};
use halfsplit::vehicle::{Reach, State};
use roxmltree::{Document, ParsingOptions};
use std::fs;
use std::path::PathBuf;
use std::rc::Rc;

/// A folder of its own, gone at the end.
struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("halfsplit-past-{name}-{}", std::process::id()));
        let _ = fs::remove_dir_all(&path);
        fs::create_dir_all(&path).expect("a folder");
        Self(path)
    }

    fn shelf(&self, day: u32) -> Shelf {
        let moment = format!("2026-11-{day:02} 12:00:00 +01:00").parse().expect("a moment");
        Shelf::new(self.0.join("cases"), "board.ron".into(), "ann".into(), Clock::Standing(moment))
    }

    /// A session on the board as it is opened on a day.
    fn session(&self, day: u32) -> Session {
        let loaded = sample("bench_board").expect("a sample").expect("it checks");
        let mut session = Session::new(fresh("bench_board"), loaded.file, loaded.warnings)
            .with_shelf(self.shelf(day), Beginning::WhenTold);
        session.heed_history(None).expect("history");
        session
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

fn said(session: &mut Session, line: &str) -> String {
    let reply = session.handle(line);
    assert_eq!(reply.outcome, Understanding::Understood, "{line}: {}", reply.text(80));
    reply.text(80)
}

/// Readings of the walk: what a sound vehicle shows, times `factor` for drops.
fn walked(engine: &Engine, factor: f64) -> Vec<Reading> {
    let vehicle = engine.vehicle();
    let read = |(state, probe): (State, Probe)| {
        let model = engine.predictor().in_state(&state).expect("it solves");
        let (red, black) = probe.points(vehicle);
        let volts = model.view(vehicle, &Hypothesis::Sound).volts(red, black);
        let value = if volts.abs() < 1.0 { volts * factor } else { volts };
        let step = MeterKind::Good.meter(&crate::tables::built_in().instruments).step(Volts(value));
        let measured = Measured::Volts(Typed { value: Volts(value), step });
        Reading {
            probe,
            measured,
            meter: MeterKind::Good,
            state,
            symptom: Symptom::Present,
            channel: Channel::default(),
            moment: 0,
            agreed: 0,
        }
    };
    all(engine.predictor()).into_iter().map(read).collect()
}

/// Every point that a probe gets at on the way of every load is in the walk.
#[test]
fn the_walk_comes_to_every_point_of_every_circuit() {
    for name in ["bench_board", "sprayer_truck"] {
        let engine = engine(name);
        let vehicle = engine.vehicle();
        let wanted = all(engine.predictor());
        let rest = State::rest(vehicle);
        let mut count = 0;
        for load in vehicle.loads() {
            let state = rest.with_all(&settings_for(vehicle, &rest, load));
            let model = engine.predictor().in_state(&state).expect("it solves");
            if !model.is_served(vehicle, load) {
                continue;
            }
            for stop in stops(vehicle, &state, load) {
                let is_there = wanted.iter().any(|(_, probe)| {
                    let (red, black) = probe.points(vehicle);
                    red == stop.point || black == stop.point
                });
                let is_reached = vehicle.reach(stop.point) != Reach::Never;
                assert!(is_there || !is_reached, "{name}: {}", vehicle.point(stop.point).name());
                count += usize::from(is_reached);
            }
        }
        assert!(count > 60, "{name}: only {count} points");
    }
}

/// The order that is told takes no longer than that of the drawing, no reading
/// is lost, and what is done is not asked for again.
#[test]
fn the_walk_takes_less_time_than_the_drawing_has_it() {
    let engine = engine("sprayer_truck");
    let (vehicle, tables) = (engine.vehicle(), engine.tables());
    let wanted = all(engine.predictor());
    let rest = State::rest(vehicle);
    let under = Under { state: &rest, opened: &[], out_of_reach: &[], done: &[] };
    let minutes = |legs: &[Leg]| legs.iter().map(|leg| leg.minutes.0).sum::<f64>();
    let legs = left(tables, vehicle, &wanted, &under);
    assert_eq!(legs.len(), wanted.len());
    let (mut drawn, mut state, mut opened) = (0.0, rest.clone(), Vec::new());
    for one in &wanted {
        let under = Under { state: &state, opened: &opened, out_of_reach: &[], done: &[] };
        let leg = left(tables, vehicle, std::slice::from_ref(one), &under).remove(0);
        drawn += leg.minutes.0;
        state = leg.state.clone();
        opened.extend(leg.opens);
    }
    assert!(minutes(&legs) <= drawn, "{} {drawn}", minutes(&legs));
    let done: Vec<(State, Probe)> = legs[..10].iter().map(|leg| (leg.state.clone(), leg.probe)).collect();
    let under = Under { state: &legs[9].state, opened: &[], out_of_reach: &[], done: &done };
    assert_eq!(left(tables, vehicle, &wanted, &under).len(), wanted.len() - 10);
}

/// The short walk is part of the whole one, takes a fraction of its time, and
/// tells nearly all of the drops; the walk of a load keeps to its circuit.
#[test]
fn the_short_walk_tells_most_in_little_time() {
    for name in ["bench_board", "sprayer_truck", "clinic_van"] {
        let engine = engine(name);
        let (vehicle, predictor, tables) = (engine.vehicle(), engine.predictor(), engine.tables());
        let rest = State::rest(vehicle);
        let under = Under { state: &rest, opened: &[], out_of_reach: &[], done: &[] };
        let minutes =
            |walk: &[(State, Probe)]| left(tables, vehicle, walk, &under).iter().map(|leg| leg.minutes.0).sum::<f64>();
        let (every, short) = (all(predictor), wanted(predictor, Scope::Short).expect("solvable"));
        assert!(short.iter().all(|reading| every.contains(reading)), "{name}");
        let told = told_of(predictor, &short).expect("solvable").told;
        println!(
            "{name}: {} of {} readings, {:.0} of {:.0} min, {:.3} told",
            short.len(),
            every.len(),
            minutes(&short),
            minutes(&every),
            told
        );
        assert!(told > 0.6 && minutes(&short) < minutes(&every).min(180.0), "{name}: {told}");
        assert!(told_of(predictor, &every).expect("solvable").told > told, "{name}");
        let load = vehicle.loads().next().expect("a load");
        let one = wanted(predictor, Scope::Of(load)).expect("solvable");
        assert!(
            !one.is_empty() && one.len() < every.len() && one.iter().all(|(state, _)| *state == one[0].0),
            "{name}"
        );
    }
}

/// A vehicle whose drops were a fifth larger than drawn at handover is expected to
/// read so, and more narrowly; left out of account, nothing has changed.
#[test]
fn a_handover_moves_and_narrows_what_is_expected() {
    let plain = engine("bench_board");
    let known = Rc::new(plain.with_handover(walked(&plain, 1.2)).expect("it solves"));
    let vehicle = plain.vehicle();
    let fan = vehicle.find_part("fan").expect("a load");
    let rest = State::rest(vehicle);
    let state = rest.with_all(&settings_for(vehicle, &rest, fan));
    let way = stops(vehicle, &state, fan);
    let (first, last) = (way[0].point, vehicle.part(fan).from);
    let probe = Probe::voltage(first, last);
    let model = plain.predictor().in_state(&state).expect("it solves");
    let drop = model.view(vehicle, &Hypothesis::Sound).volts(first, last);
    let band = |engine: &Rc<Engine>| {
        let mut case = Case::new(Rc::clone(engine)).expect("it solves");
        case.add(halfsplit::case::Entry::Set { settings: settings_for(vehicle, &rest, fan) }).expect("it solves");
        case.sound_band(&state, MeterKind::Good, probe).expect("a band")
    };
    let (before, after) = (band(&plain), band(&known));
    assert!(after.high - after.low < 0.7 * (before.high - before.low), "{before:?} {after:?}");
    let middle = 0.5 * (after.low + after.high);
    assert!(middle > 1.08 * drop && middle < 1.22 * drop, "{drop} {after:?}");
    assert!(after.low < 1.2 * drop && 1.2 * drop < after.high, "{drop} {after:?}");
}

/// The walk is kept line by line, gone on with later, and known to every case
/// after it; `handover off` is an entry and leaves it out.
#[test]
fn a_handover_is_kept_and_known_from_then_on() {
    let folder = Folder::new("kept");
    let mut session = folder.session(1);
    let text = said(&mut session, "handover");
    assert!(text.contains("Handover, next:") && text.contains("cases/board.handover"), "{text}");
    let text = said(&mut session, "40V");
    assert!(text.contains("Out of band, high !"), "{text}");
    said(&mut session, "undo");
    let count_left = |text: &str| -> usize {
        let words: Vec<&str> = text.split_whitespace().collect();
        let at = words.iter().rposition(|word| word.starts_with("left")).expect("what is left");
        words[at - 1].parse().expect("a number")
    };
    let text = said(&mut session, "handover");
    let all = count_left(&text);
    let answer = |session: &mut Session| {
        let legs = halfsplit::case::walk::walk(session.case()).expect("solvable").legs;
        let leg = legs.first().expect("a leg").clone();
        let band = session.case().sound_band(&leg.state, MeterKind::Cheap, leg.probe).expect("a band");
        said(session, &format!("{:.4}V", 0.5 * (band.low + band.high)))
    };
    let text = answer(&mut session);
    assert!(text.contains("As it should be."), "{text}");
    assert_eq!(count_left(&text), all - 1);
    answer(&mut session);
    drop(session);
    // Another day: gone on with where it was left.
    let mut session = folder.session(2);
    let known = session.heed_handover().expect("opened").expect("known");
    assert!(format!("{known:?}").contains("2 readings"), "{known:?}");
    let text = said(&mut session, "handover");
    assert_eq!(count_left(&text), all - 2);
    answer(&mut session);
    said(&mut session, "case lamp");
    assert_eq!(session.case().engine().handover().expect("known").readings().len(), 3);
    said(&mut session, "dead lampA");
    assert!(said(&mut session, "trace lampA").contains("handover"));
    said(&mut session, "handover off");
    assert!(folder.0.join("cases/lamp.ron").exists());
    let kept = fs::read_to_string(folder.0.join("cases/lamp.ron")).expect("a case");
    assert!(kept.contains("Unheeded(Handover)"), "{kept}");
    // A hunt that is in no case would be lost.
    said(&mut session, "case off");
    let refused = session.handle("handover");
    assert_eq!(refused.outcome, Understanding::Failed);
    assert!(refused.text(80).contains("keep it first"), "{}", refused.text(80));
}

/// The list to fill in has a row for each reading, in both forms.
#[test]
fn the_walk_is_printed_to_fill_in() {
    let folder = Folder::new("list");
    let mut session = folder.session(1);
    let page = folder.0.join("walk.html");
    said(&mut session, &format!("handover list {}", page.display()));
    let text = fs::read_to_string(page).expect("a list");
    let options = ParsingOptions { allow_dtd: true, ..ParsingOptions::default() };
    let document = Document::parse_with_options(&text, options).unwrap_or_else(|error| panic!("{error}"));
    let bodies = document.descendants().filter(|node| node.tag_name().name() == "tbody");
    let rows: usize = bodies.map(|body| body.children().filter(|row| row.tag_name().name() == "tr").count()).sum();
    assert_eq!(rows, wanted(session.case().predictor(), Scope::Short).expect("solvable").len());
}

/// With and without readings at handover the same faults are played, and the
/// right part is found as often.
#[test]
fn the_trial_plays_the_same_faults_with_and_without() {
    let vehicle = sample("bench_board").expect("a sample").expect("it checks").vehicle;
    let rates = built_in_tables().expect("rates");
    let conditions = Conditions {
        wrong: WrongKind::Resistance,
        misreads: Misreading::Share(0.0),
        ..Conditions::usual(&crate::tables::built_in().trial)
    };
    let options = Options {
        cases: 40,
        seed: 3,
        conditions,
        policies: vec![Policy::Ours],
        baseline: Some(Scope::All),
        threads: 1,
    };
    let outcomes = run(&vehicle, &rates, &options, || {}).expect("it solves");
    let mut right = (0, 0);
    for outcome in &outcomes {
        let is_right = |played: &Option<PlayedCase>| usize::from(played.as_ref().is_some_and(|played| played.is_right));
        right = (right.0 + is_right(&outcome.played[0]), right.1 + is_right(&outcome.informed));
        let fault = outcome.hidden.as_ref().expect("a fault").trouble.faults().next().expect("one fault").0;
        assert_eq!(fault.mode, halfsplit::tables::rates::FailureMode::HighResistance);
    }
    assert!(right.0 >= 38 && right.1 >= 38, "{right:?}");
    let paired = report(&outcomes, &options.policies, vehicle.parts.len()).paired.expect("played both ways");
    let tests = paired.pairs.iter().find(|pair| pair.figure == PairedFigure::Tests).expect("tests are compared");
    assert!((tests.with - tests.without - tests.difference.mean).abs() < 1e-9, "{tests:?}");
}

/// What was repaired is likelier to be wrong again, by what is stated; switched
/// off, the odds are as if nothing had been; the case at hand is no past case.
#[test]
fn past_repairs_raise_the_odds_and_can_be_left_out() {
    let folder = Folder::new("raise");
    let mut first = folder.session(1);
    said(&mut first, "case before");
    let plain = said(&mut first, "dead lampA");
    assert!(!plain.contains("Raised"), "{plain}");
    said(&mut first, "fixed WA");
    drop(first);
    let mut second = folder.session(3);
    let raised = said(&mut second, "dead lampA");
    let wire = second.case().vehicle().find_part("WA").expect("a part");
    let odds = |session: &Session| session.case().assessment().belief.probability(halfsplit::belief::Site::Part(wire));
    let (with, told) = (odds(&second), second.case().engine().history().to_vec());
    assert!(raised.contains("WA") && raised.contains("2 days ago (case before)"), "{raised}");
    said(&mut second, "history off");
    let without = odds(&second);
    assert!(with > 2.0 * without, "{with} {without}");
    let signs = &second.case().engine().tables().signs;
    let strongest = told.iter().filter(|raise| raise.part == wire).map(|raise| raise.factor(signs)).fold(1.0, f64::max);
    let ratio = (with / (1.0 - with)) / (without / (1.0 - without));
    assert!(ratio > 0.5 * strongest && ratio <= 1.01 * strongest, "{ratio} {strongest}");
    assert!(told.iter().any(|raise| raise.because == Because::WorkedBeside));
    // Opened again, a case's own repair is not of its past.
    let mut again = folder.session(3);
    again.open_case("before", Access::ReadOnly).expect("opened");
    assert!(again.case().engine().history().is_empty());
}

/// The comeback report tells each case and what was never measured.
#[test]
fn comebacks_are_told() {
    let folder = Folder::new("comeback");
    let mut session = folder.session(1);
    for line in ["case one", "dead lampA", "TA1 12.9", "fixed SA", "case two", "dead lampA", "fixed SA"] {
        said(&mut session, line);
    }
    let path = folder.0.join("back.md");
    said(&mut session, &format!("comeback {}", path.display()));
    let text = fs::read_to_string(&path).expect("a report");
    for words in [
        "## Case one",
        "## Case two",
        "lampA is dead",
        "SA repaired",
        "Never measured on its way",
        "## Repaired more than once",
    ] {
        assert!(text.contains(words), "{words}: {text}");
    }
    let one = text.split("## Case two").next().expect("the first case");
    let never = one.split("Never measured on its way: ").nth(1).expect("a list").lines().next().expect("a line");
    assert!(never.contains("WAr") && !never.split(", ").any(|part| part == "FA/out"), "{never}");
}
