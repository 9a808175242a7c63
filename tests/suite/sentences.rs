//! What people say is taken for what they mean, or asked about; never silently for
//! something else.

use crate::played::fresh;
use halfsplit::case::Entry;
use halfsplit::complaint::{Meaning, Meant, Trees, built_in_trees};
use halfsplit::files::sample;
use halfsplit::repl::{Command, parse};
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
    let hearing = trees.hear(vehicle, &State::rest(vehicle), said);
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
        let hearing = case.trees().hear(case.vehicle(), &case.standing().state, said);
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
