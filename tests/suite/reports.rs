//! Reports: the same record gives the same bytes, both forms are well-formed,
//! nothing a user typed becomes markup, and nothing of the record is left out.

use crate::played::fresh;
use halfsplit::belief::{Engine, Sign};
use halfsplit::case::proof::{Check, CheckOutcome, What};
use halfsplit::case::{Case, Numbered};
use halfsplit::files::{built_in_tables, load, sample};
use halfsplit::predict::Probe;
use halfsplit::repl::{Session, Understanding};
use halfsplit::vehicle::Position;
use roxmltree::{Document, Node, ParsingOptions};
use std::collections::HashMap;
use std::fs;
use std::path::PathBuf;
use std::rc::Rc;
use std::sync::LazyLock;

const SCRIPTS: [&str; 6] = [
    "van_fridge_fuse_holder",
    "repaired",
    "board_lamp_plug",
    "truck_agitator_relay",
    "stays_on_and_blows",
    "second_thoughts",
];

/// A folder of its own for a test.
fn folder(name: &str) -> PathBuf {
    let folder = std::env::temp_dir().join(format!("halfsplit-report-{name}-{}", std::process::id()));
    fs::create_dir_all(&folder).expect("a folder");
    folder
}

fn session(name: &str) -> Session {
    let loaded = sample(name).expect("a sample").expect("it checks");
    Session::new(fresh(name), loaded.file, loaded.warnings)
}

/// The session of a typed story.
fn replayed(script: &str) -> Session {
    let path = format!("{}/tests/stories/{script}.txt", env!("CARGO_MANIFEST_DIR"));
    let text = fs::read_to_string(path).expect("a story");
    let name = text.lines().find_map(|line| line.strip_prefix("sample: ")).expect("a sample");
    let mut session = session(name);
    for step in text.lines().filter_map(|line| line.strip_prefix("story: ")).flat_map(|steps| steps.split("; ")) {
        session.handle(step);
    }
    session
}

/// What `report` writes, as a page or as Markdown.
fn reported(session: &mut Session, folder: &str, ending: &str) -> String {
    let path = self::folder(folder).join(format!("report.{ending}"));
    let reply = session.handle(&format!("report {}", path.display()));
    assert_eq!(reply.outcome, Understanding::Understood, "{}", reply.text(80));
    fs::read_to_string(path).expect("a report")
}

/// A report as page and as Markdown, with the readings of its record.
struct Written {
    page: String,
    text: String,
    readings: Vec<Numbered>,
}

/// The reports of all scripts, written once.
fn written(script: &str) -> &'static Written {
    static WRITTEN: LazyLock<HashMap<&str, Written>> = LazyLock::new(|| {
        let both = |script: &&'static str| {
            let mut session = replayed(script);
            let page = reported(&mut session, "written", "html");
            let text = reported(&mut session, "written", "md");
            (*script, Written { page, text, readings: session.case().standing().readings.clone() })
        };
        SCRIPTS.iter().map(both).collect()
    });
    &WRITTEN[script]
}

fn parsed(page: &str) -> Document<'_> {
    let options = ParsingOptions { allow_dtd: true, ..ParsingOptions::default() };
    Document::parse_with_options(page, options).unwrap_or_else(|error| panic!("{error}"))
}

fn words(node: Node<'_, '_>) -> String {
    node.descendants().filter_map(|inner| inner.text().filter(|_| inner.is_text())).collect()
}

fn named<'a, 'i>(document: &'a Document<'i>, name: &'static str) -> impl Iterator<Item = Node<'a, 'i>> {
    document.descendants().filter(move |node| node.has_tag_name(("http://www.w3.org/1999/xhtml", name)))
}

#[test]
fn the_same_record_gives_the_same_bytes() {
    for script in SCRIPTS {
        let Written { page, text, .. } = written(script);
        let mut again = replayed(script);
        assert_eq!(*page, reported(&mut again, "same", "html"), "{script}");
        assert_eq!(*text, reported(&mut again, "same", "md"), "{script}");
    }
}

/// One report of everything: a hunt, a repair, what was read since. It tells the
/// record, and no advice.
#[test]
fn a_report_in_markdown() {
    let mut lines = written("repaired").text.lines();
    assert!(lines.all(|line| line.is_empty() || !line.trim_matches('*').is_empty()), "stars without words");
    insta::assert_snapshot!(&written("repaired").text);
}

