//! Complaint trees: what is wrong in a file is shown; every answer is weighed
//! once; words find their class; the phone asks for nothing it must not.

use crate::played::{fits_the_phone, fresh};
use halfsplit::belief::Engine;
use halfsplit::belief::{Appearance, Sign, Site};
use halfsplit::case::{Case, Entry};
use halfsplit::complaint::{
    Answer, Began, Channel, Extent, Kind, Meant, Odds, OfEvery, Question, Supposed, Tree, Trees, Wrong, built_in_trees,
    load_tree, trees_with,
};
use halfsplit::files::{LoadError, built_in_tables, sample};
use halfsplit::plan::{Next, Test};
use halfsplit::quantity::Minutes;
use halfsplit::source::{SourceFile, render};
use halfsplit::vehicle::sides::{Side, sides};
use halfsplit::vehicle::{LoadKind, PartId, State};
use std::fs;
use std::path::Path;
use std::rc::Rc;

fn built_in() -> Trees {
    built_in_trees().unwrap_or_else(|error| panic!("{error}"))
}

fn shown(path: &Path) -> String {
    let name = path.file_name().unwrap().to_string_lossy().into_owned();
    match load_tree(&path.to_string_lossy()) {
        Err(LoadError::Rejected { file, findings }) => {
            let file = SourceFile { path: name, ..file };
            findings.iter().map(|finding| render(&file, finding) + "\n\n").collect()
        }
        other => panic!("{name}: {other:?}"),
    }
}

#[test]
fn what_is_wrong_in_a_tree_is_shown() {
    insta::glob!("../data/bad_trees", "*.ron", |path| insta::assert_snapshot!(shown(path)));
}

/// Every wording of a tree leads to it, or is asked about, said of a thing that it is about.
#[test]
fn every_wording_finds_its_tree() {
    let trees = built_in();
    let vehicle = sample("clinic_van").expect("a sample").expect("a vehicle").vehicle;
    let state = State::rest(&vehicle);
    for (id, tree) in trees.iter() {
        let is_such = |load: &PartId| {
            let kind = vehicle.part(*load).kind.load().map(|load| load.kind);
            // Of a load that no tree is about alone, where the tree is about any.
            kind.is_some_and(|kind| tree.loads.contains(&kind) || tree.loads.is_empty() && kind == LoadKind::Led)
        };
        let load = vehicle.loads().find(is_such).expect("such a load");
        let subject = match tree.wrong {
            Wrong::GoesFlat | Wrong::Uncharged => "house battery",
            Wrong::Blows => "F5",
            _ => vehicle.part(load).name.as_str(),
        };
        let finds = |said: &&String| {
            let hearing = trees.hear(&vehicle, &state, None, &format!("{subject} {said}"));
            !hearing.meanings.iter().any(|meaning| meaning.what == Meant::Complaint(id))
        };
        let lost: Vec<&String> = tree.said.iter().chain([&tree.class]).filter(finds).collect();
        assert!(lost.len() * 20 <= tree.said.len(), "{}: {lost:?}", tree.class);
    }
}

/// Under any fault the answers to a question add up to one, and none is sure.
#[test]
fn answers_are_chances() {
    let kinds = [Kind::Open, Kind::Resistive, Kind::Short, Kind::Stuck, Kind::Crossed, Kind::Draws, Kind::Low];
    let sides = [Side::Supply, Side::Control, Side::Return, Side::Load, Side::Elsewhere];
    for (_, tree) in built_in().iter() {
        for question in &tree.questions {
            for kind in kinds.into_iter().chain([Kind::Rating, Kind::Nothing, Kind::Undrawn]) {
                for side in sides {
                    for told in [Channel::OnSite, Channel::ByPhone] {
                        let chances =
                            question.chances(&[Supposed { kind, side, class: None, began: Began::Before }], told);
                        let sum: f64 = chances.iter().sum();
                        let least = chances.iter().copied().fold(1.0, f64::min);
                        assert!((sum - 1.0).abs() < 0.011 && least > 0.005, "{} {kind:?} {chances:?}", question.name);
                    }
                }
            }
        }
    }
}

