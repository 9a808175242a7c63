//! What people say is taken for what they mean, or asked about; never silently for
//! something else.

use crate::played::{fresh, session};
use halfsplit::belief::Sign;
use halfsplit::case::{Case, Entry};
use halfsplit::complaint::{Meaning, Meant, Trees, built_in_trees};
use halfsplit::files::sample;
use halfsplit::repl::{Command, CommandError, Understanding, parse};
use halfsplit::vehicle::{State, Vehicle};
use std::fmt::Write;

/// Vehicle, classes, things and the sentence, apart by tabs; what they mean stands at
/// the head of the file.
const SENTENCES: &str = include_str!("../data/sentences.tsv");
/// Of all sentences, how many are understood at least.
const RIGHT: f64 = 0.92;

#[derive(Debug, Clone, Copy, PartialEq)]
enum Outcome {
    Right,
    Asked,
    Wrong,
}

fn class<'t>(trees: &'t Trees, meaning: &Meaning) -> &'t str {
    match meaning.what {
        Meant::Complaint(tree) => &trees.tree(tree).class,
        Meant::Sign(sign) => &trees.lexicon().signs[sign].verb,
    }
}

/// What became of a sentence, and in words.
fn heard(trees: &Trees, vehicle: &Vehicle, classes: &str, things: &str, said: &str) -> (Outcome, String) {
    let hearing = trees.hear(vehicle, &State::rest(vehicle), None, said);
    let names = |meaning: &Meaning| {
        let mut names: Vec<&str> = meaning.subjects.iter().map(|&part| vehicle.part(part).name.as_str()).collect();
        names.sort_unstable();
        names.join("+")
    };
    let told: Vec<String> =
        hearing.meanings.iter().map(|one| format!("{} {}", class(trees, one), names(one))).collect();
    let told = format!("{told:?} {:?} {:?} {:?}", hearing.strange, hearing.unused, hearing.mended);
    let asks = classes.split('|').chain(things.split('|')).any(|word| word == "asks");
    let outcome = match &hearing.meanings[..] {
        [only] if hearing.is_sure => {
            let is_class = classes.split('|').any(|wanted| wanted == class(trees, only));
            let sorted = |things: &str| {
                let mut things: Vec<&str> = things.split('+').collect();
                things.sort_unstable();
                things.join("+")
            };
            let is_thing = things.split('|').any(|wanted| wanted == "*" || sorted(wanted) == names(only));
            if is_class && is_thing { Outcome::Right } else { Outcome::Wrong }
        }
        _ if asks => Outcome::Right,
        _ => Outcome::Asked,
    };
    (outcome, told)
}

#[test]
fn what_people_say_is_understood_or_asked_about() {
    let trees = built_in_trees().expect("trees");
    let vehicles = [("van", "clinic_van"), ("truck", "sprayer_truck"), ("bench", "bench_board")]
        .map(|(word, name)| (word, sample(name).expect("a sample").expect("loads").vehicle));
    let (mut right, mut all, mut missed) = (0, 0, String::new());
    for line in SENTENCES.lines().filter(|line| !line.is_empty() && !line.starts_with('#')) {
        let [word, classes, things, said] = line.split('\t').collect::<Vec<_>>()[..] else { panic!("{line}") };
        let vehicle = &vehicles.iter().find(|(name, _)| *name == word).expect("a vehicle").1;
        let (outcome, told) = heard(&trees, vehicle, classes, things, said);
        all += 1;
        match outcome {
            Outcome::Right => right += 1,
            other => writeln!(missed, "{other:?} [{word}] {said} = {classes} {things}: {told}").expect("a line"),
        }
    }
    println!("{right} of {all}\n{missed}");
    assert!(!missed.lines().any(|line| line.starts_with("Wrong")), "silently wrong:\n{missed}");
    assert!(f64::from(right) >= RIGHT * f64::from(all), "{right} of {all}:\n{missed}");
    assert!(all >= 300);
}

/// A sentence alone at the prompt is taken as the same said after `complaint`, or refused:
/// none of its words makes another command of it.
#[test]
fn a_sentence_alone_is_no_other_command() {
    let cases = [("van", "clinic_van"), ("truck", "sprayer_truck"), ("bench", "bench_board")]
        .map(|(word, name)| (word, fresh(name)));
    let mut otherwise = String::new();
    let (mut heard, mut all) = (0, 0);
    for line in SENTENCES.lines().filter(|line| !line.is_empty() && !line.starts_with('#')) {
        let [word, _, _, said] = line.split('\t').collect::<Vec<_>>()[..] else { panic!("{line}") };
        let case = &cases.iter().find(|(name, _)| *name == word).expect("a vehicle").1;
        let hearing = case.trees().hear(case.vehicle(), &case.standing().state, None, said);
        all += 1;
        match parse(said, case) {
            Ok(Command::Heard { hearing: alone, .. }) if *alone == hearing => heard += 1,
            Ok(Command::Enter(Entry::Observe { subject, .. }))
                if hearing.meanings.iter().any(|meaning| meaning.subjects.contains(&subject)) =>
            {
                heard += 1;
            }
            Ok(other) => writeln!(otherwise, "{said}: {other:?}").expect("a line"),
            Err(_) => {}
        }
    }
    assert!(otherwise.is_empty(), "{otherwise}");
    assert!(heard * 10 >= all * 8, "{heard} of {all}");
}