#[test]
fn pages_are_well_formed_and_need_nothing_else() {
    for script in SCRIPTS {
        let page = &written(script).page;
        let document = parsed(page);
        let levels: Vec<&str> = document
            .descendants()
            .map(|node| node.tag_name().name())
            .filter(|name| matches!(*name, "h1" | "h2" | "h3"))
            .collect();
        assert_eq!(levels.iter().filter(|level| **level == "h1").count(), 1, "{script}");
        assert!(levels[0] == "h1" && levels[1..].iter().all(|level| *level == "h2"), "{script}: {levels:?}");
        let outside = ["script", "link", "img", "iframe"];
        assert!(document.descendants().all(|node| !outside.contains(&node.tag_name().name())), "{script}");
        assert!(!page.contains("url(") && !page.contains("@import"), "{script}");
        for head in named(&document, "th") {
            assert!(matches!(head.attribute("scope"), Some("col" | "row")), "{script}: {}", words(head));
        }
        for node in document.descendants() {
            assert!(node.attribute("aria-label").is_none_or(|label| !label.trim().is_empty()), "{script}");
            assert!(!node.has_tag_name("caption") || !words(node).trim().is_empty(), "{script}");
        }
        let mut ids: Vec<&str> = document.descendants().filter_map(|node| node.attribute("id")).collect();
        let count = ids.len();
        ids.sort_unstable();
        ids.dedup();
        assert_eq!(ids.len(), count, "{script}: an id is used twice");
    }
}

/// Every drawing has a title and a description, and no shape leaves its frame.
#[test]
fn drawings_are_described_and_stay_in_their_frames() {
    let mut drawings = 0;
    for script in SCRIPTS {
        let page = &written(script).page;
        let document = parsed(page);
        for svg in document.descendants().filter(|node| node.tag_name().name() == "svg") {
            drawings += 1;
            let child =
                |name| svg.children().find(|node| node.tag_name().name() == name).map(words).unwrap_or_default();
            assert!(!child("title").is_empty() && !child("desc").is_empty(), "{script}");
            let size = |name| svg.attribute(name).and_then(|text| text.parse::<f64>().ok()).expect("a size");
            let (width, height) = (size("width"), size("height"));
            assert!(width <= 328.0, "{script}: wider than a phone of 360 px");
            assert!(height <= 1017.0, "{script}: higher than an A4 page with its margins");
            for shape in svg.descendants() {
                for (name, most) in [
                    ("x", width),
                    ("x1", width),
                    ("x2", width),
                    ("cx", width),
                    ("y", height),
                    ("y1", height),
                    ("y2", height),
                    ("cy", height),
                ] {
                    if let Some(value) = shape.attribute(name) {
                        let value: f64 = value.parse().expect("a number");
                        assert!(
                            (0.0..=most).contains(&value),
                            "{script}: {name}={value} of {}",
                            shape.tag_name().name()
                        );
                    }
                }
            }
        }
    }
    assert!(drawings >= 2 * SCRIPTS.len(), "only {drawings} drawings");
}

/// Every reading of the record stands in the report with a verdict.
#[test]
fn every_reading_appears_with_its_verdict() {
    let mut count = 0;
    for script in SCRIPTS {
        let document = parsed(&written(script).page);
        let table = named(&document, "table").find(|table| words(*table).contains("In the order they were entered"));
        let readings = &written(script).readings;
        count += readings.len();
        let rows: Vec<Vec<String>> = table
            .into_iter()
            .flat_map(|table| table.descendants())
            .filter(|node| node.tag_name().name() == "tr")
            .skip(1)
            .map(|row| row.children().filter(Node::is_element).map(words).collect())
            .collect();
        assert_eq!(rows.len(), readings.len(), "{script}");
        for (row, numbered) in rows.iter().zip(readings) {
            assert_eq!(row[0], numbered.number.to_string());
            assert!(row.contains(&numbered.reading.measured.to_string()), "{script}: {row:?}");
            assert!(
                row.iter()
                    .any(|cell| ["pass", "fail: low", "fail: high", "no verdict: floating"].contains(&cell.as_str())),
                "{script}: {row:?}"
            );
        }
    }
    assert!(count > 12, "only {count} readings");
}

/// The faulty part is marked in the drawing by word and bracket, not by tint alone.
#[test]
fn the_part_found_is_marked_by_word_and_shape() {
    let document = parsed(&written("van_fridge_fuse_holder").page);
    let svg = document
        .descendants()
        .filter(|node| node.tag_name().name() == "svg")
        .find(|svg| words(*svg).contains("found, over 99 %"));
    let svg = svg.expect("a drawing with the part found");
    let bracket = svg.descendants().filter(|node| {
        node.tag_name().name() == "line"
            && node.attribute("class") == Some("stroke-bad")
            && node.attribute("stroke-width") == Some("4")
    });
    assert_eq!(bracket.count(), 3);
}

