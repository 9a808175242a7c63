//! Test sheets: every outcome leads somewhere, the same sheet every time, both
//! forms well-formed, and it ends in the right part as often as it says.

use crate::played::{engine, fresh};
use halfsplit::files::sample;
use halfsplit::quantity::{Measured, Typed, Volts};
use halfsplit::repl::{Outcome, Session};
use halfsplit::sheet::{Sheet, Then, Took, When, sheet};
use halfsplit::words::document::Paper;
use roxmltree::{Document, ParsingOptions};
use std::fs;
use std::sync::Mutex;

const SHEETS: [(&str, &str); 3] = [("clinic_van", "fridge"), ("sprayer_truck", "agit"), ("bench_board", "lampA")];

/// Each takes a while, so it is made once.
fn made(name: &str, load: &str) -> Sheet {
    static MADE: Mutex<Vec<(String, Sheet)>> = Mutex::new(Vec::new());
    let mut known = MADE.lock().expect("no test has panicked in here");
    if let Some((_, sheet)) = known.iter().find(|(of, _)| of == name) {
        return sheet.clone();
    }
    let engine = engine(name);
    let load = engine.vehicle().find_part(load).expect("a load");
    let made = sheet(&engine, load, 1).expect("it solves").expect("a sheet");
    known.push((name.to_string(), made.clone()));
    made
}

/// The sheet on paper.
fn written(name: &str, load: &str, paper: Paper) -> String {
    halfsplit::words::sheet(engine(name).vehicle(), &made(name, load), paper)
}

#[test]
fn pages_are_well_formed_and_hold_every_step() {
    for (name, load) in SHEETS {
        let page = written(name, load, Paper::Page);
        let options = ParsingOptions { allow_dtd: true, ..ParsingOptions::default() };
        let document = Document::parse_with_options(&page, options).unwrap_or_else(|error| panic!("{error}"));
        let list = document.descendants().find(|node| node.tag_name().name() == "ol").expect("the steps");
        let steps = list.children().filter(|node| node.tag_name().name() == "li").count();
        assert_eq!(steps, made(name, load).steps.len(), "{name}");
    }
}

/// Steps lead on, never back, each is led to once, and none is out of reach.
#[test]
fn every_step_is_reached_once() {
    for (name, load) in SHEETS {
        let sheet = made(name, load);
        let mut led_to = vec![0; sheet.steps.len()];
        for (number, step) in sheet.steps.iter().enumerate() {
            for branch in &step.branches {
                if let Then::Step(next) = branch.then {
                    assert!(next > number, "{name}: step {} leads back to {}", number + 1, next + 1);
                    led_to[next] += 1;
                }
            }
        }
        assert!(led_to[1..].iter().all(|&times| times == 1) && led_to[0] == 0, "{name}: {led_to:?}");
    }
}

/// Whatever a voltmeter shows and whatever is seen, one branch holds, and only one.
#[test]
fn every_outcome_has_one_branch() {
    for (name, load) in SHEETS {
        for (number, step) in made(name, load).steps.iter().enumerate() {
            let is_measured = step.sound.is_some();
            let shown = (-3000..3000).map(|centivolts| {
                let value = Typed { value: Volts(f64::from(centivolts) * 0.01), step: Volts(0.01) };
                Took::Shown(Measured::Volts(value))
            });
            let all_volts = step
                .branches
                .iter()
                .all(|branch| matches!(branch.when, When::Reads { scale: halfsplit::predict::Scale::Volts, .. }));
            if is_measured && all_volts {
                for took in shown {
                    let holding = step
                        .branches
                        .iter()
                        .filter(|branch| branch.when.holds(&crate::tables::built_in().instruments, &took))
                        .count();
                    assert_eq!(holding, 1, "{name}, step {}: {took:?}", number + 1);
                }
            }
            let shares: f64 = step.branches.iter().map(|branch| branch.share).sum();
            assert!((shares - 1.0).abs() < 1e-9, "{name}, step {}: {shares}", number + 1);
        }
    }
}

/// Other simulated faults than those it was made and counted with fare as it says.
#[test]
fn the_figures_hold_for_another_seed() {
    let (name, load) = SHEETS[2];
    let engine = engine(name);
    let one = made(name, load).figures;
    let load = engine.vehicle().find_part(load).expect("a load");
    let other = sheet(&engine, load, 2).expect("it solves").expect("a sheet").figures;
    let (low, high) = one.among.interval();
    let slack = high - low;
    assert!((other.among.value() - one.among.value()).abs() < slack, "{one:?} {other:?}");
    assert!(one.among.value() > 0.9 && one.first.value() <= one.among.value(), "{one:?}");
    assert!(one.tool.hits + one.among.hits <= one.tool.of);
}

/// What is set and seen does not depend on the record that is open.
#[test]
fn a_sheet_is_the_same_whatever_was_entered() {
    let loaded = sample("bench_board").expect("a sample").expect("it checks");
    let case = fresh("bench_board");
    let mut session = Session::new(case, loaded.file, loaded.warnings);
    let path = std::env::temp_dir().join(format!("halfsplit-sheet-again-{}.md", std::process::id()));
    session.handle("dead fan", 80);
    session.handle(&format!("sheet lampA {}", path.display()), 80);
    let text = fs::read_to_string(&path).expect("a sheet");
    fs::remove_file(path).expect("removed");
    assert_eq!(text, written("bench_board", "lampA", Paper::Markdown));
    assert_eq!(session.handle("sheet lampA", 80).outcome, Outcome::Failed);
    assert_eq!(session.handle("sheet nothing x.md", 80).outcome, Outcome::Failed);
    assert!(session.handle("sheet lampA x.pdf", 80).text.contains("neither `.html`"));
}
