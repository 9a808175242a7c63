//! Bad vehicle files: every error at once, each with its place and what to do.

use halfsplit::files::{LoadError, SAMPLES, load, parse};
use halfsplit::source::{Diagnostic, Severity, SourceFile, render};
use proptest::prelude::*;
use std::path::Path;

/// What a person is shown, with the file's own name for its path.
fn shown(path: &Path) -> String {
    let name = path.file_name().unwrap().to_string_lossy().into_owned();
    let (file, findings) = match load(&path.to_string_lossy()) {
        Ok(loaded) => (loaded.file, loaded.warnings),
        Err(LoadError::Rejected { file, findings }) => (file, findings),
        Err(LoadError::Read { source, .. }) => panic!("{name}: {source}"),
    };
    let file = SourceFile { path: name, ..file };
    findings.iter().map(|finding| render(&file, finding) + "\n\n").collect()
}

fn findings_of(text: &str) -> (SourceFile, Vec<Diagnostic>) {
    match parse(SourceFile::new("test.ron".to_string(), text.to_string())) {
        Ok(loaded) => (loaded.file, loaded.warnings),
        Err(LoadError::Rejected { file, findings }) => {
            assert!(findings.iter().any(|finding| finding.severity == Severity::Error), "rejected without a word");
            (file, findings)
        }
        Err(error @ LoadError::Read { .. }) => panic!("{error}"),
    }
}

#[test]
fn what_is_wrong_is_shown() {
    insta::glob!("../data/bad_files", "*.ron", |path| insta::assert_snapshot!(shown(path)));
}

#[test]
fn samples_have_no_findings() {
    for (name, text) in SAMPLES {
        let (_, findings) = findings_of(text);
        assert!(findings.is_empty(), "{name}: {findings:?}");
    }
}

#[test]
fn line_ends_and_byte_order_mark_make_no_difference() {
    let good = include_str!("../data/bad_files/two_slips_in_one_part.ron");
    let (_, expected) = findings_of(good);
    let (file, found) = findings_of(&format!("\u{feff}{}", good.replace('\n', "\r\n")));
    assert_eq!(found.len(), expected.len());
    for (found, expected) in found.iter().zip(&expected) {
        assert_eq!(found.headline, expected.headline);
        let shown = render(&file, found);
        assert!(shown.contains("test.ron:17:") && !shown.contains('\r'), "{shown}");
    }
}

#[test]
fn paths_that_lead_to_no_file() {
    let says = |path: &str| load(path).unwrap_err().to_string();
    let folder = env!("CARGO_MANIFEST_DIR");
    assert_eq!(
        says("no/such.ron"),
        "expected a file at `no/such.ron`, but there is none: check the name and the folder"
    );
    assert_eq!(says(folder), format!("expected a file, but `{folder}` is a folder: name the file in it"));
}

/// A character lost or typed twice spoils its neighbourhood alone: what is said
/// is said of its line, or of the end of the line before.
#[test]
fn one_slip_gives_few_findings_and_at_its_line() {
    let (_, text) = SAMPLES[2];
    let line_of = |text: &str, at: usize| text[..at].matches('\n').count() + 1;
    for (at, mark) in text.char_indices().filter(|(_, c)| "()[]{},:\"".contains(*c)) {
        for instead in ["", &format!("{mark}{mark}")] {
            let slipped = format!("{}{instead}{}", &text[..at], &text[at + 1..]);
            let (file, findings) = findings_of(&slipped);
            let line = line_of(text, at);
            assert!(findings.len() <= 2, "`{instead}` for `{mark}` in line {line}: {findings:#?}");
            for finding in &findings {
                let found = line_of(&file.text, finding.span.expect("a place").start);
                assert!(found == line || found + 1 == line, "`{instead}` for `{mark}` in line {line}: {finding:#?}");
            }
        }
    }
}

/// Two slips far from each other are told together, whatever the first is.
#[test]
fn a_slip_does_not_hide_one_in_another_entry() {
    let (_, text) = SAMPLES[2];
    let other = text.rfind("style: Rocker").expect("a switch");
    let text = format!("{}style: Rokcer{}", &text[..other], &text[other + "style: Rocker".len()..]);
    let first_run = text.find("runs: [").expect("runs");
    let early = first_run + text[first_run..].find("Run(").expect("a run");
    for mark in ["(", "\"", ":", ",", "[", "]", ")"] {
        let at = early + text[early..].find(mark).expect("a mark");
        let (_, findings) = findings_of(&format!("{}{}", &text[..at], &text[at + 1..]));
        assert!(findings.iter().any(|finding| finding.headline.contains("`Rokcer`")), "`{mark}`: {findings:#?}");
        assert!(findings.len() > 1, "`{mark}`: {findings:#?}");
    }
}