/// From the graph alone: the feed, what switches it, the return, the load.
#[test]
fn a_part_lies_on_the_side_the_current_says() {
    let case = fresh("bench_board");
    let vehicle = case.vehicle();
    let part = |name: &str| vehicle.find_part(name).expect("a part");
    let of = |load: &str| sides(vehicle, &State::rest(vehicle), part(load));
    let lamp = of("lampA");
    let side = |sides: &[Side], name: &str| sides[part(name).index()];
    assert_eq!(
        ["FA", "SA", "JA.1", "lampA", "JA.2", "WAr", "KB.coil", "PSU"].map(|name| side(&lamp, name)),
        [
            Side::Supply,
            Side::Control,
            Side::Supply,
            Side::Load,
            Side::Return,
            Side::Return,
            Side::Elsewhere,
            Side::Supply,
        ]
    );
    let fan = vehicle.loads().map(|load| vehicle.part(load).name.clone()).find(|name| name.contains("fan"));
    let fan = of(&fan.expect("a fan"));
    assert_eq!(["KB.coil", "KB.contact"].map(|name| side(&fan, name)), [Side::Control, Side::Control]);
}

/// Two trees: one asks the same twice under one topic, one asks it once.
fn twins() -> Trees {
    let question = |name: &str| Question {
        name: name.into(),
        ask: "Which side?".into(),
        plain: Some("Which side?".into()),
        minutes: Minutes(0.5),
        trust: 0.9,
        by_phone: 0.5,
        topic: "side".into(),
        answers: ["there", "back"].map(|word| Answer { word: word.into(), says: word.into() }).to_vec(),
        odds: vec![
            Odds { kinds: vec![], at: vec![Side::Return], of: vec![], began: vec![], are: vec![0.1, 0.9] },
            Odds { kinds: vec![], at: vec![], of: vec![], began: vec![], are: vec![0.9, 0.1] },
        ],
    };
    let tree = Tree {
        class: "sides".into(),
        title: "sides".into(),
        wrong: Wrong::Dead,
        extent: Extent::One,
        loads: vec![],
        said: vec!["sides".into()],
        setup: vec![],
        questions: vec![question("one"), question("two")],
        traps: vec![],
        cautions: vec![],
        proof: vec![],
    };
    Trees::new(vec![tree], OfEvery::default())
}

/// The lamp of the board is dead, and some of the twins are answered.
fn asked(channel: Channel, answers: &[(&str, usize)]) -> Case {
    let loaded = sample("bench_board").expect("a sample").unwrap_or_else(|error| panic!("{error}"));
    let rates = built_in_tables().unwrap_or_else(|error| panic!("{error}"));
    let trees = Rc::new(twins());
    let tree = trees.find("sides").expect("a tree");
    let mut case =
        Case::new(Engine::new(Rc::new(loaded.vehicle), rates).with_trees(Rc::clone(&trees))).expect("solves");
    case.add(Entry::Helping { channel }).expect("stands");
    let subject = case.vehicle().find_part("lampA").expect("a lamp");
    let sign = Sign::Looks(Appearance::Dead);
    let settings = case.settings_for_sign(subject, sign);
    case.add(Entry::Complain { settings, subject, sign, tree }).expect("stands");
    for &(name, answer) in answers {
        let question = trees.find_question(tree, name).expect("a question");
        case.add(Entry::Answer { question, answer }).expect("stands");
    }
    case
}

fn believed(case: &Case, name: &str) -> f64 {
    case.assessment().belief.probability(Site::Part(case.vehicle().find_part(name).expect("a part")))
}

/// Prior odds of return against supply change by the ratio of the answer's
/// chances, 0.9 · 0.9 + 0.05 against 0.9 · 0.1 + 0.05, and by no more when the
/// same is turned over twice. Bayes' rule.
#[test]
fn an_answer_moves_the_odds_by_its_chances_and_once() {
    let odds = |case: &Case| believed(case, "JA.2") / believed(case, "FA");
    let before = odds(&asked(Channel::OnSite, &[]));
    let once = odds(&asked(Channel::OnSite, &[("one", 1)]));
    let twice = odds(&asked(Channel::OnSite, &[("one", 1), ("two", 1)]));
    assert!((once / before - 0.86 / 0.14).abs() < 1e-6, "{}", once / before);
    assert!((twice / once - 1.0).abs() < 1e-9, "{}", twice / once);
}

/// By phone half of these answers hold: 0.5 · 0.9 + 0.25 against 0.5 · 0.1 + 0.25.
#[test]
fn by_phone_an_answer_counts_for_less() {
    let odds = |case: &Case| believed(case, "JA.2") / believed(case, "FA");
    let moved = odds(&asked(Channel::ByPhone, &[("one", 1)])) / odds(&asked(Channel::ByPhone, &[]));
    assert!((moved - 0.70 / 0.30).abs() < 1e-6, "{moved}");
}

