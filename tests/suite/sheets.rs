//! Test sheets: every outcome leads somewhere, the same sheet every time, both
//! forms well-formed, and it ends in the right part as often as it says.

use crate::played::{engine, fresh};
use halfsplit::files::sample;
use halfsplit::predict::Scale;
use halfsplit::quantity::{Measured, Typed, Volts};
use halfsplit::repl::{Session, Understanding};
use halfsplit::sheet::{SheetBranch, TestSheet, Then, Took, When, sheet};
use halfsplit::words::document::Paper;
use roxmltree::{Document, ParsingOptions};
use std::fs;

/// A sheet with the vehicle that it is for.
fn made(name: &str, load: &str, seed: u64) -> TestSheet {
    let engine = engine(name);
    let load = engine.vehicle().find_part(load).expect("a load");
    sheet(&engine, load, seed).expect("it solves").expect("a sheet")
}

/// The sheet on paper.
fn written(name: &str, sheet: &TestSheet, paper: Paper) -> String {
    halfsplit::words::sheet(engine(name).vehicle(), sheet, paper)
}

/// Both forms hold every step once, and the page is well-formed; every branch is
/// told once, but for what is met by misreading alone.
fn is_written_whole(name: &str, sheet: &TestSheet) {
    let page = written(name, sheet, Paper::Page);
    let options = ParsingOptions { allow_dtd: true, ..ParsingOptions::default() };
    let document = Document::parse_with_options(&page, options).unwrap_or_else(|error| panic!("{error}"));
    let list = document.descendants().find(|node| node.tag_name().name() == "ol").expect("the steps");
    let steps = list.children().filter(|node| node.tag_name().name() == "li").count();
    assert_eq!(steps, sheet.steps.len(), "{name}");
    let text = written(name, sheet, Paper::Markdown);
    let steps = text.split("## Steps").nth(1).and_then(|rest| rest.split("## ").next()).expect("the steps");
    let is_branch = |line: &&str| line.starts_with(' ') && line.trim_start().starts_with("- ");
    let branches = sheet.steps.iter().flat_map(|step| &step.branches);
    let told = branches.filter(|branch| branch.then != Then::Tool(Vec::new())).count();
    assert_eq!(steps.lines().filter(is_branch).count(), told, "{name}: {steps}");
}

/// Steps lead on, never back, each is led to once, and none is out of reach.
fn leads_on(name: &str, sheet: &TestSheet) {
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

/// Whatever a voltmeter shows and whatever is seen, one branch holds, and only one.
fn holds_every_outcome_once(name: &str, sheet: &TestSheet) {
    for (number, step) in sheet.steps.iter().enumerate() {
        let is_volts = |branch: &SheetBranch| matches!(branch.when, When::Reads { scale: Scale::Volts, .. });
        if step.sound.is_some() && step.branches.iter().all(is_volts) {
            for centivolts in -3000..3000 {
                let value = Typed { value: Volts(f64::from(centivolts) * 0.01), step: Volts(0.01) };
                let took = Took::Shown(Measured::Volts(value));
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

/// Making a sheet takes a while, so each is made once and held against all.
fn holds(name: &str, load: &str) {
    let sheet = made(name, load, 1);
    assert!(sheet.steps.len() > 5, "{name}: {} steps", sheet.steps.len());
    is_written_whole(name, &sheet);
    leads_on(name, &sheet);
    holds_every_outcome_once(name, &sheet);
}

#[test]
fn a_sheet_of_the_van() {
    holds("clinic_van", "fridge");
}

#[test]
fn a_sheet_of_the_truck() {
    holds("sprayer_truck", "agit");
}

#[test]
fn a_sheet_of_the_board() {
    holds("bench_board", "lampA");
}

/// Other simulated faults than those it was made and counted with fare as it says.
#[test]
fn the_figures_hold_for_another_seed() {
    let [one, other] = [1, 2].map(|seed| made("bench_board", "lampA", seed).figures);
    let (low, high) = one.among.interval();
    // Two sheets that each differ: half as much again as one of them.
    let slack = 1.5 * (high - low);
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
    session.handle("dead fan");
    session.handle(&format!("sheet lampA {}", path.display()));
    let text = fs::read_to_string(&path).expect("a sheet");
    fs::remove_file(path).expect("removed");
    assert_eq!(text, written("bench_board", &made("bench_board", "lampA", 1), Paper::Markdown));
    assert_eq!(session.handle("sheet lampA").outcome, Understanding::Failed);
    assert_eq!(session.handle("sheet nothing x.md").outcome, Understanding::Failed);
    assert!(session.handle("sheet lampA x.pdf").text(80).contains("neither `.html`"));
}
