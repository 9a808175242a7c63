//! Stories: what somebody types and finds, and what the program must hold of it
//! by then. They tell behaviour; wording is the matter of `screens`.
//!
//! A file of `tests/stories/` is read from top to bottom, a key and a colon on
//! each line, each line as often as needed.
//!
//! What is really there:
//! - `sample: NAME`, the vehicle, or its file below `tests/data`;
//! - `hidden: PART MODE [SIZE | OTHER [SIZE]]`, a fault of the catalogue, or
//!   `hidden: joined POINT POINT OHMS`, a wire that no drawing shows, or
//!   `hidden: nothing`;
//! - `truly: LINE`, for a story that begins with `sketch LINE`, what the circuit
//!   is really made of.
//!
//! What is done: `story: …`, steps apart by `; `. A step is a line as it is
//! typed, where `?`, `?A` (a clamp), `?mA` (in line) or `?ohm` stands for what
//! the instrument shows, or one of these:
//! - `follow [N] [faulty]` takes the advised tests, to the end or N of them;
//! - `see NAME` says how a load, relay or fuse looks, sounds or feels;
//! - `asked N` answers the first N questions of the complaint's tree;
//! - `fixed PART` mends the hidden fault there as well;
//! - `prove` does every check of the proof and puts everything back;
//! - `look round` asks everything that can be asked without entering anything.
//!
//! What must hold once the steps above are done (`claims`):
//! - `ends at: PART`, found; `PART by OTHER`, a blown fuse with its likeliest
//!   cause; `PART with OTHER`, both; `among PART`, one of a few that no test
//!   tells apart; `nothing wrong`; `not as drawn`. Whoever has followed tests
//!   says so before each `fixed` and at the end;
//! - `within: N tests, M minutes`, followed since the last repair: a third more
//!   than it takes, and at least three tests and twelve minutes more, so that
//!   tuning breaks nothing and a loss does;
//! - `asks: KIND [or KIND]…`, what is asked now: `complaint`, `question`,
//!   `look`, `volts`, `lamp`, `ohms`, `amps`, `repair`, `any of few`, `nothing`;
//! - `first: PART [or PART]…`, the likeliest is one of these;
//! - `suspects: PART, …`, each is in question;
//! - `measures: PROBE [or PROBE]…`, what is advised next, as people name it;
//! - `clears: PART, …` or `nothing`, proved good, among others;
//! - `doubts: reading N`, `the drawing`, `loop N, …` or `nothing`;
//! - `counts: N, …` or `nothing`, the numbers of the readings that count;
//! - `set: NAME, …` or `nothing`, what does not stand as at rest;
//! - `proof: none`, or `PART` with `unfinished`, `to put back`, `proved` or `not
//!   proved`, and how many of its checks have passed: `PART unfinished, 1 passed`;
//! - `puts back: NAME, …`, among others, what `prove` has put back;
//! - `case: NAME, N entries`, or `none, N entries`;
//! - `refuses: LINE`, typed here, is not understood and changes nothing;
//! - `warns: WORDS`, a caution of the last answer.
//!
//! Whatever the story, these hold all along (`telling`): the same record gives
//! the same answer, however it came about; no line is wider than the screen; a
//! place with a hazard is asked for with its caution; a tree's cautions and its
//! closing proof are told; by phone nothing is asked that must not be; and after
//! `prove` the repair is proved and everything at rest.

mod claims;
mod instrument;
mod telling;

use crate::played::{Hidden, drawing, engine, fresh};
use crate::tables::built_in;
use claims::claim;
use halfsplit::case::journal::{Clock, Shelf};
use halfsplit::fault::{FailureMode, Fault};
use halfsplit::files::parse;
use halfsplit::network::{Branch, Law};
use halfsplit::predict::check_drops;
use halfsplit::quantity::Ohms;
use halfsplit::repl::{Beginning, Session};
use halfsplit::sketch::sketch;
use halfsplit::source::SourceFile;
use halfsplit::vehicle::Vehicle;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use telling::Telling;

/// A folder for the cases of one session, empty at first.
pub struct Folder(PathBuf);