#[test]
fn the_last_answer_counts_and_undo_brings_the_first_back() {
    let first = believed(&asked(Channel::OnSite, &[("one", 0)]), "JA.2");
    let mut case = asked(Channel::OnSite, &[("one", 0), ("one", 1)]);
    assert!((believed(&case, "JA.2") - believed(&asked(Channel::OnSite, &[("one", 1)]), "JA.2")).abs() < 1e-12);
    case.undo().expect("an entry");
    assert!((believed(&case, "JA.2") - first).abs() < 1e-12);
}

/// A click heard at a relay counts; what was answered about it before no longer
/// does.
#[test]
fn what_is_seen_takes_the_place_of_what_was_answered() {
    let believed = |answer: Option<usize>| {
        let mut case = fresh("clinic_van");
        let tree = case.trees().find("stays-on").expect("a tree");
        let part = |case: &Case, name: &str| case.vehicle().find_part(name).expect("a part");
        let (bar, coil) = (part(&case, "bar"), part(&case, "K5.coil"));
        case.add(Entry::Complain { settings: vec![], subject: bar, sign: Sign::StaysOn, tree }).expect("stands");
        let question = case.trees().find_question(tree, "relay").expect("a question");
        if let Some(answer) = answer {
            case.add(Entry::Answer { question, answer }).expect("stands");
        }
        case.add(Entry::Observe { settings: vec![], subject: coil, sign: Sign::Silent }).expect("stands");
        case.assessment().belief.probability(Site::Part(part(&case, "K5.contact")))
    };
    assert!((believed(Some(0)) - believed(None)).abs() < 1e-12);
    assert!(believed(None) > 0.01);
}

/// Answers alone prove nothing good.
#[test]
fn answers_clear_no_part() {
    let case = asked(Channel::OnSite, &[("one", 1)]);
    assert!(case.assessment().proved_good.is_empty());
}

#[test]
fn an_answer_without_a_complaint_changes_nothing() {
    let mut case = fresh("bench_board");
    let tree = case.trees().find("dead").expect("a tree");
    let question = case.trees().find_question(tree, "onset").expect("a question");
    assert!(case.add(Entry::Answer { question, answer: 0 }).is_err());
    assert!(case.entries().is_empty());
}

/// A folder of one's own replaces a class and adds another.
#[test]
fn a_folder_adds_and_replaces() {
    let folder = std::env::temp_dir().join(format!("halfsplit-trees-{}", std::process::id()));
    fs::create_dir_all(&folder).expect("a folder");
    let dead = include_str!("../../trees/dead.ron");
    fs::write(folder.join("a.ron"), dead.replace("a load does nothing\"", "our own\"")).expect("written");
    fs::write(folder.join("b.ron"), dead.replace("class: \"dead\"", "class: \"stone-dead\"")).expect("written");
    let trees = trees_with(&folder).unwrap_or_else(|error| panic!("{error}"));
    let title = |class: &str| trees.tree(trees.find(class).expect("a class")).title.clone();
    assert_eq!((title("dead").as_str(), title("stone-dead").as_str()), ("our own", "a load does nothing"));
    assert_eq!(trees.iter().count(), built_in().iter().count() + 1);
    fs::write(folder.join("c.ron"), "Tree(").expect("written");
    assert!(trees_with(&folder).is_err());
    fs::remove_dir_all(&folder).expect("gone");
}

/// By phone: plain volts only, no place that has to be taken apart or can hurt,
/// no plug or fuse moved, and every look before any reading.
#[test]
fn the_phone_asks_for_nothing_it_must_not() {
    let mut advised = 0;
    for load in ["fridge", "pump", "vent", "lamp", "lift"] {
        let mut case = fresh("clinic_van");
        let vehicle = case.vehicle().clone();
        case.add(Entry::Helping { channel: Channel::ByPhone }).expect("stands");
        let tree = case.trees().find("dead").expect("a tree");
        let subject = vehicle.find_part(load).expect("a load");
        let sign = Sign::Looks(Appearance::Dead);
        let settings = case.settings_for_sign(subject, sign);
        case.add(Entry::Complain { settings, subject, sign, tree }).expect("stands");
        let assessment = case.assessment();
        let Next::Test(first) = &assessment.next else { panic!("{load}: no test") };
        assert!(!matches!(first.test, Test::Measure(_)), "{load}: a meter first");
        for advice in assessment.others.iter().chain([first.as_ref()]) {
            advised += 1;
            fits_the_phone(&vehicle, advice).unwrap_or_else(|why| panic!("{load}: {why}"));
        }
    }
    assert!(advised > 10, "only {advised}");
}