/// What a line alone may mean, as class and things, and whether that is sure.
fn meanings(case: &Case, line: &str) -> (Vec<String>, bool) {
    let Ok(Command::Heard { hearing, .. }) = parse(line, case) else { panic!("{line}: {:?}", parse(line, case)) };
    let names = |meaning: &Meaning| -> Vec<&str> {
        meaning.subjects.iter().map(|&part| case.vehicle().part(part).name.as_str()).collect()
    };
    let told = |meaning: &Meaning| format!("{} {}", class(case.trees(), meaning), names(meaning).join("+"));
    let mut all: Vec<String> = hearing.meanings.iter().map(told).collect();
    all.sort_unstable();
    (all, hearing.is_sure)
}

/// What a line alone says was seen of a part.
fn seen(case: &Case, line: &str) -> (String, Sign) {
    match parse(line, case) {
        Ok(Command::Enter(Entry::Observe { subject, sign, .. })) => (case.vehicle().part(subject).name.clone(), sign),
        other => panic!("{line}: {other:?}"),
    }
}

/// The van with something entered.
fn van_after(line: &str) -> Case {
    let mut case = fresh("clinic_van");
    let Ok(Command::Enter(entry)) = parse(line, &case) else { panic!("{line}") };
    case.add(entry).expect("stands");
    case
}

#[test]
fn a_fridge_that_is_not_cold_is_dead_or_weak() {
    let case = fresh("clinic_van");
    for line in ["fridge isnt cold", "the fridge is not cold", "fridge wont get cold", "freezer is warm"] {
        assert_eq!(
            meanings(&case, line),
            (vec!["dead fridge".to_string(), "weak fridge".to_string()], false),
            "{line}"
        );
    }
    // Nothing else cools.
    assert_eq!(meanings(&case, "not cooling").0, ["dead fridge"]);
}

#[test]
fn what_is_no_exact_command_is_tried_as_a_sentence() {
    let (van, board) = (fresh("clinic_van"), fresh("bench_board"));
    assert_eq!(meanings(&van, "nothing works"), (vec!["several ".to_string()], true));
    assert_eq!(meanings(&board, "lamp A works"), (vec!["works lampA".to_string()], true));
    // A slip in a command stays one, and what means nothing keeps the command's error.
    for line in ["dead frigde", "lamp fridgee"] {
        assert!(parse(line, &van).is_err(), "{line}: {:?}", parse(line, &van));
    }
}

#[test]
fn it_is_what_was_complained_of() {
    let case = van_after("dead fridge");
    assert_eq!(meanings(&case, "it is dead"), (vec!["dead fridge".to_string()], true));
    assert_eq!(meanings(&case, "it works now"), (vec!["works fridge".to_string()], true));
    // Another word may be another thing.
    assert!(!meanings(&case, "the toaster is dead").1);
    assert!(parse("it is dead", &fresh("clinic_van")).is_err());
}

#[test]
fn what_is_seen_of_a_part_is_taken_in_plain_words() {
    let (van, board) = (fresh("clinic_van"), fresh("bench_board"));
    let cases = [
        (&board, "FB1 looks whole", "FB1", Sign::LooksWhole),
        (&board, "fuse FB1 is blown", "FB1", Sign::LooksBlown),
        (&van, "relay K3 clicks", "K3.coil", Sign::Clicks),
        (&van, "K3 is silent", "K3.coil", Sign::Silent),
    ];
    for (case, line, part, sign) in cases {
        assert_eq!(seen(case, line), (part.to_string(), sign), "{line}");
    }
    assert_eq!(meanings(&board, "FB1 looks fine"), (vec!["whole FB1".to_string()], true));
    // Which fuse is asked, with the ones of what is complained of where something is.
    assert!(matches!(parse("the fuse is blown", &van), Err(CommandError::OfWhat { .. })));
    assert!(meanings(&van_after("dead fridge"), "the fuse is blown").0.contains(&"blown FC1".to_string()));
}

#[test]
fn a_name_is_no_slip_for_another_name() {
    let board = fresh("bench_board");
    for line in ["FB1", "FB1 glorious", "dead FB1", "clicks FB1"] {
        match parse(line, &board) {
            Err(CommandError::SaidNothing { word }) => assert_eq!(word, "FB1"),
            Err(CommandError::NoSuch { near, .. } | CommandError::Unknown { near, .. }) => {
                assert_eq!(near, None, "{line}")
            }
            other => panic!("{line}: {other:?}"),
        }
    }
}

#[test]
fn a_number_after_a_kind_is_of_a_name_that_ends_in_it() {
    let case = fresh("clinic_van");
    let both = vec!["blows F7".to_string(), "blows FC7".to_string()];
    assert_eq!(meanings(&case, "fuse 7 keeps blowing"), (both.clone(), false));
    assert_eq!(meanings(&case, "complaint fuse 7 keeps blowing"), (both, false));
    assert_eq!(meanings(&case, "fuse 17 keeps blowing"), (vec!["blows FC17".to_string()], true));
    assert_eq!(meanings(&case, "battery 2 goes flat"), (vec!["flat B2".to_string()], true));
}

#[test]
fn one_other_thing_is_offered_as_that() {
    let mut session = session("clinic_van");
    let asked = session.handle("none of the cab lights work");
    assert_eq!(asked.outcome, Understanding::Failed);
    let text = asked.text(200);
    assert!(text.contains("cab lights") && text.contains("`1`"), "{text}");
    assert_eq!(session.handle("1").outcome, Understanding::Understood);
}
