//! Sessions as readable scripts with the expected screen: `tests/sessions/`.
//!
//! A file starts with `sample: NAME` and, where it matters, `width: N`; lines
//! after `halfsplit> ` are typed, what follows is the screen. To write the
//! screens anew, look at the difference, and commit: HALFSPLIT_RECORD=1.

use halfsplit::belief::Engine;
use halfsplit::case::Case;
use halfsplit::case::journal::{Clock, Shelf};
use halfsplit::files::{built_in_rates, sample};
use halfsplit::predict::{Predictor, check_drops};
use halfsplit::repl::{Beginning, Session};
use std::fs;
use std::path::Path;
use std::rc::Rc;

const PROMPT: &str = "halfsplit> ";

/// A folder for the cases of one script, empty at first.
struct Folder(std::path::PathBuf);

impl Folder {
    fn new(name: &str) -> Self {
        static COUNT: std::sync::atomic::AtomicUsize = std::sync::atomic::AtomicUsize::new(0);
        let count = COUNT.fetch_add(1, std::sync::atomic::Ordering::Relaxed);
        Self(std::env::temp_dir().join(format!("halfsplit-{name}-{}-{count}", std::process::id())))
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

fn session(name: &str, folder: &Folder) -> Session {
    let loaded = sample(name).expect("a sample").unwrap_or_else(|error| panic!("{error}"));
    let vehicle = Rc::new(loaded.vehicle);
    let warnings = check_drops(&Predictor::new(Rc::clone(&vehicle)));
    let rates = built_in_rates().unwrap_or_else(|error| panic!("{error}"));
    let case = Case::new(Engine::new(vehicle, rates)).unwrap_or_else(|error| panic!("{error}"));
    let clock = Clock::Standing("2026-11-25 10:12:00 +01:00".parse().expect("a moment"));
    let shelf = Shelf::new(folder.0.join("cases"), loaded.file.path.clone(), "ann".into(), clock);
    Session::new(case, loaded.file, warnings).with_shelf(shelf, Beginning::WhenTold)
}

/// The whole screen for what is typed in a script.
pub fn replay(script: &str) -> String {
    let header = |key: &str| script.lines().find_map(|line| line.strip_prefix(key)).map(str::trim);
    let name = header("sample:").expect("a script names its sample");
    let width: usize = header("width:").map_or(80, |width| width.parse().expect("a width"));
    let folder = Folder::new(name);
    let mut session = session(name, &folder);
    let mut screen: Vec<String> = script
        .lines()
        .take_while(|line| !line.starts_with(PROMPT))
        .filter(|line| line.contains(": ") || line.starts_with('#'))
        .map(str::to_string)
        .collect();
    screen.truncate(script.lines().take_while(|line| !line.trim().is_empty()).count());
    screen.push(String::new());
    screen.push(session.greeting(width));
    for typed in script.lines().filter_map(|line| line.strip_prefix(PROMPT)) {
        screen.push(format!("{PROMPT}{typed}"));
        let reply = session.handle(typed, width);
        if !reply.text.is_empty() {
            screen.push(reply.text);
        }
    }
    screen.join("\n") + "\n"
}

fn scripts() -> Vec<std::path::PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/sessions");
    let mut paths: Vec<_> =
        fs::read_dir(folder).expect("sessions").map(|entry| entry.expect("a file").path()).collect();
    paths.sort();
    paths
}

#[test]
fn every_session_shows_the_expected_screen() {
    let record = std::env::var_os("HALFSPLIT_RECORD").is_some();
    let mut different = Vec::new();
    for path in scripts() {
        let expected = fs::read_to_string(&path).expect("readable");
        let screen = replay(&expected);
        if screen != expected {
            if record {
                fs::write(&path, &screen).expect("writable");
            } else {
                let at = screen.lines().zip(expected.lines()).position(|(now, then)| now != then);
                let line = at.unwrap_or(0);
                let now = screen.lines().nth(line).unwrap_or("");
                different.push(format!(
                    "{} line {}:\n  expected {}\n  shown    {now}",
                    path.display(),
                    line + 1,
                    expected.lines().nth(line).unwrap_or("")
                ));
            }
        }
    }
    assert!(different.is_empty(), "{}", different.join("\n"));
}

#[test]
fn no_line_is_wider_than_the_screen() {
    for path in scripts() {
        let script = fs::read_to_string(&path).expect("readable");
        let width = script
            .lines()
            .find_map(|line| line.strip_prefix("width:"))
            .map_or(80, |width| width.trim().parse().expect("a width"));
        for line in replay(&script).lines().filter(|line| !line.starts_with(PROMPT) && !line.starts_with('#')) {
            assert!(line.chars().count() <= width, "{}: {line}", path.display());
        }
    }
}

/// The session shown in the README is one of these, word for word.
#[test]
fn the_readme_shows_a_real_session() {
    let readme = include_str!("../../README.md");
    let session = include_str!("../sessions/van_fridge_fuse_holder.txt");
    let from_greeting = session.split_once("\n\n").expect("a header").1;
    assert!(
        readme.contains(from_greeting.trim_end()),
        "the session in README.md is not tests/sessions/van_fridge_fuse_holder.txt"
    );
}
