//! Numbers stand in tables, one row a value and its source. What is a constant
//! in the code says in its comment what it is from.

use std::fs;
use std::path::{Path, PathBuf};

/// What the comment of a constant can begin with.
const ORIGINS: [&str; 5] = [
    // Guards of the arithmetic and of memory: no belief hangs on them.
    "Numerical:",
    // Widths and lengths of what is written.
    "Layout:",
    // What a file, a unit or a type fixes.
    "Format:",
    // Streams of chance.
    "Seed:",
    // Published, with the place.
    "From:",
];

/// Types of which a constant is a number.
const NUMBERS: [&str; 18] = [
    "f64", "f32", "usize", "u8", "u16", "u32", "u64", "i32", "i64", "Volts", "Amps", "Ohms", "Siemens", "Watts",
    "Metres", "Minutes", "Celsius", "Duration",
];

/// Files whose numbers are still to be moved. None is added.
const STILL_TO_DO: &[&str] = &[
    "case/drain.rs",
    "case/journal/disk.rs",
    "case/journal/line.rs",
    "case/past.rs",
    "case/proof/choose.rs",
    "case/steps.rs",
    "files/supplies.rs",
    "main/lesson.rs",
    "main/trial.rs",
    "network/assembly.rs",
    "network/curve.rs",
    "network/dead.rs",
    "repl/papers.rs",
    "repl/run.rs",
    "sheet/count.rs",
    "sheet/cuts.rs",
    "sheet/grow.rs",
    "sheet/herd.rs",
    "sketch/assumed.rs",
    "sketch/usual.rs",
    "training/attempt/judging.rs",
    "training/attempt/mod.rs",
    "training/curtain.rs",
    "training/debrief.rs",
    "training/instrument.rs",
    "training/lesson.rs",
    "training/marks.rs",
    "training/policy.rs",
    "training/price.rs",
    "trial/answer.rs",
    "trial/baseline.rs",
    "trial/complaint.rs",
    "trial/draw.rs",
    "trial/drive.rs",
    "trial/figures.rs",
    "trial/generate.rs",
    "trial/optimum/at_hand.rs",
    "trial/optimum/endgame.rs",
    "trial/optimum/search.rs",
    "trial/paired.rs",
    "trial/path.rs",
    "trial/played.rs",
    "trial/world/parts.rs",
    "trial/world/readings.rs",
    "trial/world/senses.rs",
    "words/document/page.rs",
    "words/past.rs",
    "words/proof.rs",
    "words/report/chart.rs",
    "words/report/circuit.rs",
    "words/report/hunt.rs",
    "words/report/phrases.rs",
    "words/report/proof.rs",
    "words/segment.rs",
    "words/training/marks.rs",
    "words/trial.rs",
];

fn sources(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).expect("src") {
        let path = entry.expect("a file").path();
        if path.is_dir() {
            sources(&path, found);
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            found.push(path);
        }
    }
}

/// Names of the numeric constants of a text that do not say what they are from.
fn silent(text: &str) -> Vec<String> {
    let text = text.split("#[cfg(test)]\nmod ").next().unwrap_or("");
    let mut silent = Vec::new();
    let mut comment: Vec<&str> = Vec::new();
    for line in text.lines() {
        let line = line.trim();
        if let Some(said) = line.strip_prefix("///") {
            comment.push(said.trim());
            continue;
        }
        if line.starts_with("#[") {
            continue;
        }
        let words: Vec<&str> = line.split_whitespace().collect();
        let keyword = words.iter().position(|&word| word == "const" || word == "static");
        let declared = keyword.filter(|&at| at == 0 || words[0].starts_with("pub")).and_then(|at| {
            let declared = words[at + 1..].join(" ");
            let (name, rest) = declared.split_once(": ")?;
            let kind = rest.split(" =").next()?;
            let mut parts = kind.split(|c: char| !c.is_alphanumeric() && c != '_');
            (!name.contains('(') && parts.any(|part| NUMBERS.contains(&part)) && !kind.contains("str"))
                .then(|| name.to_string())
        });
        if let Some(name) = declared {
            let says = comment.first().is_some_and(|first| ORIGINS.iter().any(|origin| first.starts_with(origin)));
            if !says {
                silent.push(name);
            }
        }
        comment.clear();
    }
    silent
}

#[test]
fn every_number_in_the_code_says_what_it_is_from() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut files = Vec::new();
    sources(&root, &mut files);
    files.sort();
    let mut wrong: Vec<String> = Vec::new();
    for path in files {
        let name = path.strip_prefix(&root).expect("below src").to_string_lossy().into_owned();
        if name.starts_with("tables/") {
            continue;
        }
        let silent = silent(&fs::read_to_string(&path).expect("readable"));
        match (silent.is_empty(), STILL_TO_DO.contains(&name.as_str())) {
            (false, false) => wrong.push(format!("{name}: {silent:?} do not say what they are from: {ORIGINS:?}")),
            (true, true) => wrong.push(format!("{name} is done: strike it off the list")),
            _ => {}
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn a_constant_without_its_origin_is_found() {
    assert_eq!(silent("/// How many.\nconst MOST: usize = 4;\n"), ["MOST"]);
    assert_eq!(silent("const ODD: (f64, f64) = (0.1, 0.05);\n"), ["ODD"]);
    assert_eq!(silent("impl X {\n    pub(super) const FEW: Ohms = Ohms(1.0);\n}\n"), ["FEW"]);
    assert!(silent("/// Numerical: so many rounds.\nconst MOST: usize = 4;\n").is_empty());
    assert!(silent("const WORDS: [&str; 2] = [\"a\", \"b\"];\nconst fn f(a: f64) {}\n").is_empty());
}