/// A Markdown table has as many cells in each row as in its head.
#[test]
fn markdown_tables_are_even() {
    for script in SCRIPTS {
        let text = &written(script).text;
        let cells = |line: &str| line.replace("\\|", "").matches('|').count();
        let mut rows = 0;
        let mut lines = text.lines().peekable();
        while let Some(line) = lines.next() {
            if let Some(next) = lines.peek()
                && line.starts_with('|')
                && next.starts_with('|')
            {
                assert_eq!(cells(line), cells(next), "{script}: {next}");
                rows += 1;
            }
        }
        assert!(rows > 20, "{script}: only {rows} rows");
    }
}

/// What a user typed stays text, in both forms.
#[test]
fn nothing_typed_becomes_markup() {
    let mut session = session("clinic_van");
    session.handle("dead fridge");
    let nasty = "a|b `c` <script>alert(1)</script> & \"d\" 'e' [f](g) *h*";
    session.handle(&format!("note {nasty}"));
    session.handle("note - looks like a list");
    let page = reported(&mut session, "typed", "html");
    let document = parsed(&page);
    assert!(named(&document, "li").any(|item| words(item) == nasty));
    let text = reported(&mut session, "typed", "md");
    assert!(
        text.contains("- a\\|b \\`c\\` &lt;script&gt;alert(1)&lt;/script&gt; &amp; \"d\" 'e' \\[f\\](g) \\*h\\*"),
        "{text}"
    );
    assert!(text.contains("- \\- looks like a list"), "{text}");
}

/// Names from a vehicle file stay text too.
#[test]
fn labels_of_a_vehicle_stay_text() {
    let ron = r#"Vehicle(
    name: "Van <b> & 'co' | `x`", nominal: 12, black: "B-", chassis: "B-",
    places: [ Place(name: "box <i>", minutes: 2, open: "tilt & lift") ],
    supplies: [ Battery(name: "B", chemistry: LeadAcid, ah: 100, rest: 12.7, ohms: 0.006, at: "box <i>") ],
    runs: [
        Run(name: "lamp", from: "B+", to: "B-", at: "box <i>", parts: [
            Fuse(name: "F1", amps: 10),
            Cable(name: "W1", metres: 5, mm2: 1.5),
            Load(name: "lamp", label: "lamp </text><script>", kind: Lamp, watts: 55),
            Cable(name: "W2", metres: 5, mm2: 1.5),
        ]),
    ],
)"#;
    let path = folder("labels").join("van.ron");
    fs::write(&path, ron).expect("a file");
    let loaded = load(&path.display().to_string()).expect("a vehicle");
    let case = Case::new(Engine::new(Rc::new(loaded.vehicle), built_in_tables().expect("rates"))).expect("it solves");
    let mut session = Session::new(case, loaded.file, loaded.warnings);
    assert_eq!(session.handle("dead lamp").outcome, Understanding::Understood);
    let page = reported(&mut session, "labels", "html");
    let document = parsed(&page);
    assert_eq!(named(&document, "h1").map(words).collect::<String>(), "Fault report: Van <b> & 'co' | `x`");
    assert!(
        document.descendants().any(|node| node.tag_name().name() == "text" && words(node) == "lamp </text><script>")
    );
    assert!(reported(&mut session, "labels", "md").contains("# Fault report: Van &lt;b&gt; &amp; 'co' \\| \\`x\\`\n"));
}

/// Enters of every check of the proof what it must be.
fn pass_checks(session: &mut Session) {
    let vehicle = Rc::clone(session.case().engine().vehicle());
    let checks = session.case().proof().expect("solvable").expect("a repair").checks;
    for check in checks {
        for (control, position) in session.case().standing().state.settings_to(&check.state, &vehicle) {
            let verb = if position == Position::On { "on" } else { "off" };
            session.handle(&format!("{verb} {}", vehicle.control(control).name));
        }
        let line = match check.what {
            What::Shows { subject, sign } => {
                let word = if sign == Sign::LooksWhole { "whole" } else { "works" };
                format!("{word} {}", vehicle.part(subject).name)
            }
            What::Read { probe, band, .. } => {
                let middle = 0.5 * (band.low + band.high);
                match probe.plain_voltage() {
                    Some((red, black)) => {
                        format!("{} {} {middle:.4}", vehicle.point(red).name(), vehicle.point(black).name())
                    }
                    None => {
                        let Probe::Current { part } = probe else { panic!("{probe:?}") };
                        format!("{} {middle:.2}A", vehicle.part(part).name)
                    }
                }
            }
        };
        assert_eq!(session.handle(&line).outcome, Understanding::Understood, "{line}");
    }
}