impl Folder {
    /// Of its own for every session.
    pub fn new() -> Self {
        static COUNT: AtomicUsize = AtomicUsize::new(0);
        let count = COUNT.fetch_add(1, Ordering::Relaxed);
        Self(std::env::temp_dir().join(format!("halfsplit-session-{}-{count}", std::process::id())))
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

/// A session on a sample, nothing said yet.
pub fn session(name: &str, folder: &Folder) -> Session {
    let loaded = drawing(name);
    let warnings = check_drops(engine(name).predictor());
    let clock = Clock::Standing("2026-11-25 10:12:00 +01:00".parse().expect("a moment"));
    let shelf = Shelf::new(folder.0.join("cases"), loaded.file.path.clone(), "ann".into(), clock);
    Session::new(fresh(name), loaded.file, warnings).with_shelf(shelf, Beginning::WhenTold)
}

/// The lines of a story: keys with what stands after them.
fn lines(script: &str) -> impl Iterator<Item = (&str, &str)> {
    let told = script.lines().filter(|line| !line.starts_with('#') && !line.trim().is_empty());
    told.map(|line| line.split_once(": ").unwrap_or_else(|| panic!("no key and colon: {line}")))
}

fn all<'a>(script: &'a str, key: &'a str) -> impl Iterator<Item = &'a str> {
    lines(script).filter(move |(known, _)| *known == key).map(|(_, said)| said)
}

/// The hidden truth that a story tells, and what no drawing shows.
fn truth<'a>(vehicle: &'a Vehicle, script: &str) -> (Hidden<'a>, Vec<Branch>) {
    let part = |name: &str| vehicle.find_part(name).unwrap_or_else(|| panic!("no part {name}"));
    let point = |name: &str| vehicle.find_point(name).unwrap_or_else(|| panic!("no point {name}")).index();
    let size = |text: &str| text.parse::<f64>().expect("a size");
    let mut hidden = Hidden { vehicle, faults: Vec::new() };
    let mut undrawn = Vec::new();
    for line in all(script, "hidden") {
        match line.split_whitespace().collect::<Vec<_>>()[..] {
            ["nothing"] => {}
            ["joined", from, to, ohms] => {
                let law = Law::Resistor(Ohms(size(ohms)).conductance());
                undrawn.push(Branch { from: point(from), to: point(to), law });
            }
            [name, mode, ref rest @ ..] => {
                let mode: FailureMode = ron::from_str(mode).expect("a way to fail");
                let other = rest.first().and_then(|name| vehicle.find_part(name)).filter(|_| mode.takes_two());
                let size = rest.last().map_or(0.0, |text| text.parse().unwrap_or(0.0));
                hidden.faults.push((Fault { part: part(name), mode, other }, size));
            }
            _ => panic!("hidden: {line}"),
        }
    }
    (hidden, undrawn)
}

/// What is really there: the sample, or of a sketch what it truly is, in other
/// lengths and sizes than anybody knew.
fn vehicle_of(script: &str, session: &Session) -> Vehicle {
    match all(script, "truly").next() {
        Some(line) => {
            let sketch = sketch(&built_in().sketch, line).unwrap_or_else(|error| panic!("{line}: {error}"));
            let file = SourceFile::new("truly".into(), sketch.text);
            parse(file).unwrap_or_else(|error| panic!("{error}")).vehicle
        }
        None => session.case().vehicle().clone(),
    }
}

/// Tells a story; what does not hold, line by line.
fn told(script: &str) -> Vec<String> {
    let sample = all(script, "sample").next().expect("a story names its sample");
    let folder = Folder::new();
    let session = session(sample, &folder);
    let vehicle = vehicle_of(script, &session);
    let (truth, undrawn) = truth(&vehicle, script);
    let mut telling = Telling::new(session, truth, undrawn);
    for (key, said) in lines(script) {
        match key {
            "sample" | "hidden" | "truly" => {}
            "story" => said.split("; ").for_each(|step| telling.step(step.trim())),
            _ => {
                if let Err(why) = claim(&mut telling, key, said) {
                    telling.wrong.push(format!("{key}: {said}, but {why}"));
                }
            }
        }
    }
    telling.close()
}

/// Tells the stories whose sample and name are picked.
fn all_hold(pick: impl Fn(&str, &str) -> bool) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/stories");
    let mut paths: Vec<_> = fs::read_dir(folder).expect("stories").map(|entry| entry.expect("a file").path()).collect();
    paths.sort();
    let (mut wrong, mut count) = (Vec::new(), 0);
    for path in paths {
        let name = path.file_stem().expect("a name").to_string_lossy();
        let script = fs::read_to_string(&path).expect("readable");
        if pick(all(&script, "sample").next().unwrap_or_default(), &name) {
            count += 1;
            wrong.extend(told(&script).iter().map(|why| format!("{name}: {why}")));
        }
    }
    assert!(count > 3, "only {count} stories");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn complaints_about_the_van() {
    all_hold(|sample, name| sample == "clinic_van" && name.starts_with("complaint_"));
}

#[test]
fn trees_asked_at_the_van() {
    all_hold(|sample, name| sample == "clinic_van" && name.starts_with("tree_"));
}

#[test]
fn records_kept_at_the_van() {
    all_hold(|sample, name| sample == "clinic_van" && !name.starts_with("complaint_") && !name.starts_with("tree_"));
}

#[test]
fn stories_about_the_truck() {
    all_hold(|sample, _| sample == "sprayer_truck");
}

/// What practitioners told of faults they found, each with its address: outside
/// checks, on circuits drawn from what they tell.
#[test]
fn stories_that_were_published() {
    all_hold(|sample, _| sample.starts_with("published_stories/"));
}

/// A van made from nothing by `new`, and a second one of the same build.
#[test]
fn stories_about_a_vehicle_of_ones_own() {
    all_hold(|sample, _| sample.starts_with("own_vehicle/"));
}

#[test]
fn stories_about_the_board() {
    all_hold(|sample, _| sample == "bench_board");
}