/// Garbage is given up at once: time grows with the text and not faster.
#[test]
fn long_garbage_takes_no_time() {
    for piece in
        ["(", "[", ")", "]", "(]", "x(", "x(a:", "[,,", "\"", "\"a\"a", "-", "a:", "name: \"x\",", "/*", "Run(\n", "'"]
    {
        for head in ["", "Vehicle(", "Vehicle(\n    runs: ["] {
            let started = std::time::Instant::now();
            let (_, findings) = findings_of(&format!("{head}{}", piece.repeat(50_000)));
            assert!(!findings.is_empty() && started.elapsed().as_secs() < 20, "`{head}{piece}…`");
        }
    }
}

/// Changes that slips of the hand and of editors make, and worse.
#[derive(Debug, Clone)]
enum Change {
    Delete { at: usize, length: usize },
    Insert { at: usize, text: String },
    Replace { at: usize, length: usize, text: String },
    SwapLines { one: usize, other: usize },
}

impl Change {
    fn apply(&self, text: &str) -> String {
        let boundary = |at: usize| (0..=at % (text.len() + 1)).rev().find(|&at| text.is_char_boundary(at)).unwrap_or(0);
        let (at, end, insert) = match self {
            Self::Delete { at, length } => (boundary(*at), boundary(at + length), ""),
            Self::Insert { at, text } => (boundary(*at), boundary(*at), text.as_str()),
            Self::Replace { at, length, text } => (boundary(*at), boundary(at + length), text.as_str()),
            Self::SwapLines { one, other } => {
                let mut lines: Vec<&str> = text.split('\n').collect();
                let count = lines.len();
                lines.swap(one % count, other % count);
                return lines.join("\n");
            }
        };
        let (at, end) = (at.min(end), at.max(end));
        format!("{}{insert}{}", &text[..at], &text[end..])
    }
}

const SHARDS: [&str; 32] = [
    "(",
    ")",
    "[",
    "]",
    "{",
    "}",
    ",",
    ":",
    "\"",
    "//",
    "/*",
    "*/",
    "\\",
    "'",
    "=",
    ";",
    "-",
    "1e999",
    "NaN",
    "\r\n",
    "\u{a0}",
    "„",
    "é",
    "Run(",
    "Cable(",
    "parts: [",
    "name: \"W1\"",
    "runs: [",
    "Some(",
    "r#\"",
    "0x",
    "µ",
];

fn piece() -> impl Strategy<Value = String> {
    prop_oneof![prop::sample::select(&SHARDS[..]).prop_map(str::to_string), "\\PC{0,8}", any::<String>()]
}

fn change() -> impl Strategy<Value = Change> {
    let at = any::<u32>().prop_map(|at| at as usize);
    let length = 0usize..400;
    prop_oneof![
        (at.clone(), 0usize..4).prop_map(|(at, length)| Change::Delete { at, length }),
        (at.clone(), length.clone()).prop_map(|(at, length)| Change::Delete { at, length }),
        (at.clone(), piece()).prop_map(|(at, text)| Change::Insert { at, text }),
        (at.clone(), length, piece()).prop_map(|(at, length, text)| Change::Replace { at, length, text }),
        (at.clone(), at).prop_map(|(one, other)| Change::SwapLines { one, other }),
    ]
}

/// Spans lie in the text, between characters, and can be shown.
fn assert_showable(text: &str) {
    let (file, findings) = findings_of(text);
    let inside =
        |start: usize, end: usize| start <= end && file.text.is_char_boundary(start) && file.text.is_char_boundary(end);
    for finding in &findings {
        let spans = finding.span.iter().chain(finding.also.iter().map(|(span, _)| span));
        for span in spans {
            assert!(inside(span.start, span.end), "{finding:?}");
        }
        assert!(!finding.headline.contains('\n'), "{finding:?}");
        assert!(render(&file, finding).contains("test.ron"));
    }
    if findings.iter().any(|finding| finding.severity == Severity::Error) {
        assert!(parse(file).is_err());
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_text_makes_it_panic(which in 0..SAMPLES.len(), changes in prop::collection::vec(change(), 1..12)) {
        let text = changes.iter().fold(SAMPLES[which].1.to_string(), |text, change| change.apply(&text));
        assert_showable(&text);
    }

    #[test]
    fn no_small_text_makes_it_panic(changes in prop::collection::vec(change(), 1..6)) {
        let small = include_str!("../data/bad_files/everything_at_once.ron");
        assert_showable(&changes.iter().fold(small.to_string(), |text, change| change.apply(&text)));
    }

    #[test]
    fn no_heap_of_pieces_makes_it_panic(pieces in prop::collection::vec(piece(), 0..60)) {
        assert_showable(&format!("Vehicle({}", pieces.concat()));
    }
}