/// Not proved until every check of the proof is passed; what is amiss after that
/// speaks against it again.
#[test]
fn a_repair_is_proved_only_when_all_of_it_is() {
    let mut session = replayed("repaired");
    let proof = |session: &mut Session| {
        let text = reported(session, "proof", "md");
        text.lines().find_map(|line| line.strip_prefix("| Proof | ")).map(str::to_string).expect("a line")
    };
    assert_eq!(proof(&mut session), "**not proved** |");
    pass_checks(&mut session);
    assert_eq!(proof(&mut session), "proved |");
    session.handle("J4.2.out 1.50");
    assert_eq!(proof(&mut session), "**failed** |");
}

/// Nor does its proof say what to do or type next, whatever is still open.
#[test]
fn a_proof_on_paper_gives_no_advice() {
    let mut open = replayed("repaired");
    let mut blown = session("clinic_van");
    let mut flat = session("clinic_van");
    for (session, lines) in [(&mut blown, ["blows FC1", "fixed W1"]), (&mut flat, ["flat B2", "fixed K2.contact"])] {
        lines.iter().for_each(|line| assert_eq!(session.handle(line).outcome, Understanding::Understood, "{line}"));
    }
    for session in [&mut open, &mut blown, &mut flat] {
        let on_screen = session.handle("proof").text(10_000);
        assert!(on_screen.contains('`'), "the screen says what to type: {on_screen}");
        let text = reported(session, "advice", "md");
        let (_, section) = text.split_once("## Proof of the repair\n").expect("a section");
        let (section, _) = section.split_once("\n## ").expect("its end");
        assert!(section.contains("Not proved"), "{section}");
        assert!(!section.contains('`') && !section.contains("Next:"), "{section}");
    }
}

/// A fuse that blew counts as cured once something that it feeds works.
#[test]
fn a_blown_fuse_is_proved_by_what_it_feeds() {
    let mut session = session("clinic_van");
    for line in ["blows FC1", "fixed W1", "FC1.out 12.9"] {
        assert_eq!(session.handle(line).outcome, Understanding::Understood, "{line}");
    }
    let text = reported(&mut session, "blown", "md");
    assert!(text.contains("| Proof | **not proved** |"), "{text}");
    let shown = |session: &Session| {
        let proof = session.case().proof().expect("solvable").expect("a repair");
        let fed = session.case().vehicle().find_part("fridge");
        let of_fed = |check: &&Check| matches!(check.what, What::Shows { subject, .. } if Some(subject) == fed);
        proof.checks.iter().find(of_fed).expect("a look at what it feeds").outcome
    };
    assert_eq!(shown(&session), CheckOutcome::Open);
    session.handle("works fridge");
    assert!(matches!(shown(&session), CheckOutcome::Passed(_)));
    pass_checks(&mut session);
    assert!(reported(&mut session, "blown", "md").contains("| Proof | proved |"));
}

/// A cause found by a repair that the readings do not point to is told.
#[test]
fn a_repair_elsewhere_is_told() {
    let mut session = replayed("van_fridge_fuse_holder");
    session.handle("fixed W1");
    let text = reported(&mut session, "elsewhere", "md");
    assert!(text.contains("W1 (cable) was repaired, which the readings do not point to."), "{text}");
    assert!(text.contains("| Proof | **not proved** |"), "{text}");
}

/// A report is written over, another's file only when told so, and a refusal
/// changes nothing.
#[test]
fn only_a_report_is_written_over() {
    let folder = folder("over");
    let mut session = session("bench_board");
    let page = folder.join("my page.html");
    let order = format!("report {}", page.display());
    assert_eq!(session.handle(&order).text(80), "Nothing is entered yet, so there is nothing to report.");
    let load = halfsplit::words::example_load(session.case().vehicle()).to_string();
    session.handle(&format!("dead {load}"));
    assert_eq!(session.handle(&order).outcome, Understanding::Understood);
    assert_eq!(session.handle(&order).outcome, Understanding::Understood);
    fs::write(&page, "shopping").expect("a file");
    let refused = session.handle(&order);
    assert_eq!(refused.outcome, Understanding::Failed);
    assert!(refused.text(200).contains("is there and is no report of halfsplit"), "{}", refused.text(200));
    assert_eq!(fs::read_to_string(&page).expect("a file"), "shopping");
    assert_eq!(session.handle(&format!("{order} replace")).outcome, Understanding::Understood);
    assert!(fs::read_to_string(&page).expect("a file").starts_with("<!DOCTYPE html>"));
    let nowhere = session.handle(&format!("report {}", folder.join("no/such/x.md").display()));
    assert!(nowhere.text(200).starts_with("Cannot write"), "{}", nowhere.text(200));
    assert_eq!(session.handle("report").outcome, Understanding::Failed);
    assert!(session.handle("report x.pdf").text(80).contains("neither `.html`"));
    let left: Vec<_> =
        fs::read_dir(&folder).expect("a folder").map(|entry| entry.expect("a file").file_name()).collect();
    assert_eq!(left, ["my page.html"]);
}
